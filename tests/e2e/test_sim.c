/* poise-sim as a program: words in, answers out, frames on TCP and on a pty. Every wait is for a line, a frame or an
 * end. */
#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>
/* cmocka wants setjmp, stdarg, stddef and stdint first */
#include <cmocka.h>

enum { LIMIT_MS = 30000 };

/* A simulator that runs: its pipes, its folder. */
struct bench {
    char dir[64], link[96], file[96];
    pid_t pid;
    int in, out;
    int port;
};

static int begin(void **state)
{
    struct bench *b = calloc(1, sizeof *b);
    if (!b)
        return -1;
    strcpy(b->dir, "/tmp/poise-sim-XXXXXX");
    if (!mkdtemp(b->dir))
        return -1;
    snprintf(b->link, sizeof b->link, "%s/scale", b->dir);
    snprintf(b->file, sizeof b->file, "%s/file", b->dir);
    b->in = b->out = -1;
    *state = b;
    return 0;
}

/* Waits for the end; the exit code, or -1. */
static int reap(struct bench *b)
{
    int status = 0;
    pid_t pid = b->pid;
    b->pid = 0;
    return pid > 0 && waitpid(pid, &status, 0) == pid && WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static int end(void **state)
{
    struct bench *b = *state;
    if (b->pid > 0) {
        kill(b->pid, SIGKILL);
        reap(b);
    }
    if (b->in >= 0)
        close(b->in);
    if (b->out >= 0)
        close(b->out);
    unlink(b->link);
    unlink(b->file);
    int code = rmdir(b->dir);
    free(b);
    return code;
}

/* Starts it with these options; stdin, stdout and (with err) stderr are pipes. */
static void start(struct bench *b, const char *const options[], bool err)
{
    char program[256];
    const char *build = getenv("POISE_BUILD"), *argv[24] = {program};
    snprintf(program, sizeof program, "%s/poise-sim", build ? build : "build");
    for (int i = 0; i < 22 && options[i]; i++)
        argv[i + 1] = options[i];
    int in[2], out[2];
    assert_int_equal(pipe2(in, O_CLOEXEC), 0);
    assert_int_equal(pipe2(out, O_CLOEXEC), 0);
    b->pid = fork();
    assert_true(b->pid >= 0);
    if (b->pid == 0) {
        dup2(in[0], 0);
        dup2(out[1], err ? 2 : 1);
        execv(program, (char **)(uintptr_t)argv);
        _exit(127);
    }
    close(in[0]);
    close(out[1]);
    b->in = in[1];
    b->out = out[0];
}

/* Waits until fd is readable or at its end. */
static void wait_for(int fd, const char *what)
{
    struct pollfd p = {.fd = fd, .events = POLLIN};
    if (poll(&p, 1, LIMIT_MS) <= 0)
        fail_msg("nothing came: %s", what);
}

/* One line of the simulator's, without its end. */
static char *line(struct bench *b, char text[512])
{
    size_t len = 0;
    for (;;) {
        wait_for(b->out, "a line of poise-sim");
        ssize_t got = read(b->out, text + len, 1);
        if (got <= 0 || text[len] == '\n' || len == 510)
            break;
        len++;
    }
    text[len] = 0;
    return text;
}

static void say(struct bench *b, const char *words, const char *answer)
{
    char text[512];
    dprintf(b->in, "%s\n", words);
    line(b, text);
    if (strncmp(text, answer, strlen(answer)) != 0)
        fail_msg("%s: <%s>, want <%s>", words, text, answer);
}

static void start_tcp(struct bench *b, const char *family, const char *rate, const char *more)
{
    char text[512];
    const char *options[] = {"--tcp",    "0",    "--hand", "manual", "--settle", "100",
                             "--family", family, "--rate", rate,     more,       NULL};
    start(b, options, false);
    line(b, text);
    assert_int_equal(sscanf(text, "port %d", &b->port), 1);
}

static int connect_to(const struct bench *b, int room)
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)b->port)};
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (room)
        setsockopt(fd, SOL_SOCKET, SO_RCVBUF, &room, sizeof room);
    assert_int_equal(connect(fd, (struct sockaddr *)&at, sizeof at), 0);
    return fd;
}

/* Reads frames that end with `ending` until one is the wanted; returns how many came before it. */
static int read_until(int fd, char ending, const char *want)
{
    char frame[128];
    size_t len = 0;
    for (int before = 0; before < 100000;) {
        wait_for(fd, want);
        ssize_t got = read(fd, frame + len, 1);
        if (got <= 0)
            fail_msg("the end came before %s", want);
        len++;
        frame[len] = 0;
        if (frame[len - 1] != ending && len < 120)
            continue;
        if (!strcmp(frame, want))
            return before;
        before++;
        len = 0;
    }
    fail_msg("it never came: %s", want);
    return -1;
}

static bool at_end(int fd)
{
    char bytes[4096];
    for (int reads = 0; reads < 20000; reads++) {
        wait_for(fd, "the end of a connection");
        if (read(fd, bytes, sizeof bytes) <= 0)
            return true;
    }
    return false;
}

static void a_pour_is_seen_on_tcp(void **state)
{
    struct bench *b = *state;
    start_tcp(b, "hdr2", "50", NULL);
    int fd = connect_to(b, 0);
    read_until(fd, '\n', "ST,+00000.00  g\r\n");
    say(b, "cup 31.2", "ok cup");
    say(b, "settle", "settled 31.20");
    read_until(fd, '\n', "ST,+00031.20  g\r\n");
    say(b, "pour 5 20", "done 5.0000");
    read_until(fd, '\n', "ST,+00036.20  g\r\n");
    say(b, "weigh", "ok true 36.2000 cup 31.2000 content 5.0000 air 0.0000 shown 36.20 stable");
    say(b, "tare", "ok tare");
    read_until(fd, '\n', "ST,+00000.00  g\r\n");
    say(b, "lift", "ok lift");
    say(b, "settle", "settled -36.20");
    read_until(fd, '\n', "ST,-00036.20  g\r\n");
    say(b, "put", "ok put");
    say(b, "says over", "ok says");
    read_until(fd, '\n', "OL,+99999.99  g\r\n");
    close(fd);
}

static void other_words_go_on_during_a_pour(void **state)
{
    struct bench *b = *state;
    char text[512];
    start_tcp(b, "hdr2", "50", NULL);
    int fd = connect_to(b, 0);
    say(b, "cup 30", "ok cup");
    dprintf(b->in, "pour 10 10\n");
    say(b, "lift", "ok lift");
    say(b, "pour 1", "error pour: a pour is under way.");
    say(b, "off", "error off: a pour is under way.");
    assert_non_null(strstr(line(b, text), "done 10.0000"));
    say(b, "put", "ok put");
    read_until(fd, '\n', "ST,+00040.00  g\r\n");
    dprintf(b->in, "pour 1000 10\n");
    say(b, "stop", "ok stop");
    assert_non_null(strstr(line(b, text), "done "));
    assert_true(atof(text + 5) < 500);
    close(fd);
}

static void silence_and_raw_bytes(void **state)
{
    struct bench *b = *state;
    start_tcp(b, "sics", "50", NULL);
    int fd = connect_to(b, 0);
    read_until(fd, '\n', "S S       0.00 g\r\n");
    say(b, "mute", "ok mute");
    say(b, "raw 58 59 0d0A", "ok raw");
    read_until(fd, '\n', "XY\r\n");
    say(b, "raw 5a0d0a", "ok raw");
    assert_int_equal(read_until(fd, '\n', "Z\r\n"), 0); /* nothing came between */
    say(b, "cup 30", "ok cup");
    say(b, "settle", "settled 30.00");
    say(b, "speak", "ok speak");
    assert_int_equal(read_until(fd, '\n', "S S      30.00 g\r\n"), 0);
    say(b, "restart 50", "ok restart");
    read_until(fd, '\n', "S S       0.00 g\r\n");
    say(b, "raw 5", "error raw: that is not hex");
    say(b, "sing", "error sing: no such word.");
    close(fd);
}

static void each_connection_gets_the_stream_and_a_slow_one_is_dropped(void **state)
{
    struct bench *b = *state;
    start_tcp(b, "hdr2", "20000", NULL);
    int slow = connect_to(b, 4096), one = connect_to(b, 0), two = connect_to(b, 0);
    char bytes[4096];
    size_t read_by_one = 0;
    while (read_by_one < 1000000) { /* far more than the kernel keeps for the slow one */
        wait_for(one, "the stream");
        ssize_t got = read(one, bytes, sizeof bytes);
        if (got <= 0)
            fail_msg("the quick one was dropped");
        read_by_one += (size_t)got;
        wait_for(two, "the stream");
        assert_true(read(two, bytes, sizeof bytes) > 0);
    }
    assert_true(at_end(slow));
    say(b, "unplug", "ok unplug");
    assert_true(at_end(one) && at_end(two));
    say(b, "plug", "ok plug");
    int again = connect_to(b, 0);
    read_until(again, '\n', "ST,+00000.00  g\r\n");
    close(slow);
    close(one);
    close(two);
    close(again);
}

static void a_polled_scale_speaks_when_asked(void **state)
{
    struct bench *b = *state;
    start_tcp(b, "hdr2", "50", "--poll");
    int fd = connect_to(b, 0);
    say(b, "cup 30", "ok cup");
    say(b, "settle", "settled 30.00");
    assert_int_equal(write(fd, "T\r\nQ\r\n", 6), 6);
    assert_int_equal(read_until(fd, '\n', "ST,+00030.00  g\r\n"), 0); /* the first and only one: nobody tared it */
    say(b, "heard", "ok heard 540d0a510d0a");
    say(b, "heard", "ok heard");
    say(b, "raw 2a0a", "ok raw");
    assert_int_equal(read_until(fd, '\n', "*\n"), 0);
    assert_int_equal(write(fd, "SIR\r\n", 5), 5);
    for (int i = 0; i < 3; i++)
        assert_int_equal(read_until(fd, '\n', "ST,+00030.00  g\r\n"), 0);
    close(fd);
}

static int open_link(const struct bench *b)
{
    int fd = open(b->link, O_RDWR | O_NOCTTY | O_CLOEXEC);
    assert_true(fd >= 0);
    return fd;
}

static void start_pty(struct bench *b, const char *family)
{
    char text[512], want[128];
    const char *options[] = {"--link",   b->link, "--hand", "manual", "--settle", "100",
                             "--family", family,  "--rate", "50",     NULL};
    start(b, options, false);
    snprintf(want, sizeof want, "link %s", b->link);
    assert_string_equal(line(b, text), want);
}

static void a_pty_may_be_closed_and_opened_again(void **state)
{
    struct bench *b = *state;
    start_pty(b, "sma");
    say(b, "cup 30", "ok cup");
    say(b, "settle", "settled 30.00");
    for (int i = 0; i < 3; i++) {
        char want[64];
        snprintf(want, sizeof want, "\n 1G       %d.00g  \r", 30 + i);
        int fd = open_link(b);
        assert_int_equal(read_until(fd, '\r', want), 0); /* no backlog from while nobody listened */
        read_until(fd, '\r', want);
        struct termios set;
        assert_int_equal(tcgetattr(fd, &set), 0);
        assert_int_equal(set.c_lflag & (ECHO | ICANON), 0);
        close(fd);
        say(b, "add 1", "ok add");
        snprintf(want, sizeof want, "settled %d.00", 31 + i);
        say(b, "settle", want);
    }
}

static void a_pulled_pty_comes_back_by_its_path(void **state)
{
    struct bench *b = *state;
    struct stat st;
    start_pty(b, "hdr2");
    int fd = open_link(b);
    read_until(fd, '\n', "ST,+00000.00  g\r\n");
    say(b, "unplug", "ok unplug");
    assert_true(at_end(fd));
    assert_int_equal(lstat(b->link, &st), -1);
    say(b, "plug", "ok plug");
    int again = open_link(b);
    read_until(again, '\n', "ST,+00000.00  g\r\n");
    close(fd);
    close(again);
}

static void it_ends_with_0_and_takes_its_link_along(void **state)
{
    struct bench *b = *state;
    struct stat st;
    for (int way = 0; way < 3; way++) {
        if (way == 0)
            assert_int_equal(symlink("/dev/pts/9999", b->link), 0); /* a stale one is replaced */
        start_pty(b, "hdr2");
        assert_int_equal(stat(b->link, &st), 0);
        if (way == 0)
            say(b, "quit", "ok quit");
        else if (way == 1)
            kill(b->pid, SIGTERM);
        close(b->in); /* way 2: the end of its input */
        b->in = -1;
        assert_int_equal(reap(b), 0);
        close(b->out);
        b->out = -1;
        assert_int_equal(lstat(b->link, &st), -1);
    }
}

static void what_is_not_its_own_is_left_alone(void **state)
{
    struct bench *b = *state;
    char text[512];
    close(open(b->link, O_CREAT | O_WRONLY | O_CLOEXEC, 0600));
    const char *options[] = {"--link", b->link, "--hand", "manual", NULL};
    start(b, options, true);
    assert_non_null(strstr(line(b, text), "something that is not a link to a terminal is there."));
    assert_int_equal(reap(b), 74);
    struct stat st;
    assert_int_equal(lstat(b->link, &st), 0);
    assert_true(S_ISREG(st.st_mode));
}

static void a_fault_is_one_line_and_64(void **state)
{
    struct bench *b = *state;
    char text[512];
    const char *options[] = {"--bogus", NULL};
    start(b, options, true);
    assert_string_equal(line(b, text), "poise-sim: --bogus: no such option. Try --help");
    assert_string_equal(line(b, text), "");
    assert_int_equal(reap(b), 64);
}

static void write_file(const struct bench *b, const char *text)
{
    FILE *file = fopen(b->file, "w");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
}

static void a_recording_comes_out_as_it_was(void **state)
{
    struct bench *b = *state;
    char text[512];
    write_file(b, "# family: hdr2\n0 53542c2b303030\n5 33302e3030202067 0d0a\n9 55532c2b\n");
    const char *options[] = {"--link", b->link, "--replay", b->file, "--chunk", "1", NULL};
    start(b, options, false);
    assert_non_null(strstr(line(b, text), "link "));
    int fd = open_link(b);
    assert_int_equal(read_until(fd, '\n', "ST,+00030.00  g\r\n"), 0);
    assert_int_equal(read_until(fd, '+', "US,+"), 0);
    assert_string_equal(line(b, text), "done replay 21");
    kill(b->pid, SIGTERM); /* it stays, silent, until told */
    assert_int_equal(reap(b), 0);
    close(fd);
}

static void a_scenario_runs_to_its_end(void **state)
{
    struct bench *b = *state;
    char text[512];
    write_file(b, "family fix16\nsettle 50\nrate 50\n0 cup 20\ndone+20 pour 2 20\ndone+0 weigh\n+10 quit\n");
    const char *options[] = {"--tcp", "0", "--scenario", b->file, NULL};
    start(b, options, false);
    static const char *const want[] = {"port ", "ok cup", "done 2.0000", "ok true 22.0000", "ok quit"};
    for (size_t i = 0; i < 5; i++)
        if (strncmp(line(b, text), want[i], strlen(want[i])) != 0)
            fail_msg("line %zu: %s", i, text);
    assert_int_equal(reap(b), 0);
}

int main(void)
{
#define EACH(test) cmocka_unit_test_setup_teardown(test, begin, end)
    const struct CMUnitTest tests[] = {
        EACH(a_pour_is_seen_on_tcp),
        EACH(other_words_go_on_during_a_pour),
        EACH(silence_and_raw_bytes),
        EACH(each_connection_gets_the_stream_and_a_slow_one_is_dropped),
        EACH(a_polled_scale_speaks_when_asked),
        EACH(a_pty_may_be_closed_and_opened_again),
        EACH(a_pulled_pty_comes_back_by_its_path),
        EACH(it_ends_with_0_and_takes_its_link_along),
        EACH(what_is_not_its_own_is_left_alone),
        EACH(a_fault_is_one_line_and_64),
        EACH(a_recording_comes_out_as_it_was),
        EACH(a_scenario_runs_to_its_end),
    };
    signal(SIGPIPE, SIG_IGN);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
