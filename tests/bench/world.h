/* world.h - what the benchmarks share: a poised of their own in a folder of its own, ptys, a client, percentiles.
 *
 * Header only, since each program in this folder is one file. A fault ends the program with one line and exit 1: a
 * benchmark that cannot measure says so instead of printing numbers.
 * Time    Nanoseconds of CLOCK_MONOTONIC.
 */
#ifndef TESTS_BENCH_WORLD_H
#define TESTS_BENCH_WORLD_H
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

enum { WORLD_LIMIT_MS = 10000, WORLD_PATH = 256, WORLD_CHILDREN = 16 };

struct world {
    char dir[WORLD_PATH];
    char socket[WORLD_PATH];
    char config[WORLD_PATH];
    pid_t children[WORLD_CHILDREN];
    int count;
};

/* A stream of lines: what was read and not yet handed out. */
struct lines {
    int fd;
    char text[65536];
    size_t len;
    size_t taken;
    int64_t read_ns; /* when the bytes of the line handed out last had been read */
};

__attribute__((format(printf, 1, 2), noreturn)) static inline void world_fail(const char *format, ...)
{
    va_list list;
    va_start(list, format);
    vfprintf(stderr, format, list);
    va_end(list);
    fputc('\n', stderr);
    exit(1);
}

static inline int64_t world_now_ns(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

/* The CPU time of a process with all its threads, in nanoseconds. */
static inline int64_t world_cpu_ns(pid_t pid)
{
    clockid_t clock;
    struct timespec t;
    if (clock_getcpuclockid(pid, &clock) != 0 || clock_gettime(clock, &t) != 0)
        world_fail("no CPU clock of process %d", (int)pid);
    return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

static inline void world_make(struct world *w)
{
    const char *where = getenv("TMPDIR");
    memset(w, 0, sizeof *w);
    snprintf(w->dir, sizeof w->dir, "%s/poise-bench-XXXXXX", where ? where : "/tmp");
    if (!mkdtemp(w->dir))
        world_fail("%s: %s", w->dir, strerror(errno));
    snprintf(w->socket, sizeof w->socket, "%.200s/sock", w->dir);
    snprintf(w->config, sizeof w->config, "%.200s/poised.ini", w->dir);
    signal(SIGPIPE, SIG_IGN);
}

/* Ends one child with SIGTERM and waits for it; -1: all of them. */
static inline void world_end_child(struct world *w, pid_t pid)
{
    for (int i = w->count - 1; i >= 0; i--) {
        if (!w->children[i] || (pid > 0 && w->children[i] != pid))
            continue;
        kill(w->children[i], SIGTERM);
        waitpid(w->children[i], NULL, 0);
        w->children[i] = 0;
    }
}

static inline void world_remove(struct world *w)
{
    world_end_child(w, -1);
    pid_t pid = fork();
    if (pid == 0) {
        execlp("rm", "rm", "-rf", "--", w->dir, (char *)NULL);
        _exit(127);
    }
    if (pid > 0)
        waitpid(pid, NULL, 0);
}

/* Starts a program with its stdout on a pipe, whose reading end is *out; preload: a library put under it, or NULL. */
static inline pid_t world_start(struct world *w, const char *const argv[], const char *preload, int *out)
{
    int ends[2];
    if (pipe2(ends, O_CLOEXEC) < 0)
        world_fail("pipe: %s", strerror(errno));
    pid_t pid = fork();
    if (pid == 0) {
        /* A poised left behind by a fault would read the pty of the next run, which gets the same number. */
        prctl(PR_SET_PDEATHSIG, SIGTERM);
        if (preload)
            setenv("LD_PRELOAD", preload, 1);
        dup2(ends[1], 1);
        execv(argv[0], (char **)(uintptr_t)argv);
        _exit(127);
    }
    close(ends[1]);
    if (pid < 0)
        world_fail("fork: %s", strerror(errno));
    int place = 0;
    while (place < WORLD_CHILDREN - 1 && w->children[place])
        place++;
    w->children[place] = pid;
    w->count = place >= w->count ? place + 1 : w->count;
    *out = ends[0];
    return pid;
}

static inline void world_wait(int fd, const char *what)
{
    struct pollfd p = {.fd = fd, .events = POLLIN};
    if (poll(&p, 1, WORLD_LIMIT_MS) <= 0)
        world_fail("nothing came in %d s: %s", WORLD_LIMIT_MS / 1000, what);
}

/* The next line, without its end. */
static inline char *world_line(struct lines *lines, const char *what)
{
    for (;;) {
        char *start = lines->text + lines->taken, *end = memchr(start, '\n', lines->len - lines->taken);
        if (end) {
            *end = 0;
            lines->taken = (size_t)(end + 1 - lines->text);
            return start;
        }
        memmove(lines->text, start, lines->len - lines->taken);
        lines->len -= lines->taken;
        lines->taken = 0;
        world_wait(lines->fd, what);
        ssize_t got = read(lines->fd, lines->text + lines->len, sizeof lines->text - 1 - lines->len);
        lines->read_ns = world_now_ns();
        if (got <= 0)
            world_fail("the end came: %s", what);
        lines->len += (size_t)got;
    }
}

/* A raw pty; path gets the slave's name. */
static inline int world_pty(char path[64])
{
    struct termios raw;
    int fd = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (fd < 0 || grantpt(fd) < 0 || unlockpt(fd) < 0 || ptsname_r(fd, path, 64) != 0 || tcgetattr(fd, &raw) < 0)
        world_fail("no pty: %s", strerror(errno));
    cfmakeraw(&raw);
    tcsetattr(fd, TCSANOW, &raw);
    return fd;
}

static inline int world_connect(const char *path)
{
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    if (strlen(path) >= sizeof at.sun_path)
        world_fail("%s: too long for a socket. Give a shorter TMPDIR", path);
    memcpy(at.sun_path, path, strlen(path) + 1);
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (fd < 0 || connect(fd, (struct sockaddr *)&at, sizeof at) < 0)
        world_fail("%s: %s", path, strerror(errno));
    return fd;
}

static inline void world_write(int fd, const char *text)
{
    size_t len = strlen(text);
    if (write(fd, text, len) != (ssize_t)len)
        world_fail("write: %s", strerror(errno));
}

/* The configuration of so many stations (bench, bench2, ...) and two toners with a formula; more data where given. */
static inline void world_configure(const struct world *w, const char *const ports[], int stations, const char *data)
{
    char path[WORLD_PATH + 16];
    snprintf(path, sizeof path, "%s/data", w->dir);
    mkdir(path, 0700);
    snprintf(path, sizeof path, "%s/data/bench.ini", w->dir);
    FILE *file = fopen(path, "w");
    if (!file)
        world_fail("%s: %s", path, strerror(errno));
    fputs("# Invented, for measuring.\n"
          "[toner BT-1]\nname = First\npigment = PW6\ndensity_g_per_ml = 1.2\nline = solvent\n"
          "[toner BT-2]\nname = Second\npigment = PBk7\ndensity_g_per_ml = 1\nline = solvent\n"
          "[formula]\ncode = BENCH-1\nname = Measure\nfinish = solid\nline = solvent\n"
          "[coat base]\nBT-1 = 60\nBT-2 = 40\n",
          file);
    fclose(file);
    file = fopen(w->config, "w");
    if (!file)
        world_fail("%s: %s", w->config, strerror(errno));
    fprintf(file, "[shop]\nname = Measuring bench\ncurrency = EUR\ndata = %s\n", data ? data : "data");
    for (int i = 0; i < stations; i++) {
        char number[12] = "";
        if (i)
            snprintf(number, sizeof number, "%d", i + 1);
        fprintf(file,
                "[station bench%s]\nport = %s\nprofile = hdr2\nd_g = 0.01\ncapacity_g = 3000\ntolerance_g = 0.05\n",
                number, ports[i]);
    }
    fclose(file);
}

/* Starts poised on the configuration and waits for its ready line; *took_ns gets the time until then. */
static inline pid_t world_poised(struct world *w, const char *build, const char *preload, int64_t *took_ns)
{
    char program[WORLD_PATH + 16], state[WORLD_PATH + 16];
    snprintf(program, sizeof program, "%s/poised", build);
    snprintf(state, sizeof state, "%s/state", w->dir);
    const char *argv[] = {program,    "--config", w->config,      "--state", state,
                          "--socket", w->socket,  "--foreground", NULL};
    struct lines *out = calloc(1, sizeof *out);
    if (!out)
        world_fail("no memory");
    int64_t begun = world_now_ns();
    pid_t pid = world_start(w, argv, preload, &out->fd);
    if (strncmp(world_line(out, "poised's ready line"), "ready ", 6) != 0)
        world_fail("poised did not say ready");
    *took_ns = world_now_ns() - begun;
    free(out); /* its pipe stays open */
    return pid;
}

/* A frame as the benchmarks' scale sends it. */
static inline void world_frame(int port, double g)
{
    char text[64];
    snprintf(text, sizeof text, "ST,+%08.2f  g\r\n", g);
    world_write(port, text);
}

/* Starts a painter who begins a batch of so many grams and takes the cup, and waits until that is done. port: the scale
 * speaks meanwhile, saying g, since a silent one gives no cup; -1: it speaks by itself. */
static inline pid_t world_painter(struct world *w, const char *build, const char *station, const char *grams, int port,
                                  double g)
{
    char program[WORLD_PATH + 32];
    snprintf(program, sizeof program, "%s/tests/bench/painter", build);
    const char *argv[] = {program, w->socket, station, grams, NULL};
    struct lines *out = calloc(1, sizeof *out);
    if (!out)
        world_fail("no memory");
    pid_t pid = world_start(w, argv, NULL, &out->fd);
    struct pollfd p = {.fd = out->fd, .events = POLLIN};
    if (port >= 0)
        world_frame(port, g);
    for (int i = 0; port >= 0 && i < WORLD_LIMIT_MS / 100 && poll(&p, 1, 100) == 0; i++)
        world_frame(port, g);
    if (strcmp(world_line(out, "the painter's ready line"), "ready") != 0)
        world_fail("the painter is not ready");
    free(out); /* its pipe stays open */
    return pid;
}

static inline int world_order(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The value below which `part` (0 to 1) of the values lie; sorts them. */
static inline double world_part(double *values, size_t count, double part)
{
    qsort(values, count, sizeof *values, world_order);
    size_t at = (size_t)(part * (double)count);
    return values[at < count ? at : count - 1];
}
#endif
