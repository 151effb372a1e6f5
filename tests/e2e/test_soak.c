/* A bounded soak: batches poured one after the other while clients come and go, cables are pulled, the configuration is
 * read again, and poised is killed and started again, in a random order that SEED repeats. SOAK sets how many acts.
 * At the end the books hold each batch that was acknowledged, and the chain is whole. */
#include "tests/e2e/raw_client.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum { ACTS = 25 };

struct soak {
    struct harness *h;
    json_t *batches; /* their numbers, in order: each was finished and acknowledged so */
    struct raw_client *guests[8];
};

static void pour(struct soak *s)
{
    struct harness *h = s->h;
    harness_weigh(h, "bench", 0);
    json_t *screen = harness_act(
        h, "bench", "batch.begin",
        json_pack("{s:s,s:s,s:f,s:i}", "formula", "TI-207", "coat", "ground", "grams", 276.7, "reduce_pct", 0));
    json_array_append(s->batches, json_object_get(screen, "batch"));
    static const double on_scale_g[] = {31.2, 243.2, 304.7, 307.9};
    for (size_t i = 0; i < sizeof on_scale_g / sizeof *on_scale_g; i++) {
        harness_weigh(h, "bench", on_scale_g[i]);
        harness_act(h, "bench", "batch.accept", NULL);
    }
    harness_act(h, "bench", "batch.finish", NULL);
}

/* A guest watches, asks or says nothing, and one before it leaves in mid-word. */
static void guests_come_and_go(struct soak *s)
{
    static const char *const words[] = {"{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":{}}\n", "{\"js",
                                        "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"batch.find\"}\n", ""};
    struct raw_client **seat = &s->guests[random() % 8];
    const char *word = words[random() % 4];
    if (*seat)
        raw_client_close(*seat);
    *seat = raw_client_open(s->h);
    raw_client_send(*seat, word, strlen(word));
}

static void cable(struct soak *s)
{
    struct fake_scale *scale = harness_scale(s->h, "bench");
    fake_scale_unplug(scale);
    harness_wait_scale(s->h, "bench", "absent");
    assert_true(fake_scale_plug(scale));
    harness_wait_scale(s->h, "bench", "live");
}

static void read_again(struct soak *s)
{
    assert_int_equal(kill(s->h->poised, SIGHUP), 0);
    harness_call(s->h, "daemon.info", NULL);
}

static void restart(struct soak *s)
{
    int signal = random() % 2 ? SIGKILL : SIGTERM;
    assert_int_equal(harness_stop(s->h, signal), signal == SIGKILL ? -SIGKILL : 0);
    harness_start(s->h);
    harness_wait_scale(s->h, "bench", "live");
}

static void soak(void **state)
{
    static void (*const acts[])(struct soak *) = {pour,       pour,   guests_come_and_go, guests_come_and_go, cable,
                                                  read_again, restart};
    struct soak s = {.h = *state, .batches = json_array()};
    const char *asked = getenv("SOAK"), *seed = getenv("SEED");
    int count = asked && atoi(asked) > 0 ? atoi(asked) : ACTS;
    srandom(seed ? (unsigned)atoi(seed) : 20261130);
    harness_wait_scale(s.h, "bench", "live");
    for (int i = 0; i < count; i++)
        acts[(size_t)random() % (sizeof acts / sizeof *acts)](&s);
    size_t i;
    json_t *batch;
    json_array_foreach(s.batches, i, batch)
    {
        json_t *record = harness_call(s.h, "batch.get", json_pack("{s:O}", "batch", batch));
        assert_string_equal(json_string_value(json_object_get(record, "state")), "finished");
    }
    const char *const verify[] = {"poise", "verify", NULL};
    char out[512], err[512];
    if (harness_run(s.h, verify, NULL, out, sizeof out, err, sizeof err) != 0)
        fail_msg("%s%s", out, err);
    print_message("%d acts, %zu batches\n", count, json_array_size(s.batches));
    for (i = 0; i < 8; i++)
        if (s.guests[i])
            raw_client_close(s.guests[i]);
    json_decref(s.batches);
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test_setup_teardown(soak, begin, harness_end)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
