/* harness.c - the folder, the configuration, the daemon's life and programs run beside it; talk.c holds the calls. */
#include "tests/e2e/harness.h"

#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/pidfd.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

static const char default_station[] = "d_g = 0.01\ncapacity_g = 3000\ntolerance_g = 0.05\ntolerance_pct = 0.5\n";

static const char *build_folder(void)
{
    const char *build = getenv("POISE_BUILD");
    return build && *build ? build : "build";
}

static int remove_one(const char *path, const struct stat *st, int kind, struct FTW *ftw)
{
    (void)st, (void)kind, (void)ftw;
    return remove(path);
}

static void in_dir(const struct harness *h, const char *name, char *path, size_t size)
{
    if (snprintf(path, size, "%s/%s", h->dir, name) >= (int)size)
        fail_msg("the path %s/%s is too long", h->dir, name);
}

static void write_config(struct harness *h)
{
    char path[HARNESS_PATH + 16];
    char *data = realpath(h->setup.data ? h->setup.data : "tests/data/e2e", NULL);
    if (!data)
        fail_msg("no folder %s (run from the top of the tree)", h->setup.data ? h->setup.data : "tests/data/e2e");
    in_dir(h, "poised.ini", path, sizeof path);
    FILE *f = fopen(path, "we");
    if (!f)
        fail_msg("%s: %s", path, strerror(errno));
    fprintf(f, "[shop]\nname = Tern Island Coachworks\ncurrency = EUR\ndata = %s\n%s\n", data,
            h->setup.shop_lines ? h->setup.shop_lines : "");
    for (size_t i = 0; i < h->stations; i++)
        fprintf(f, "[station %s]\nport = tcp:127.0.0.1:%d\nprofile = hdr2\n%s\n", h->station[i].name,
                h->station[i].scale.port, h->setup.station_lines ? h->setup.station_lines : default_station);
    fprintf(f, "%s\n", h->setup.config_lines ? h->setup.config_lines : "");
    free(data);
    if (fclose(f) != 0)
        fail_msg("%s: %s", path, strerror(errno));
}

/* Ends the daemon and removes the folder; h itself stays. May be done twice. */
static void clear(struct harness *h)
{
    if (h->poised > 0) {
        kill(h->poised, SIGKILL);
        waitpid(h->poised, NULL, 0);
    }
    h->poised = 0;
    if (h->dir[0])
        nftw(h->dir, remove_one, 16, FTW_DEPTH | FTW_PHYS);
    h->dir[0] = '\0';
}

/* cmocka runs no teardown after a setup that failed: what is open then is cleared as the program ends. */
static struct harness *alive;

static void clear_alive(void)
{
    if (alive)
        clear(alive);
}

int harness_begin(void **state, const struct harness_setup *setup)
{
    struct harness *h = calloc(1, sizeof *h);
    if (!h)
        return -1;
    *state = h;
    static bool registered;
    registered = registered || atexit(clear_alive) == 0;
    alive = h;
    h->client = h->pidfd = h->out = -1;
    h->answers = json_object();
    if (setup)
        h->setup = *setup;
    if (!h->setup.stations[0])
        h->setup.stations[0] = "bench";
    const char *tmp = getenv("TMPDIR");
    snprintf(h->dir, sizeof h->dir, "%s/poise-XXXXXX", tmp && *tmp && strlen(tmp) < 60 ? tmp : "/tmp");
    if (!mkdtemp(h->dir))
        fail_msg("%s: %s", h->dir, strerror(errno));
    in_dir(h, "sock", h->socket, sizeof h->socket);
    for (; h->stations < HARNESS_STATIONS && h->setup.stations[h->stations]; h->stations++) {
        struct harness_station *s = &h->station[h->stations];
        snprintf(s->name, sizeof s->name, "%s", h->setup.stations[h->stations]);
        if (!fake_scale_init(&s->scale))
            fail_msg("no port for a scale: %s", strerror(errno));
        fake_scale_show(&s->scale, 0, true);
    }
    write_config(h);
    harness_start(h);
    return 0;
}

int harness_begin_live(void **state)
{
    if (harness_begin(state, NULL) != 0)
        return -1;
    harness_wait_scale(*state, "bench", "live");
    return 0;
}

int harness_end(void **state)
{
    struct harness *h = *state;
    if (!h)
        return 0;
    clear(h);
    alive = NULL;
    int open[] = {h->client, h->pidfd, h->out};
    for (size_t i = 0; i < sizeof open / sizeof *open; i++)
        if (open[i] >= 0)
            close(open[i]);
    for (size_t i = 0; i < h->stations; i++) {
        fake_scale_finish(&h->station[i].scale);
        json_decref(h->station[i].screen);
        json_decref(h->station[i].weight);
    }
    json_decref(h->answers);
    json_decref(h->last);
    free(h->inbox);
    free(h);
    *state = NULL;
    return 0;
}

/* In the child: the descriptors as stdin, stdout, stderr (-1: /dev/null), then the program. Does not return. */
_Noreturn static void become(const char *path, const char *const argv[], const int fd[3])
{
    prctl(PR_SET_PDEATHSIG, SIGKILL); /* nothing outlives a story that crashes */
    for (int i = 0; i < 3; i++) {
        int from = fd[i] >= 0 ? fd[i] : open("/dev/null", O_RDWR);
        if (from < 0 || dup2(from, i) < 0)
            _exit(126);
    }
    execv(path, (char *const *)(uintptr_t)argv);
    fprintf(stderr, "%s: %s\n", path, strerror(errno));
    _exit(127);
}

static void spawn_poised(struct harness *h)
{
    char path[HARNESS_PATH], config[HARNESS_PATH + 16], keep[HARNESS_PATH + 16], log[HARNESS_PATH + 16];
    snprintf(path, sizeof path, "%s/poised", build_folder());
    in_dir(h, "poised.ini", config, sizeof config);
    in_dir(h, "state", keep, sizeof keep);
    in_dir(h, "poised.err", log, sizeof log);
    const char *argv[24] = {"poised", "--config", config, "--state", keep, "--socket", h->socket, "--foreground"};
    for (size_t i = 0, at = 8; i < 8 && h->setup.options[i]; i++)
        argv[at++] = h->setup.options[i];
    int out[2] = {-1, -1}, err = open(log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    if (err < 0 || pipe2(out, O_CLOEXEC) < 0)
        fail_msg("%s: %s", log, strerror(errno));
    h->poised = fork();
    if (h->poised == 0)
        become(path, argv, (const int[]){-1, out[1], err});
    close(out[1]);
    close(err);
    h->out = out[0];
    h->pidfd = h->poised > 0 ? pidfd_open(h->poised, 0) : -1;
    if (h->pidfd < 0)
        fail_msg("poised: %s", strerror(errno));
}

/* What the daemon said on stderr from byte `from` on, shortened to the buffer's end. */
static void read_log(const struct harness *h, long from, char *text, size_t size)
{
    char path[HARNESS_PATH + 16];
    text[0] = '\0';
    in_dir(h, "poised.err", path, sizeof path);
    FILE *f = fopen(path, "re");
    if (!f)
        return;
    fseek(f, from, SEEK_SET);
    text[fread(text, 1, size - 1, f)] = '\0';
    fclose(f);
}

static int ended(struct harness *h)
{
    int status = 0;
    waitpid(h->poised, &status, 0);
    h->poised = 0;
    int *open[] = {&h->client, &h->pidfd, &h->out};
    for (size_t i = 0; i < sizeof open / sizeof *open; i++) {
        if (*open[i] >= 0)
            close(*open[i]);
        *open[i] = -1;
    }
    h->inbox_len = 0;
    json_object_clear(h->answers);
    for (size_t i = 0; i < h->stations; i++) {
        json_decref(h->station[i].screen);
        json_decref(h->station[i].weight);
        h->station[i].screen = h->station[i].weight = NULL;
    }
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

static bool readable(int fd)
{
    struct pollfd p = {.fd = fd, .events = POLLIN};
    return poll(&p, 1, 0) > 0;
}

void harness_start(struct harness *h)
{
    spawn_poised(h);
    int64_t deadline = harness_deadline();
    size_t len = 0;
    while (len == 0 || h->ready[len - 1] != '\n') {
        harness_step(h, deadline, "the ready line");
        ssize_t got = readable(h->out) ? read(h->out, h->ready + len, 1) : -1;
        if (got == 0 || len + 2 > sizeof h->ready) {
            char log[2048];
            int code = ended(h);
            read_log(h, 0, log, sizeof log);
            fail_msg("poised ended (%d) before it was ready:\n%s", code, log);
        }
        len += got > 0 ? 1 : 0;
    }
    h->ready[len - 1] = '\0';
    assert_int_equal(strncmp(h->ready, "ready socket=", 13), 0);
    h->client = harness_connect(h);
    for (size_t i = 0; i < h->stations; i++) {
        json_t *screen = harness_call(h, "watch", json_pack("{s:s}", "station", h->station[i].name));
        if (!h->station[i].screen) /* else a note that followed the answer is here already */
            h->station[i].screen = json_incref(screen);
    }
}

int harness_stop(struct harness *h, int signal)
{
    kill(h->poised, signal);
    int64_t deadline = harness_deadline();
    while (!readable(h->pidfd))
        harness_step(h, deadline, "the end of poised");
    return ended(h);
}

int harness_refuses_to_start(struct harness *h, char *err, size_t size)
{
    char path[HARNESS_PATH + 16];
    struct stat st = {0};
    in_dir(h, "poised.err", path, sizeof path);
    (void)stat(path, &st);
    spawn_poised(h);
    int64_t deadline = harness_deadline();
    while (!readable(h->pidfd))
        harness_step(h, deadline, "poised to refuse");
    int code = ended(h);
    read_log(h, (long)st.st_size, err, size);
    return code;
}

/* Takes in what stands ready on fd; false at its end. What does not fit is dropped. */
static bool drain(int fd, char *text, size_t *len, size_t size)
{
    char chunk[4096];
    ssize_t got = read(fd, chunk, sizeof chunk);
    for (ssize_t i = 0; i < got; i++)
        if (*len + 1 < size)
            text[(*len)++] = chunk[i];
    return got > 0;
}

int harness_run(struct harness *h, const char *const argv[], const char *in, char *out, size_t out_size, char *err,
                size_t err_size)
{
    char path[HARNESS_PATH];
    snprintf(path, sizeof path, "%s/%s", build_folder(), argv[0]);
    int to[2] = {-1, -1}, from[2] = {-1, -1}, errs[2] = {-1, -1};
    if (pipe2(to, O_CLOEXEC) < 0 || pipe2(from, O_CLOEXEC) < 0 || pipe2(errs, O_CLOEXEC) < 0)
        fail_msg("pipe: %s", strerror(errno));
    setenv("POISE_SOCKET", h->socket, 1);
    pid_t pid = fork();
    if (pid == 0)
        become(path, argv, (const int[]){to[0], from[1], errs[1]});
    close(to[0]), close(from[1]), close(errs[1]);
    if (in && write(to[1], in, strlen(in)) < 0) /* below a pipe's 64 KiB, so it cannot block */
        print_message("%s takes no input\n", argv[0]);
    close(to[1]);
    size_t out_len = 0, err_len = 0;
    int64_t deadline = harness_deadline();
    for (bool out_open = true, err_open = true; out_open || err_open;) {
        if (out_open && readable(from[0]))
            out_open = drain(from[0], out, &out_len, out_size);
        else if (err_open && readable(errs[0]))
            err_open = drain(errs[0], err, &err_len, err_size);
        else
            harness_step(h, deadline, argv[0]);
    }
    out[out_len] = err[err_len] = '\0';
    close(from[0]), close(errs[0]);
    int status = 0;
    waitpid(pid, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}
