/* Scales other than the usual one: frames that bear no mark of stability, and a pseudo-terminal that goes and comes. */
#include "tests/e2e/harness.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <pty.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

/* Both stand beside the harness's own station, which is not used. */
static struct kinds {
    struct fake_scale unmarked;
    int even, odd; /* hundredths of a gram, shown by turns */
    bool turn;
    char link[128];
    int master, slave;
    char config[1024];
} kinds;

/* The unmarked scale alternates between its two weights at every frame. */
static void go_on(int64_t now_ms)
{
    if (now_ms >= kinds.unmarked.next_ms) {
        int hundredths = kinds.turn ? kinds.odd : kinds.even;
        snprintf(kinds.unmarked.frame, sizeof kinds.unmarked.frame, "+%9.2fg  \r\n", hundredths / 100.0);
        kinds.turn = !kinds.turn;
    }
    fake_scale_tick(&kinds.unmarked, now_ms);
}

static void wait_state(struct harness *h, const char *station, const char *state)
{
    int64_t until = harness_deadline();
    for (bool is = false; !is; harness_step(h, until, state))
        is = strcmp(json_string_value(json_object_get(harness_scale_row(h, station), "state")), state) == 0;
}

static json_t *accept_unmarked(struct harness *h, int revision)
{
    char request[32];
    snprintf(request, sizeof request, "unmarked-%d", ++h->next_request);
    return harness_ask(h, "batch.accept",
                       json_pack("{s:s,s:s,s:i}", "station", "unmarked", "request", request, "revision", revision));
}

/* From now on these two by turns, in hundredths; returns once the daemon has seen one of them. */
static void show(struct harness *h, int even, int odd)
{
    kinds.even = even;
    kinds.odd = odd;
    int64_t until = harness_deadline();
    for (long seen = -1; seen != even && seen != odd;) {
        harness_step(h, until, "the weight without a mark");
        json_t *weight = json_object_get(harness_scale_row(h, "unmarked"), "weight_g");
        seen = json_is_number(weight) ? lround(json_number_value(weight) * 100) : -1;
    }
}

static void is_unsteady(struct harness *h, int revision)
{
    json_t *answer = accept_unmarked(h, revision), *error = json_object_get(answer, "error");
    assert_int_equal(json_integer_value(json_object_get(error, "code")), -32004);
    assert_string_equal(json_string_value(json_object_get(json_object_get(error, "data"), "why")), "unsteady");
}

static json_t *is_taken(struct harness *h, int revision)
{
    json_t *answer = accept_unmarked(h, revision), *screen = json_object_get(answer, "result");
    if (!screen)
        fail_msg("refused: %s", json_dumps(answer, 0));
    assert_string_equal(json_string_value(json_object_get(screen, "state")), "pour");
    return screen;
}

/* All readings of 0.6 s within 1 d (0.01 g): that alone makes them stable; contract, section 5. */
static void without_a_mark_the_hosts_rule_decides(void **state)
{
    struct harness *h = *state;
    show(h, 3120, 3120);
    wait_state(h, "unmarked", "live");
    harness_call(h, "batch.begin",
                 json_pack("{s:s,s:s,s:s,s:s,s:f,s:i}", "station", "unmarked", "request", "begin", "formula", "TI-207",
                           "coat", "ground", "grams", 276.7, "reduce_pct", 0));
    show(h, 3120, 3130); /* trembles by 10 d */
    is_unsteady(h, 1);
    show(h, 3120, 3121); /* by 1 d */
    is_taken(h, 1);
    show(h, 24320, 24320); /* poured a moment ago: it waits for 0.6 s of rest, and takes what is there then */
    json_t *screen = is_taken(h, 2);
    double poured = json_number_value(json_object_get(json_array_get(json_object_get(screen, "steps"), 0), "poured_g"));
    assert_true(fabs(poured - 212.0) <= 0.0101);
}

static void plug_terminal(void)
{
    char name[128];
    assert_int_equal(openpty(&kinds.master, &kinds.slave, name, NULL, NULL), 0);
    assert_int_equal(fcntl(kinds.master, F_SETFD, FD_CLOEXEC), 0);
    assert_int_equal(fcntl(kinds.slave, F_SETFD, FD_CLOEXEC), 0);
    unlink(kinds.link);
    assert_int_equal(symlink(name, kinds.link), 0);
}

static void unplug_terminal(void)
{
    close(kinds.master);
    close(kinds.slave);
    kinds.master = kinds.slave = -1;
}

static void terminal_shows(struct harness *h, const char *frame, double grams)
{
    int64_t until = harness_deadline();
    for (double seen = NAN; !(fabs(seen - grams) < 1e-9);) {
        assert_int_equal(write(kinds.master, frame, strlen(frame)), (int)strlen(frame));
        harness_step(h, until, "the weight of the terminal");
        json_t *weight = json_object_get(harness_scale_row(h, "terminal"), "weight_g");
        seen = json_is_number(weight) ? json_number_value(weight) : NAN;
    }
}

static void a_terminal_goes_and_comes_back(void **state)
{
    struct harness *h = *state;
    terminal_shows(h, "ST,+00012.34  g\r\n", 12.34);
    unplug_terminal();
    wait_state(h, "terminal", "absent");
    plug_terminal();
    terminal_shows(h, "US,+00012.39  g\r\n", 12.39);
    assert_true(json_is_false(json_object_get(harness_scale_row(h, "terminal"), "stable")));
    unlink(kinds.link); /* the name goes while the line stays: nothing changes */
    terminal_shows(h, "ST,+00100.00  g\r\n", 100);
    unplug_terminal();
    wait_state(h, "terminal", "absent");
    plug_terminal();
    terminal_shows(h, "ST,-00001.00  g\r\n", -1);
}

static int begin(void **state)
{
    snprintf(kinds.link, sizeof kinds.link, "/tmp/poise-terminal-%d", (int)getpid());
    if (!fake_scale_init(&kinds.unmarked))
        return -1;
    plug_terminal();
    snprintf(kinds.config, sizeof kinds.config,
             "[station unmarked]\nport = tcp:127.0.0.1:%d\nprofile = fix16n\nd_g = 0.01\ntolerance_g = 0.05\n"
             "[station terminal]\nport = pty:%s\nprofile = hdr2\nd_g = 0.01\n",
             kinds.unmarked.port, kinds.link);
    return harness_begin(state, &(struct harness_setup){.config_lines = kinds.config, .beside = go_on});
}

static int end(void **state)
{
    int code = harness_end(state);
    fake_scale_finish(&kinds.unmarked);
    unplug_terminal();
    unlink(kinds.link);
    return code;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_a_mark_the_hosts_rule_decides),
        cmocka_unit_test(a_terminal_goes_and_comes_back),
    };
    return cmocka_run_group_tests(tests, begin, end);
}
