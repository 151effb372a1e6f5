/* Two batches poured while one allocation, write or sync after the other fails, each once: every call is answered or
 * its connection closed, nothing acknowledged is lost, a call that got no answer, sent again, has one effect, and a
 * sync that the disk refused ends poised with 74. POINTS sets how many; a fault names its own, and ACT=9 CALL=79 begins
 * with it, in that act alone. POISE_FAULTS_TRACE tells what became of each. */
#include "tests/e2e/preload/faults.h"
#include "tests/e2e/raw_client.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum { POINTS = 200, IO = 74, TRIES_MOST = 20000 };

/* The batches, one after the other: what stands on the scale, then the call. Another than the kill test's, with a
 * remedy and a tint in it. */
static const struct {
    double on_scale_g;
    const char *method, *params;
} story[] = {
    {0, "batch.begin", "{\"formula\":\"TI-207\",\"coat\":\"ground\",\"grams\":276.7,\"reduce_pct\":0}"},
    {31.2, "batch.accept", "{}"},
    {243.2, "batch.accept", "{\"lot\":\"A17\"}"},
    {304.7, "batch.accept", "{}"},
    {304.7, "batch.undo", "{}"},
    {304.7, "batch.accept", "{}"},
    {304.7, "batch.hold", "{}"},
    {304.7, "batch.resume", NULL},
    {304.7, "batch.accept", "{}"},
    {310.4, "batch.accept", "{}"},
    {310.4, "batch.remedy", "{\"choice\":\"leave\"}"},
    {310.4, "batch.finish", "{}"},
    {0, "batch.begin", "{\"formula\":\"TI-207\",\"coat\":\"ground\",\"grams\":276.7,\"reduce_pct\":0}"},
    {31.2, "batch.accept", "{}"},
    {243.2, "batch.accept", "{}"},
    {243.2, "batch.note", "{\"text\":\"the light is poor\"}"},
    {243.2, "batch.scrap", "{\"why\":\"only a try\"}"},
};
enum { ACTS = sizeof story / sizeof *story };

struct walk {
    struct harness *h;
    struct faults *faults;
    enum fault_of what;
    uint64_t next[ACTS];                  /* which call of that kind within the act fails next */
    int points, wanted, only;             /* only: the one act that is tried, -1: each */
    int refused, closed, ended, unharmed; /* what became of them */
    int telling;
    json_int_t revision; /* before the first act of this telling */
    char batch[24];
    json_t *record; /* of the first telling */
};

static void path_in(const struct harness *h, const char *name, char path[512])
{
    snprintf(path, 512, "%s/%s", h->dir, name);
}

static bool run(const char *const argv[])
{
    int status = -1;
    pid_t pid = fork();
    if (pid == 0) {
        execvp(argv[0], (char *const *)(uintptr_t)argv);
        _exit(127);
    }
    return pid > 0 && waitpid(pid, &status, 0) == pid && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

static struct faults *map_faults(const char *path)
{
    int fd = open(path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    assert_true(fd >= 0);
    assert_int_equal(ftruncate(fd, sizeof(struct faults)), 0);
    void *page = mmap(NULL, sizeof(struct faults), PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
    close(fd);
    assert_true(page != MAP_FAILED);
    return page;
}

/* With the shim under it. Nothing fails while it starts. */
static void start(struct walk *w)
{
    char shim[512], told[512];
    path_in(w->h, "faults.so", shim);
    path_in(w->h, "faults", told);
    const char *cc = getenv("CC");
    const char *const argv[] = {cc && *cc ? cc : "cc",        "-D_GNU_SOURCE", "-I.", "-shared", "-fPIC", "-o", shim,
                                "tests/e2e/preload/faults.c", "-ldl",          NULL};
    struct stat st;
    if (stat(shim, &st) != 0 && !run(argv))
        fail_msg("%s cannot be built", argv[7]);
    if (!w->faults)
        w->faults = map_faults(told);
    if (w->h->poised)
        assert_int_equal(harness_stop(w->h, SIGTERM), 0);
    setenv("LD_PRELOAD", shim, 1);
    setenv("POISE_FAULTS", told, 1);
    harness_start(w->h);
    unsetenv("LD_PRELOAD");
    harness_wait_scale(w->h, "bench", "live");
}

static void disarm(struct walk *w)
{
    for (int i = 0; i < FAULTS_OF; i++)
        w->faults->fails_at[i] = 0;
}

/* How it ended; -1: it runs. */
static int end_code(const struct harness *h)
{
    siginfo_t how = {0};
    if (waitid(P_PID, (id_t)h->poised, &how, WEXITED | WNOHANG | WNOWAIT) != 0 || how.si_pid == 0)
        return -1;
    return how.si_code == CLD_EXITED ? how.si_status : 128 + how.si_status;
}

/* NULL: nobody listens there any more. */
static struct raw_client *connect_if_there(const struct harness *h)
{
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    struct raw_client *c = calloc(1, sizeof *c);
    assert_non_null(c);
    memcpy(at.sun_path, h->socket, strnlen(h->socket, sizeof at.sun_path - 1));
    c->fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(c->fd >= 0);
    if (connect(c->fd, (struct sockaddr *)&at, sizeof at) == 0)
        return c;
    raw_client_close(c);
    return NULL;
}

/* The answer to one call over a connection of its own; NULL: it was closed. One that does neither fails the test. */
static json_t *ask(struct walk *w, const char *line)
{
    struct raw_client *c = connect_if_there(w->h);
    json_t *answer = c && raw_client_say(c, line) ? raw_client_answer(c) : NULL;
    if (c)
        raw_client_close(c);
    return answer;
}

static char *line_of(const struct walk *w, int act)
{
    json_t *params = story[act].params ? json_loads(story[act].params, 0, NULL) : json_pack("{s:s}", "batch", w->batch);
    json_object_set_new(params, "station", json_string("bench"));
    json_object_set_new(params, "revision", json_integer(w->revision + act));
    json_object_set_new(params, "request", json_sprintf("%d-%d-%d", (int)w->what, w->telling, act));
    json_t *call =
        json_pack("{s:s,s:i,s:s,s:o}", "jsonrpc", "2.0", "id", 1, "method", story[act].method, "params", params);
    char *line = json_dumps(call, JSON_COMPACT);
    json_decref(call);
    return line;
}

/* Whether the other end has hung up. */
static bool is_closed(int fd)
{
    struct pollfd p = {.fd = fd, .events = POLLIN};
    return poll(&p, 1, 0) > 0 && (p.revents & POLLHUP);
}

/* Everything works again: the story's own connection too, which may have been closed for want of memory. */
static void recover(struct walk *w, int act)
{
    struct harness *h = w->h;
    int code = -1;
    disarm(w);
    json_t *alive = end_code(h) < 0 ? ask(w, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"daemon.info\"}") : NULL;
    if (!alive) { /* it has ended, or is about to */
        for (int64_t deadline = harness_deadline(); (code = end_code(h)) < 0;)
            harness_step(h, deadline, "the end of poised");
        if (code != IO)
            fail_msg("act %d (%s), call %llu of kind %d: poised ended with %d", act, story[act].method,
                     (unsigned long long)w->next[act], (int)w->what, code);
        w->ended++;
        harness_stop(h, SIGKILL); /* nobody is there any more: the harness takes its end in */
        start(w);
    }
    json_decref(alive);
    while (h->client >= 0 && is_closed(h->client))
        harness_step(h, harness_deadline(), "the end of the connection");
    if (h->client < 0) {
        h->client = harness_connect(h);
        h->inbox_len = 0;
        harness_call(h, "watch", json_pack("{s:s}", "station", "bench"));
    }
}

/* The act with the next failing call; true: it was acknowledged. */
static bool try_act(struct walk *w, int act)
{
    char *line = line_of(w, act);
    uint64_t at = ++w->next[act], from = w->faults->count[w->what];
    w->faults->fails_at[w->what] = from + at;
    json_t *answer = ask(w, line);
    bool failed = w->faults->count[w->what] >= from + at, good = json_object_get(answer, "result") != NULL;
    free(line);
    if (!failed)
        w->next[act] = 0; /* all of this act's calls have failed in their turn */
    w->points += failed;
    w->unharmed += failed && good;
    w->refused += failed && answer && !good;
    w->closed += failed && !answer;
    if (getenv("POISE_FAULTS_TRACE"))
        print_message("act %d, call %llu: %s\n", act, (unsigned long long)at,
                      !failed  ? "the end"
                      : good   ? "unharmed"
                      : answer ? "refused"
                               : "closed");
    if (!failed && !good)
        fail_msg("act %d (%s) is refused though nothing failed: %s\non the screen %s", act, story[act].method,
                 json_dumps(answer, 0),
                 json_dumps(harness_call(w->h, "watch", json_pack("{s:s}", "station", "bench")), 0));
    json_decref(answer);
    recover(w, act);
    return good;
}

/* Sent again, with nothing that fails: done once, whatever became of it before. */
static void settle(struct walk *w, int act)
{
    char *line = line_of(w, act);
    json_t *answer = ask(w, line), *screen = json_object_get(answer, "result");
    if (!screen || json_integer_value(json_object_get(screen, "revision")) != w->revision + act + 1)
        fail_msg("act %d (%s), call %llu of kind %d, sent again: %s", act, story[act].method,
                 (unsigned long long)w->next[act], (int)w->what, json_dumps(answer, 0));
    const char *batch = json_string_value(json_object_get(screen, "batch"));
    if (batch)
        snprintf(w->batch, sizeof w->batch, "%s", batch);
    free(line);
    json_decref(answer);
}

/* What the first batch of a telling is in the books: the same whatever failed. */
static void check_record(struct walk *w)
{
    json_t *got = harness_call(w->h, "batch.get", json_pack("{s:s}", "batch", w->batch));
    json_t *record = json_pack("{s:O,s:O,s:O}", "parts", json_object_get(got, "parts"), "state",
                               json_object_get(got, "state"), "total_g", json_object_get(got, "total_g"));
    if (w->record && !json_equal(w->record, record))
        fail_msg("telling %d left another record:\n%s\n%s", w->telling, json_dumps(record, 0),
                 json_dumps(w->record, 0));
    json_decref(w->record);
    w->record = record;
}

static void tell(struct walk *w)
{
    json_t *screen = harness_call(w->h, "watch", json_pack("{s:s}", "station", "bench"));
    w->revision = json_integer_value(json_object_get(screen, "revision"));
    for (int act = 0; act < ACTS; act++) {
        harness_weigh(w->h, "bench", story[act].on_scale_g);
        bool done = false;
        bool tried = w->telling > 0 && (w->only < 0 || w->only == act);
        for (int i = 0; tried && !done && w->points < w->wanted && i < TRIES_MOST; i++) {
            done = try_act(w, act);
            harness_weigh(w->h, "bench", story[act].on_scale_g);
        }
        settle(w, act);
        if (strcmp(story[act].method, "batch.finish") == 0)
            check_record(w);
    }
    w->telling++;
}

/* A number of the environment, else the usual one. */
static int number(const char *name, int usual)
{
    const char *text = getenv(name);
    return text && *text ? atoi(text) : usual;
}

static void walk(struct harness *h, enum fault_of what, int error, int wanted)
{
    struct walk w = {.h = h, .what = what, .wanted = wanted, .only = number("ACT", -1)};
    if (w.only >= 0 && w.only < ACTS)
        w.next[w.only] = (uint64_t)number("CALL", 1) - 1;
    start(&w);
    w.faults->error = error;
    while (w.points < w.wanted)
        tell(&w);
    print_message("%d points: %d refused, %d closed, %d ended, %d unharmed, in %d tellings\n", w.points, w.refused,
                  w.closed, w.ended, w.unharmed, w.telling);
    json_decref(w.record);
    munmap(w.faults, sizeof *w.faults);
}

/* A sanitizer's memory is its own, and its runtime wants to come before any shim. */
static void skip_under_sanitizers(void)
{
#ifdef __SANITIZE_ADDRESS__
    skip();
#endif
}

static void memory_that_fails_loses_nothing(void **state)
{
    skip_under_sanitizers();
    walk(*state, OF_MEMORY, ENOMEM, number("POINTS", POINTS));
}

static void a_write_that_fails_loses_nothing(void **state)
{
    skip_under_sanitizers();
    walk(*state, OF_WRITE, EIO, number("POINTS", POINTS) / 5);
}

static void a_write_without_room_loses_nothing(void **state)
{
    skip_under_sanitizers();
    walk(*state, OF_WRITE, ENOSPC, number("POINTS", POINTS) / 5);
}

static void a_sync_that_fails_ends_it(void **state)
{
    skip_under_sanitizers();
    walk(*state, OF_SYNC, EIO, number("POINTS", POINTS) / 10);
}

static void a_sync_without_room_ends_it(void **state)
{
    skip_under_sanitizers();
    walk(*state, OF_SYNC, ENOSPC, number("POINTS", POINTS) / 10);
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, harness_end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(memory_that_fails_loses_nothing),    TEST(a_write_that_fails_loses_nothing),
        TEST(a_write_without_room_loses_nothing), TEST(a_sync_that_fails_ends_it),
        TEST(a_sync_without_room_ends_it),
    };
    cmocka_set_test_filter(getenv("TEST"));
    return cmocka_run_group_tests(tests, NULL, NULL);
}
