/* terminal BUILD [--frames N]: the last byte of a frame on a pty to the bytes that `poise bench` writes to its
 * terminal, 80 columns by 24, and the CPU of the terminal beside that of the daemon. A batch is in pour, so the page
 * with the most on it is shown.
 *
 * A terminal is written to only where it changes, so no number can be looked for: before each frame all is read that
 * was written, and the first bytes after it are the answer.
 */
#include "tests/bench/world.h"
#include <sys/ioctl.h>
#include <sys/timerfd.h>

enum { WARM_UP = 50, PERIOD_NS = 20000000, COLUMNS_ = 80, LINES_ = 24 };

/* All that the terminal was written so far. */
static void drain(int fd)
{
    char text[4096];
    struct pollfd p = {.fd = fd, .events = POLLIN};
    while (poll(&p, 1, 0) > 0 && read(fd, text, sizeof text) > 0)
        ;
}

/* Its process; *master is the far end of its terminal. */
static pid_t start_terminal(struct world *w, const char *build, int *master)
{
    char slave[64], program[WORLD_PATH + 16];
    struct winsize size = {.ws_row = LINES_, .ws_col = COLUMNS_};
    snprintf(program, sizeof program, "%s/poise", build);
    *master = world_pty(slave);
    ioctl(*master, TIOCSWINSZ, &size);
    pid_t pid = fork();
    if (pid == 0) {
        prctl(PR_SET_PDEATHSIG, SIGTERM);
        setsid();
        int fd = open(slave, O_RDWR);
        if (fd < 0)
            _exit(127);
        ioctl(fd, TIOCSCTTY, 0);
        dup2(fd, 0);
        dup2(fd, 1);
        dup2(fd, 2);
        setenv("TERM", "xterm-256color", 1);
        execl(program, program, "--socket", w->socket, "bench", "bench", (char *)NULL);
        _exit(127);
    }
    if (pid < 0)
        world_fail("fork: %s", strerror(errno));
    w->children[w->count++] = pid;
    return pid;
}

/* Waits until poised has heard the scale: before that no cup can be taken. */
static void hear(const struct world *w, int port)
{
    struct lines *client = calloc(1, sizeof *client);
    if (!client)
        world_fail("no memory");
    client->fd = world_connect(w->socket);
    world_write(client->fd, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":{\"station\":\"bench\"}}\n");
    world_line(client, "the answer of watch");
    world_frame(port, 30);
    while (!strstr(world_line(client, "the first weight"), "\"weight_g\":30"))
        ;
    close(client->fd);
    free(client);
}

int main(int argc, char **argv)
{
    static struct world w;
    size_t frames = argc > 3 && !strcmp(argv[2], "--frames") ? (size_t)strtoul(argv[3], NULL, 10) : 500;
    double *us = calloc(frames ? frames : 1, sizeof *us);
    char slave[64], port[128];
    int64_t took, cpu[2] = {0, 0};
    if (argc < 2 || !us || frames < 1 || frames > 100000)
        world_fail("terminal BUILD [--frames N]");
    world_make(&w);
    int scale = world_pty(slave), master;
    snprintf(port, sizeof port, "pty:%s", slave);
    world_configure(&w, (const char *const[]){port}, 1, NULL);
    pid_t poised = world_poised(&w, argv[1], NULL, &took);
    hear(&w, scale);
    /* Large enough for every weight that is shown; the painter who began it goes again. */
    world_end_child(&w, world_painter(&w, argv[1], "bench", "1000", scale, 30));
    pid_t terminal = start_terminal(&w, argv[1], &master);
    int clock = timerfd_create(CLOCK_MONOTONIC, TFD_CLOEXEC);
    struct itimerspec every = {{0, PERIOD_NS}, {0, PERIOD_NS}};
    timerfd_settime(clock, 0, &every, NULL);
    for (size_t i = 0; i < WARM_UP + frames; i++) {
        uint64_t rounds;
        if (read(clock, &rounds, sizeof rounds) < 0)
            world_fail("timer: %s", strerror(errno));
        if (i == WARM_UP) {
            cpu[0] = world_cpu_ns(poised);
            cpu[1] = world_cpu_ns(terminal);
        }
        drain(master);
        int64_t begun = world_now_ns();
        world_frame(scale, 30.01 + 0.1 * (double)(i % 1000));
        if (i >= WARM_UP / 2) /* till then it is still starting */
            world_wait(master, "what the terminal is written");
        if (i >= WARM_UP)
            us[i - WARM_UP] = (double)(world_now_ns() - begun) / 1000;
    }
    cpu[0] = world_cpu_ns(poised) - cpu[0];
    cpu[1] = world_cpu_ns(terminal) - cpu[1];
    printf("frame to terminal: p50 %.0f us, p99 %.0f us (at most 5000)\n", world_part(us, frames, 0.5),
           world_part(us, frames, 0.99));
    printf("CPU at 50 frames/s in a pour: terminal %.0f us, poised %.0f us a frame, ratio %.2f (at most 2)\n",
           (double)cpu[1] / 1000 / (double)frames, (double)cpu[0] / 1000 / (double)frames,
           (double)cpu[1] / (double)cpu[0]);
    close(clock);
    world_remove(&w);
    free(us);
    return 0;
}
