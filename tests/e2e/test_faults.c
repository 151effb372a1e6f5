/* Two batches poured while one allocation, write or sync after the other fails, each once: every call is answered or
 * its connection closed, nothing acknowledged is lost, a call that got no answer, sent again, has one effect, and a
 * sync that the disk refused ends poised with 74. POINTS sets how many; a fault names its own, and ACT=9 CALL=79 begins
 * with it, in that act alone. POISE_FAULTS_TRACE tells what became of each. */
#include "tests/e2e/faulty.h"

#include <errno.h>
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
    faulty_disarm(w->faults);
    json_t *alive =
        faulty_end_code(h) < 0 ? faulty_ask(h, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"daemon.info\"}") : NULL;
    if (!alive) { /* it has ended, or is about to */
        for (int64_t deadline = harness_deadline(); (code = faulty_end_code(h)) < 0;)
            harness_step(h, deadline, "the end of poised");
        if (code != (w->faults->error == FAULTS_KILL ? 128 + SIGKILL : IO))
            fail_msg("act %d (%s), call %llu of kind %d: poised ended with %d", act, story[act].method,
                     (unsigned long long)w->next[act], (int)w->what, code);
        w->ended++;
        harness_stop(h, SIGKILL); /* nobody is there any more: the harness takes its end in */
        faulty_start(h, &w->faults);
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
    json_t *answer = faulty_ask(w->h, line);
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
    json_t *answer = faulty_ask(w->h, line), *screen = json_object_get(answer, "result");
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

static void walk(struct harness *h, enum fault_of what, int error, int wanted)
{
    struct walk w = {.h = h, .what = what, .wanted = wanted, .only = faulty_number("ACT", -1)};
    if (w.only >= 0 && w.only < ACTS)
        w.next[w.only] = (uint64_t)faulty_number("CALL", 1) - 1;
    faulty_start(h, &w.faults);
    w.faults->error = error;
    while (w.points < w.wanted)
        tell(&w);
    print_message("%d points: %d refused, %d closed, %d ended, %d unharmed, in %d tellings\n", w.points, w.refused,
                  w.closed, w.ended, w.unharmed, w.telling);
    json_decref(w.record);
    munmap(w.faults, sizeof *w.faults);
}

static void memory_that_fails_loses_nothing(void **state)
{
    faulty_skip_under_sanitizers();
    walk(*state, OF_MEMORY, ENOMEM, faulty_number("POINTS", POINTS));
}

static void a_write_that_fails_loses_nothing(void **state)
{
    faulty_skip_under_sanitizers();
    walk(*state, OF_WRITE, EIO, faulty_number("POINTS", POINTS) / 5);
}

static void a_write_without_room_loses_nothing(void **state)
{
    faulty_skip_under_sanitizers();
    walk(*state, OF_WRITE, ENOSPC, faulty_number("POINTS", POINTS) / 5);
}

static void a_sync_that_fails_ends_it(void **state)
{
    faulty_skip_under_sanitizers();
    walk(*state, OF_SYNC, EIO, faulty_number("POINTS", POINTS) / 10);
}

static void a_sync_without_room_ends_it(void **state)
{
    faulty_skip_under_sanitizers();
    walk(*state, OF_SYNC, ENOSPC, faulty_number("POINTS", POINTS) / 10);
}

static void a_kill_at_a_write_loses_nothing(void **state)
{
    faulty_skip_under_sanitizers();
    walk(*state, OF_WRITE, FAULTS_KILL, faulty_number("POINTS", POINTS) / 5);
}

static void a_kill_at_a_sync_loses_nothing(void **state)
{
    faulty_skip_under_sanitizers();
    walk(*state, OF_SYNC, FAULTS_KILL, faulty_number("POINTS", POINTS) / 10);
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
        TEST(a_sync_without_room_ends_it),        TEST(a_kill_at_a_write_loses_nothing),
        TEST(a_kill_at_a_sync_loses_nothing),
    };
    cmocka_set_test_filter(getenv("TEST"));
    return cmocka_run_group_tests(tests, NULL, NULL);
}
