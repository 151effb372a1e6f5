/* A scale that sends halves, noise, nothing or far too much, or whose line breaks: no wrong weight is ever shown, the
 * screen says what is the matter, and all comes back by itself. */
#include "tests/e2e/raw_client.h"

#include <math.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#define WATCH "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":{\"station\":\"bench\"}}"

static int lines_with(const struct harness *h, const char *words)
{
    char path[HARNESS_PATH + 16], line[512];
    int count = 0;
    snprintf(path, sizeof path, "%s/poised.err", h->dir);
    FILE *f = fopen(path, "re");
    assert_non_null(f);
    while (fgets(line, sizeof line, f))
        count += strstr(line, words) != NULL;
    fclose(f);
    return count;
}

/* A second client that watches, while the scale says only what the test sends. */
static struct raw_client *watch(struct harness *h, double from_g)
{
    harness_weigh(h, "bench", from_g);
    fake_scale_mute(harness_scale(h, "bench"));
    struct raw_client *c = raw_client_open(h);
    assert_true(raw_client_say(c, WATCH));
    json_decref(raw_client_answer(c));
    return c;
}

/* Reads notes up to that weight; any other weight than the one before is a wrong one. */
static void next_weight_is(struct raw_client *c, double before_g, double want_g, const char *what)
{
    for (double seen = before_g; fabs(seen - want_g) > 1e-9;) {
        json_t *line = raw_client_answer(c), *weight = json_object_get(json_object_get(line, "params"), "weight_g");
        assert_non_null(line);
        seen = json_is_number(weight) ? json_number_value(weight) : seen;
        if (fabs(seen - before_g) > 1e-9 && fabs(seen - want_g) > 1e-9)
            fail_msg("%s: showed %f, want %f", what, seen, want_g);
        json_decref(line);
    }
}

static void send_text(struct harness *h, const char *text)
{
    fake_scale_raw(harness_scale(h, "bench"), text, strlen(text));
}

/* Source: the family's layout, `ST,+00123.45  g` CR LF. */
static const struct {
    const char *name, *first, *then;
    double shows_g;
} halves[] = {
    {"a frame in two halves", "ST,+000", "12.34  g\r\n", 12.34},
    {"the end on its own", "ST,+00012.35  g", "\r\n", 12.35},
    {"half a frame, then a whole one", "ST,+000", "ST,+00050.00  g\r\n", 50},
    {"a frame without its head", "9.99  g\r\n", "ST,+00050.01  g\r\n", 50.01},
    {"a frame without digits", "ST,+        g\r\n", "ST,+00050.02  g\r\n", 50.02},
    {"letters among the digits", "ST,+0x123.45  g\r\n", "ST,+00050.03  g\r\n", 50.03},
    {"two points", "ST,+001.3.45  g\r\n", "ST,+00050.04  g\r\n", 50.04},
    {"an unknown mark", "XX,+00123.45  g\r\n", "ST,+00050.05  g\r\n", 50.05},
    {"an unknown unit", "ST,+00123.45  q\r\n", "ST,+00050.06  g\r\n", 50.06},
    {"empty lines", "\r\n\r\n\n\n\r", "ST,+00050.07  g\r\n", 50.07},
    {"a line without end", "ST,+00123.4500000000000000000000000000000000000000000000000000000000000000000000",
     "\r\nST,+00050.08  g\r\n", 50.08},
};

static void halves_never_show_a_wrong_weight(void **state)
{
    struct harness *h = *state;
    struct raw_client *c = watch(h, 7);
    double before = 7;
    for (size_t i = 0; i < sizeof halves / sizeof *halves; i++) {
        send_text(h, halves[i].first);
        raw_client_lives(c); /* the daemon has had time to read the first half */
        send_text(h, halves[i].then);
        next_weight_is(c, before, halves[i].shows_g, halves[i].name);
        before = halves[i].shows_g;
    }
    raw_client_close(c);
}

static void noise_shows_nothing(void **state)
{
    struct harness *h = *state;
    struct raw_client *c = watch(h, 7);
    uint8_t noise[3000];
    srandom(7);
    for (int round = 0; round < 10; round++) {
        for (size_t i = 0; i < sizeof noise; i++)
            noise[i] = (uint8_t)(round % 2 ? random() : "ST,+0123456789. g\r\nUSOL"[random() % 23]);
        if (round % 2 == 0) /* digits and words in disorder, but never a comma: no whole frame by chance */
            for (size_t i = 0; i < sizeof noise; i++)
                noise[i] = noise[i] == ',' ? ' ' : noise[i];
        fake_scale_raw(harness_scale(h, "bench"), noise, sizeof noise);
        char frame[32];
        snprintf(frame, sizeof frame, "\r\nST,+%08.2f  g\r\n", 100.0 + round);
        send_text(h, frame);
        next_weight_is(c, round ? 99.0 + round : 7, 100.0 + round, "noise");
    }
    raw_client_close(c);
}

static void silence_is_stale_and_comes_back(void **state)
{
    struct harness *h = *state;
    struct fake_scale *scale = harness_scale(h, "bench");
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    harness_weigh(h, "bench", 31.2);
    int live = lines_with(h, "scale is live");
    fake_scale_mute(scale);
    harness_wait_scale(h, "bench", "stale");
    assert_true(*json_string_value(json_object_get(json_object_get(harness_screen(h, "bench"), "scale"), "why")));
    json_t *row = json_array_get(json_object_get(harness_call(h, "scale.list", NULL), "scales"), 0);
    assert_string_equal(json_string_value(json_object_get(row, "state")), "stale");
    assert_true(json_integer_value(json_object_get(row, "age_ms")) >= 1000);
    harness_refused(h, "bench", "batch.accept", NULL, -32002);
    fake_scale_show(scale, 31.2, true);
    harness_wait_scale(h, "bench", "live");
    harness_act(h, "bench", "batch.accept", NULL);
    assert_string_equal(harness_text(h, "bench", "state"), "pour");
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
    assert_int_equal(lines_with(h, "scale is stale"), 1);
    assert_int_equal(lines_with(h, "scale is live"), live + 1);
}

static void garbage_alone_is_stale_and_says_so(void **state)
{
    struct harness *h = *state;
    struct fake_scale *scale = harness_scale(h, "bench");
    harness_weigh(h, "bench", 5);
    snprintf(scale->frame, sizeof scale->frame, "7@x\x7f\x80$$");
    harness_wait_scale(h, "bench", "stale");
    const char *why = json_string_value(json_object_get(json_object_get(harness_screen(h, "bench"), "scale"), "why"));
    assert_non_null(strstr(why, "bytes come"));
    harness_weigh(h, "bench", 6);
    harness_wait_scale(h, "bench", "live");
}

static bool has_trouble(json_t *screen, const void *words)
{
    const char *why = json_string_value(json_object_get(json_object_get(screen, "scale"), "why"));
    return why && strstr(why, words);
}

/* Silent first, then of another family: still stale, but there is more to say. */
static void the_reason_follows_what_comes(void **state)
{
    struct harness *h = *state;
    struct fake_scale *scale = harness_scale(h, "bench");
    harness_weigh(h, "bench", 5);
    fake_scale_mute(scale);
    harness_wait_screen(h, "bench", has_trouble, "sends nothing");
    snprintf(scale->frame, sizeof scale->frame, "ST,GS,+00005.00kg\r\n");
    const json_t *screen = harness_wait_screen(h, "bench", has_trouble, "reads as hdr2g, not as hdr2");
    assert_string_equal(json_string_value(json_object_get(json_object_get(screen, "scale"), "cause")), "strange");
    /* What an act is refused with speaks of that too, not of the cable. */
    const json_t *error = json_object_get(
        harness_ask(h, "scale.check", json_pack("{s:s,s:i}", "station", "bench", "grams", 200)), "error");
    assert_int_equal(json_integer_value(json_object_get(error, "code")), -32002);
    assert_string_equal(json_string_value(json_object_get(error, "message")), "what comes reads as hdr2g, not as hdr2");
    assert_string_equal(json_string_value(json_object_get(json_object_get(error, "data"), "help")),
                        "Set profile = hdr2g.");
    harness_weigh(h, "bench", 6);
    harness_wait_scale(h, "bench", "live");
}

static void a_closed_line_is_absent_and_comes_back(void **state)
{
    struct harness *h = *state;
    struct fake_scale *scale = harness_scale(h, "bench");
    harness_weigh(h, "bench", 5);
    int absent = lines_with(h, "scale is absent"), live = lines_with(h, "scale is live");
    fake_scale_unplug(scale);
    harness_wait_scale(h, "bench", "absent");
    for (int i = 0; i < 3; i++) { /* it tries again by itself; a line that closes at once is still absent */
        assert_true(fake_scale_plug(scale));
        fake_scale_mute(scale);
        for (int64_t until = harness_deadline(); scale->peer < 0;)
            harness_step(h, until, "the daemon to connect again");
        fake_scale_unplug(scale);
    }
    harness_refused(h, "bench", "batch.begin", json_pack("{s:s}", "formula", "TI-999"), -32001); /* it lives */
    assert_true(fake_scale_plug(scale));
    harness_weigh(h, "bench", 6.5);
    assert_int_equal(lines_with(h, "scale is absent"), absent + 1);
    assert_int_equal(lines_with(h, "scale is live"), live + 1);
}

/* A child sends frames as fast as the daemon takes them; meanwhile every call is answered, and at the end the newest
 * weight is on the screen. */
static void a_flood_does_not_hold_up_calls(void **state)
{
    enum { FRAMES = 100000 };
    struct harness *h = *state;
    struct fake_scale *scale = harness_scale(h, "bench");
    harness_weigh(h, "bench", 1);
    fake_scale_mute(scale);
    pid_t child = fork();
    if (child == 0) {
        char frame[32];
        for (int i = 0; i < FRAMES; i++) {
            int n = snprintf(frame, sizeof frame, "ST,+%08.2f  g\r\n", i < FRAMES - 1 ? i % 1000 : 4321.0);
            for (ssize_t sent = 0, more; sent<n; sent += more> 0 ? more : 0) {
                struct pollfd p = {.fd = scale->peer, .events = POLLOUT};
                (void)poll(&p, 1, 20000);
                more = send(scale->peer, frame + sent, (size_t)(n - sent), MSG_NOSIGNAL | MSG_DONTWAIT);
            }
        }
        _exit(0);
    }
    int calls = 0, status = 0;
    while (waitpid(child, &status, WNOHANG) == 0) {
        harness_call(h, "daemon.info", NULL);
        calls++;
    }
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    print_message("%d calls answered while %d frames came\n", calls, FRAMES);
    assert_true(calls >= 5); /* not one after all frames: a few hundred frames are read before others have their turn */
    json_t **weight = &h->station[0].weight;
    for (int64_t until = harness_deadline();
         fabs(json_number_value(json_object_get(*weight, "weight_g")) - 4321) > 1e-9;)
        harness_step(h, until, "the last weight of the flood");
}

static bool has_no_trouble(json_t *screen, const void *unused)
{
    (void)unused;
    return json_is_null(json_object_get(json_object_get(screen, "scale"), "why"));
}

static void over_is_no_weight(void **state)
{
    struct harness *h = *state;
    struct fake_scale *scale = harness_scale(h, "bench");
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    harness_weigh(h, "bench", 31.2);
    snprintf(scale->frame, sizeof scale->frame, "OL,+99999.99  g\r\n");
    harness_wait_screen(h, "bench", has_trouble, "too heavy");
    assert_true(json_is_null(json_object_get(h->station[0].weight, "weight_g")));
    harness_refused(h, "bench", "batch.accept", NULL, -32002);
    harness_weigh(h, "bench", 31.2);
    harness_wait_screen(h, "bench", has_no_trouble, NULL); /* sent right behind the weight */
    harness_act(h, "bench", "batch.accept", NULL);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
}

/* Stops the daemon and takes what it said before; the scale goes on for longer than a reading may be old. */
static void stop_while_the_scale_speaks(struct harness *h, struct raw_client *c)
{
    enum { STOPPED_MS = 1700 };
    char old[4096];
    int status;
    struct timespec t;
    assert_int_equal(kill(h->poised, SIGSTOP), 0);
    assert_int_equal(waitpid(h->poised, &status, WUNTRACED), h->poised);
    assert_true(WIFSTOPPED(status));
    while (recv(c->fd, old, sizeof old, MSG_DONTWAIT) > 0)
        ;
    c->len = 0;
    clock_gettime(CLOCK_MONOTONIC, &t);
    int64_t now_ms = (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000, until_ms = now_ms + STOPPED_MS;
    while (now_ms < until_ms) {
        fake_scale_tick(harness_scale(h, "bench"), now_ms);
        poll(NULL, 0, 20);
        clock_gettime(CLOCK_MONOTONIC, &t);
        now_ms = (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
    }
}

/* The process was stopped, not the scale: that is called stale by nobody. What the scale said meanwhile waits in the
 * driver, and none of it is shown as if it were new. */
static void a_daemon_that_slept_believes_only_what_is_new(void **state)
{
    struct harness *h = *state;
    harness_weigh(h, "bench", 0);
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    harness_weigh(h, "bench", 90);
    struct raw_client *c = raw_client_open(h);
    assert_true(raw_client_say(c, WATCH));
    json_decref(raw_client_answer(c));
    stop_while_the_scale_speaks(h, c);
    fake_scale_show(harness_scale(h, "bench"), 100, true);
    assert_int_equal(kill(h->poised, SIGCONT), 0);
    harness_weigh(h, "bench", 100);
    for (double seen = 90; seen < 99;) {
        json_t *line = raw_client_answer(c), *params = json_object_get(line, "params");
        const char *of = json_string_value(json_object_get(params, "state"));
        bool weight = json_object_get(params, "weight_g") && json_object_get(params, "age_ms");
        seen = weight ? json_number_value(json_object_get(params, "weight_g")) : seen;
        if (weight && seen < 99)
            assert_true(json_integer_value(json_object_get(params, "age_ms")) > 1000);
        assert_true(!of || strcmp(of, "stale") != 0);
        const char *scale = json_string_value(json_object_get(json_object_get(params, "scale"), "state"));
        assert_true(!scale || strcmp(scale, "stale") != 0);
        if (seen > 99) /* and the pour goes on as it was */
            assert_true(fabs(json_number_value(json_object_get(params, "in_cup_g")) - 68.8) < 1e-6);
        json_decref(line);
    }
    raw_client_close(c);
    assert_int_equal(lines_with(h, "the scale is stale"), 0);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(halves_never_show_a_wrong_weight),
        cmocka_unit_test(noise_shows_nothing),
        cmocka_unit_test_setup_teardown(silence_is_stale_and_comes_back, harness_begin_live, harness_end),
        cmocka_unit_test(garbage_alone_is_stale_and_says_so),
        cmocka_unit_test(the_reason_follows_what_comes),
        cmocka_unit_test(a_closed_line_is_absent_and_comes_back),
        cmocka_unit_test(a_flood_does_not_hold_up_calls),
        cmocka_unit_test(over_is_no_weight),
        cmocka_unit_test_setup_teardown(a_daemon_that_slept_believes_only_what_is_new, harness_begin_live, harness_end),
    };
    return cmocka_run_group_tests(tests, harness_begin_live, harness_end);
}
