/* poise_sim.c - options in, one poll() loop, the exit code out. What the loop drives is told in sim.h, hand.h and
 * script.h; it knows no frames. */
#include "drivers/sim/hand.h"
#include "drivers/sim/script.h"
#include "text/version.h"
#include <errno.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/signalfd.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

enum { EXIT_USAGE = 64, EXIT_BUG = 70, EXIT_IO = 74, WAIT_FOR_LISTENER_US = 20000 };

/* All that the loop holds; one on the heap. */
struct program {
    struct sim_options options;
    struct sim sim;
    struct sim_hand hand;
    struct scenario scenario;
    struct replay replay;
    bool replaying;   /* begun, and not told to be over */
    int stops, clock; /* signalfd, timerfd */
    char line[SIM_LINE_MAX];
    size_t line_len;
    bool line_too_long;
    bool input_over;
};

/* The one clock of the program; everything else is given the time. */
static int64_t now_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000000 + t.tv_nsec / 1000;
}

/* One line, in the form that all our programs use; `file` is where it stands, NULL: nowhere. */
static int complain(enum words_language language, int code, const char *file, const struct script_fault *fault)
{
    char text[2 * SAID_TEXT_MAX];
    fprintf(stderr, "poise-sim: %s\n", script_fault_text(fault, file, language, text, sizeof text));
    return code;
}

/* One byte of standard input; a line counts when it is whole. */
static void take_byte(struct program *p, char byte)
{
    if (byte != '\n' && byte != 0) {
        if (p->line_len + 1 < sizeof p->line)
            p->line[p->line_len++] = byte;
        else
            p->line_too_long = true;
        return;
    }
    while (p->line_len && p->line[p->line_len - 1] == '\r')
        p->line_len--;
    p->line[p->line_len] = 0;
    if (p->line_too_long)
        p->line[40] = 0;
    sim_advance(&p->sim, now_us());
    if (p->line_too_long) {
        sim_hand_refuse_line(&p->hand, p->line);
    } else {
        sim_hand_say(&p->hand, p->line, now_us());
    }
    p->line_len = 0;
    p->line_too_long = false;
}

/* The end of input ends the program, once every word has been answered. */
static void read_input(struct program *p)
{
    char bytes[1024];
    ssize_t got = read(STDIN_FILENO, bytes, sizeof bytes);
    if (got < 0 && (errno == EINTR || errno == EAGAIN))
        return;
    for (ssize_t i = 0; i < got && !p->hand.quit; i++)
        take_byte(p, bytes[i]);
    if (got <= 0) {
        if (p->line_len)
            take_byte(p, '\n');
        p->input_over = true;
    }
}

/* Several lines may be due at one time; each is answered by itself. */
static void play_scenario(struct program *p, int64_t now)
{
    const char *words;
    while (!p->hand.quit && (words = scenario_due(&p->scenario, now, sim_hand_idle(&p->hand))))
        sim_hand_say(&p->hand, words, now);
}

/* Begins when somebody listens: else the first bytes would be lost on a pty. */
static void play_recording(struct program *p, int64_t now)
{
    const uint8_t *bytes;
    size_t len;
    if (!p->replaying && !p->replay.start_us && sim_link_heeded(&p->sim.link)) {
        replay_start(&p->replay, now);
        p->replaying = true;
    }
    while (p->replaying && (len = replay_due(&p->replay, now, &bytes)))
        sim_send_raw(&p->sim, bytes, len, true);
    if (p->replaying && replay_next_us(&p->replay) < 0) {
        p->replaying = false;
        printf("done replay %zu\n", p->replay.sent);
        fflush(stdout);
    }
}

/* When the loop must wake though nothing has come in. */
static int64_t next_wake_us(const struct program *p, int64_t now)
{
    int64_t next = p->options.replay ? -1 : sim_next_us(&p->sim), other = -1;
    if (p->options.scenario)
        other = scenario_next_us(&p->scenario);
    if (p->options.replay)
        other = p->replaying ? replay_next_us(&p->replay) : p->replay.start_us ? -1 : now + WAIT_FOR_LISTENER_US;
    return next < 0 || (other >= 0 && other < next) ? other : next;
}

/* A timerfd, since the time-out of poll() counts whole milliseconds and rounds up. */
static void set_clock(const struct program *p, int64_t now)
{
    int64_t next = next_wake_us(p, now), in = next <= now + 1000 ? 1000 : next - now; /* at most 1,000 wakes a second */
    struct itimerspec at = {0};
    if (next >= 0)
        at.it_value = (struct timespec){.tv_sec = in / 1000000, .tv_nsec = in % 1000000 * 1000};
    timerfd_settime(p->clock, 0, &at, NULL);
}

/* One turn: the scale, the hand, what is due, then sleep until something comes. */
static int loop(struct program *p)
{
    struct pollfd polls[3 + SIM_CONNECTIONS + 1];
    for (;;) {
        int64_t now = now_us();
        sim_tick(&p->sim, now);
        sim_hand_look(&p->hand, now);
        if (p->options.scenario)
            play_scenario(p, now);
        if (p->options.replay)
            play_recording(p, now);
        if (p->hand.quit || (p->input_over && sim_hand_idle(&p->hand)))
            return 0;
        set_clock(p, now);
        polls[0] = (struct pollfd){.fd = p->stops, .events = POLLIN};
        polls[1] = (struct pollfd){.fd = p->clock, .events = POLLIN};
        polls[2] = (struct pollfd){.fd = p->options.hand && !p->input_over ? STDIN_FILENO : -1, .events = POLLIN};
        size_t count = sim_link_polls(&p->sim.link, polls + 3);
        if (poll(polls, (nfds_t)count + 3, -1) < 0 && errno != EINTR)
            return complain(p->hand.language, EXIT_IO, NULL, &(struct script_fault){.why = say("sim_poll_failed")});
        if (polls[0].revents)
            return 0;
        if (polls[2].revents)
            read_input(p);
        sim_link_serve(&p->sim.link, polls + 3, count);
    }
}

/* The line printed here is what a script waits for before it starts the daemon. */
static bool open_link(struct program *p, struct said *why)
{
    bool tcp = p->options.tcp >= 0;
    if (tcp ? !sim_tcp_open(&p->sim.link, (int)p->options.tcp, p->options.poll, why)
            : !sim_pty_open(&p->sim.link, p->options.link, p->options.poll, why))
        return false;
    if (tcp)
        printf("port %d\n", p->sim.link.port);
    else
        printf("link %s\n", p->options.link);
    fflush(stdout);
    return true;
}

/* Signals come as bytes to poll for, so that the symlink is always taken away. */
static bool open_clocks(struct program *p)
{
    sigset_t stops;
    sigemptyset(&stops);
    sigaddset(&stops, SIGTERM);
    sigaddset(&stops, SIGINT);
    sigaddset(&stops, SIGHUP);
    sigprocmask(SIG_BLOCK, &stops, NULL);
    signal(SIGPIPE, SIG_IGN);
    p->stops = signalfd(-1, &stops, SFD_CLOEXEC);
    p->clock = timerfd_create(CLOCK_MONOTONIC, TFD_CLOEXEC);
    return p->stops >= 0 && p->clock >= 0;
}

/* At most one of the two is given; with --hand neither. Returns an exit code, 0 where all is well. */
static int read_files(struct program *p, struct script_fault *fault)
{
    if (p->options.scenario)
        return scenario_read(&p->scenario, p->options.scenario, &p->options, fault);
    if (p->options.replay)
        return replay_read(&p->replay, p->options.replay, p->options.speed, (size_t)p->options.chunk, fault);
    return 0;
}

/* The scenario is read first: its head may set options that the checks must see. */
static int run(struct program *p)
{
    struct script_fault fault = {.line = 0};
    struct sim_nature nature;
    int code = read_files(p, &fault);
    if (code)
        return complain(sim_options_language(&p->options), code,
                        p->options.scenario ? p->options.scenario : p->options.replay, &fault);
    code = sim_options_check(&p->options, &nature, &fault.why);
    if (code)
        return complain(sim_options_language(&p->options), code, NULL, &fault);
    sim_init(&p->sim, &nature, p->options.rate_hz, now_us());
    p->sim.sends_frames = !p->options.replay;
    sim_hand_init(&p->hand, &p->sim, sim_options_language(&p->options), stdout);
    bool timed = open_clocks(p);
    if (!timed)
        fault.why = say("sim_no_timers");
    if (!timed || !open_link(p, &fault.why))
        return complain(sim_options_language(&p->options), EXIT_IO, NULL, &fault);
    if (p->options.scenario)
        scenario_start(&p->scenario, now_us());
    code = loop(p);
    sim_finish(&p->sim);
    return code;
}

/* --help and --version need no wire; a fault in the options is told before anything is opened. */
int main(int argc, char **argv)
{
    struct script_fault fault = {.line = 0};
    struct program *p = calloc(1, sizeof *p);
    if (!p) {
        fault.why = say("sim_no_memory");
        return complain(WORDS_EN, EXIT_BUG, NULL, &fault);
    }
    sim_options_init(&p->options);
    int code = sim_options_read(&p->options, argc, argv, &fault.why);
    if (code)
        complain(sim_options_language(&p->options), code, NULL, &fault);
    else if (p->options.help || !strcmp(p->options.style, "list"))
        sim_options_help(stdout, sim_options_language(&p->options), !p->options.help);
    else if (p->options.version)
        printf("poise-sim %s\n", POISE_VERSION);
    else
        code = run(p);
    scenario_finish(&p->scenario);
    replay_finish(&p->replay);
    free(p);
    return code;
}
