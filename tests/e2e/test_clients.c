/* Clients that do not read, vanish in mid-word or come in crowds: the others notice nothing, and memory stays bounded.
 */
#include "tests/e2e/raw_client.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#define WATCH "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":{\"station\":\"bench\"}}"
#define INFO  "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"daemon.info\"}"

/* What the daemon may grow by; a sanitizer's books grow too. */
#if defined __SANITIZE_ADDRESS__ || defined __SANITIZE_THREAD__
enum { GROWTH_KIB = 64 * 1024 };
#else
enum { GROWTH_KIB = 1024 };
#endif

static long resident_kib(const struct harness *h)
{
    char path[64], line[256];
    long kib = -1;
    snprintf(path, sizeof path, "/proc/%d/status", (int)h->poised);
    FILE *f = fopen(path, "re");
    assert_non_null(f);
    while (kib < 0 && fgets(line, sizeof line, f))
        (void)sscanf(line, "VmRSS: %ld", &kib);
    fclose(f);
    assert_true(kib > 0);
    return kib;
}

static int open_files(const struct harness *h)
{
    char path[64];
    int count = 0;
    for (int fd = 0; fd < 1024; fd++) {
        snprintf(path, sizeof path, "/proc/%d/fd/%d", (int)h->poised, fd);
        char to[8];
        count += readlink(path, to, sizeof to) > 0;
    }
    return count;
}

static bool is_note(json_t *line, const char *method)
{
    const char *is = json_string_value(json_object_get(line, "method"));
    return is && strcmp(is, method) == 0;
}

/* 20 s of weights at 100 a second, each of which another client has seen. */
static void weights_are_never_queued(void **state)
{
    struct harness *h = *state;
    struct raw_client *c = raw_client_open(h);
    assert_true(raw_client_say(c, WATCH));
    harness_weigh(h, "bench", 1);
    long before = resident_kib(h);
    double grams = 1;
    for (int i = 0; i < 2000; i++)
        harness_weigh(h, "bench", grams += 0.25);
    long after = resident_kib(h);
    if (after - before > GROWTH_KIB)
        fail_msg("%ld KiB before, %ld KiB after", before, after);
    int notes = 0;
    for (double seen = 0, last = 0; fabs(seen - grams) > 1e-6;) { /* what waited, then the newest one, in order */
        json_t *line = raw_client_answer(c);
        assert_non_null(line);
        if (is_note(line, "weight")) {
            seen = json_number_value(json_object_get(json_object_get(line, "params"), "weight_g"));
            assert_true(seen >= last);
            last = seen;
            notes++;
        }
        json_decref(line);
    }
    assert_true(notes < 1900);
    raw_client_lives(c);
    raw_client_close(c);
}

/* Screens are never dropped, so a client that lets 64 KiB of them wait is. What it reads until its end is in order. */
static void a_client_that_lets_screens_wait_is_dropped(void **state)
{
    struct harness *h = *state;
    struct raw_client *c = raw_client_open(h);
    assert_true(raw_client_say(c, WATCH));
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    long before = resident_kib(h);
    int files = open_files(h);
    for (int i = 0; i < 400; i++)
        harness_act(h, "bench", "batch.note", json_pack("{s:s}", "text", "the light is poor today"));
    assert_true(resident_kib(h) - before <= GROWTH_KIB);
    assert_int_equal(open_files(h), files - 1);
    json_int_t last = -1;
    int screens = 0;
    for (json_t *line; (line = raw_client_answer(c)); json_decref(line)) {
        if (!is_note(line, "screen"))
            continue;
        json_int_t revision = json_integer_value(json_object_get(json_object_get(line, "params"), "revision"));
        assert_true(revision >= last);
        last = revision;
        screens++;
    }
    assert_in_range(screens, 1, 100);
    raw_client_close(c);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
}

/* Asks much and reads nothing: it is not served further, and holds nobody up. */
static void a_client_that_only_asks_is_held_back(void **state)
{
    struct harness *h = *state;
    struct raw_client *c = raw_client_open(h);
    long before = resident_kib(h);
    size_t len = (sizeof INFO) * 3000;
    char *calls = malloc(len);
    assert_non_null(calls);
    for (size_t i = 0; i < len; i += sizeof INFO)
        memcpy(calls + i, INFO "\n", sizeof INFO);
    assert_true(raw_client_send(c, calls, 60000));
    free(calls);
    for (int i = 0; i < 200; i++)
        harness_call(h, "daemon.info", NULL);
    assert_true(resident_kib(h) - before <= GROWTH_KIB);
    for (size_t i = 0; i < 60000 / sizeof INFO; i++) /* each is answered once it reads */
        assert_int_equal(raw_client_code(c), 0);
    raw_client_close(c);
}

static const char *const last_words[] = {
    "",       "{\"jsonrpc\":\"2.0\",\"id\":1,\"meth", WATCH "\n", INFO "\n" INFO "\n" INFO "\n" WATCH "\n" WATCH "\n",
    "\n\n\n",
};

static void a_hundred_clients_come_and_vanish(void **state)
{
    struct harness *h = *state;
    struct raw_client *crowd[100];
    harness_call(h, "daemon.info", NULL);
    int files = open_files(h);
    for (int round = 0; round < 3; round++) {
        for (int i = 0; i < 100; i++) {
            const char *words = last_words[(i + round) % 5];
            crowd[i] = raw_client_open(h);
            assert_true(raw_client_send(crowd[i], words, strlen(words)));
            if (round == 0)
                raw_client_close(crowd[i]);
        }
        harness_weigh(h, "bench", 10 + round);
        for (int i = 0; round > 0 && i < 100; i++)
            raw_client_close(crowd[i]);
        harness_weigh(h, "bench", 20 + round);
        int64_t deadline = harness_deadline();
        while (open_files(h) != files) /* at most 128 are taken at a time */
            harness_step(h, deadline, "the end of all connections");
    }
    harness_call(h, "daemon.info", NULL);
}

/* An accept that is on its way when its client goes is done once, and told to whoever asks again. */
static void a_client_gone_in_mid_accept_is_served(void **state)
{
    struct harness *h = *state;
    char call[256];
    harness_weigh(h, "bench", 0); /* what the test before left there would stand under the cup, if seen after begin */
    json_int_t revision = json_integer_value(
        json_object_get(harness_act(h, "bench", "batch.begin",
                                    json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250)),
                        "revision"));
    harness_weigh(h, "bench", 31.2);
    snprintf(call, sizeof call,
             "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"batch.accept\",\"params\":{\"station\":\"bench\","
             "\"request\":\"gone\",\"revision\":%lld}}",
             (long long)revision);
    struct raw_client *c = raw_client_open(h);
    assert_true(raw_client_say(c, call));
    raw_client_close(c);
    harness_wait_state(h, "bench", "pour");
    json_t *screen =
        harness_act(h, "bench", "batch.accept", json_pack("{s:s,s:I}", "request", "gone", "revision", revision));
    assert_int_equal(json_integer_value(json_object_get(screen, "revision")), revision + 1);
    assert_int_equal(harness_number(h, "bench", "step"), 1);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
    assert_int_equal(harness_number(h, "bench", "revision"), revision + 2);
}

/* The scale shows these grams, moving, and the daemon knows: a steady reading from before would do for an accept. */
static void weigh_moving(struct harness *h, double grams)
{
    fake_scale_show(harness_scale(h, "bench"), grams, false);
    for (int64_t deadline = harness_deadline(); !json_is_false(json_object_get(h->station[0].weight, "stable"));)
        harness_step(h, deadline, "a moving weight");
}

/* More calls than a client may have at work, all behind an accept that waits: refused at the end, each once. */
static void the_end_comes_while_calls_wait(void **state)
{
    enum { CALLS = 24 };
    struct harness *h = *state;
    struct raw_client *c = raw_client_open(h);
    char call[256];
    json_t *screen = harness_act(h, "bench", "batch.begin",
                                 json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    long long revision = json_integer_value(json_object_get(screen, "revision"));
    weigh_moving(h, 31.2);
    for (int i = 1; i <= CALLS; i++) {
        snprintf(call, sizeof call,
                 "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"batch.accept\",\"params\":{\"station\":\"bench\","
                 "\"request\":\"waits\",\"revision\":%lld}}",
                 i, revision);
        assert_true(raw_client_say(c, call));
        if (i == 1)
            raw_client_lives(c); /* so the first accept has come and waits, before another connection calls */
    }
    /* One that is refused while an accept waits: so it does. */
    harness_refused(h, "bench", "batch.note", json_pack("{s:s}", "text", "meanwhile"), -32004);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    int answers[CALLS + 1] = {0};
    for (json_t *answer = raw_client_answer(c); answer; answer = raw_client_answer(c)) {
        json_int_t id = json_integer_value(json_object_get(answer, "id"));
        assert_int_equal(json_integer_value(json_object_get(json_object_get(answer, "error"), "code")), -32004);
        assert_true(id >= 1 && id <= CALLS);
        assert_int_equal(++answers[id], 1);
        json_decref(answer);
    }
    assert_int_equal(answers[1], 1);
    raw_client_close(c);
    harness_start(h);
}

static int begin(void **state)
{
    const char *asan = getenv("ASAN_OPTIONS");
    char with[512]; /* or a sanitizer holds 256 MiB of freed memory back */
    snprintf(with, sizeof with, "%s:quarantine_size_mb=1", asan ? asan : "");
    setenv("ASAN_OPTIONS", with, 1);
    return harness_begin_live(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(weights_are_never_queued),
        cmocka_unit_test(a_client_that_lets_screens_wait_is_dropped),
        cmocka_unit_test(a_client_that_only_asks_is_held_back),
        cmocka_unit_test(a_hundred_clients_come_and_vanish),
        cmocka_unit_test(a_client_gone_in_mid_accept_is_served),
        cmocka_unit_test(the_end_comes_while_calls_wait),
    };
    return cmocka_run_group_tests(tests, begin, harness_end);
}
