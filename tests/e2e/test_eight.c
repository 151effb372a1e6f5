/* Eight scales on one daemon, two painters pouring: what happens to one bench touches no other. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const struct harness_setup eight = {
    .stations = {"bench", "second", "pulled", "mute", "noise", "halves", "over", "rest"},
    .data = "tests/data/story",
};

static int begin(void **state)
{
    return harness_begin(state, &eight);
}

static const char *scale_of(struct harness *h, const char *station)
{
    const json_t *scale = json_object_get(harness_screen(h, station), "scale");
    return json_string_value(json_object_get(scale, "state"));
}

static void begin_at(struct harness *h, const char *station, double cup_g)
{
    json_t *s = story_act_at(h, station, "begin", "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_text(s, "state", "cup");
    harness_weigh(h, station, cup_g);
    story_act_at(h, station, "accept", "{'sure':true}");
}

/* A, B and C in turn, 50, 30 and 20 g. */
static void pour_at(struct harness *h, const char *station, double shows_g, size_t step, double want_g)
{
    char poured[32], done[32];
    snprintf(poured, sizeof poured, "steps.%zu.poured_g", step);
    snprintf(done, sizeof done, "steps.%zu.state", step);
    harness_weigh(h, station, shows_g);
    json_t *s = story_act_at(h, station, "accept", "{}");
    story_number(s, poured, want_g);
    story_text(s, done, "done");
}

static void trouble_at_the_others(struct harness *h)
{
    fake_scale_unplug(harness_scale(h, "pulled"));
    fake_scale_mute(harness_scale(h, "mute"));
    snprintf(harness_scale(h, "noise")->frame, 64, "7@x\x7f\x80$$");
    snprintf(harness_scale(h, "halves")->frame, 64, "ST,+001");
    snprintf(harness_scale(h, "over")->frame, 64, "OL,+99999.99  g\r\n");
    harness_wait_scale(h, "pulled", "absent");
    harness_wait_scale(h, "mute", "stale");
    harness_wait_scale(h, "noise", "stale");
    harness_wait_scale(h, "halves", "stale");
}

static void one_lost_bench_touches_no_other(void **state)
{
    struct harness *h = *state;
    for (size_t i = 0; i < h->stations; i++)
        harness_weigh(h, h->station[i].name, 0);
    begin_at(h, "bench", 30);
    begin_at(h, "second", 41.5);
    begin_at(h, "pulled", 30);
    pour_at(h, "bench", 80, 0, 50);
    pour_at(h, "pulled", 80, 0, 50);
    harness_weigh(h, "second", 70); /* in mid-pour */
    double revision = harness_number(h, "second", "revision");

    trouble_at_the_others(h);
    assert_string_equal(scale_of(h, "bench"), "live");
    assert_string_equal(scale_of(h, "second"), "live");
    assert_string_equal(scale_of(h, "rest"), "live");
    assert_true(harness_number(h, "second", "revision") == revision);
    harness_refused(h, "pulled", "batch.accept", NULL, -32002);

    /* Both painters go on to the end, turn about. */
    pour_at(h, "second", 91.5, 0, 50);
    pour_at(h, "bench", 110, 1, 30);
    pour_at(h, "second", 121.5, 1, 30);
    pour_at(h, "bench", 130, 2, 20);
    pour_at(h, "second", 141.5, 2, 20);
    story_text(story_act_at(h, "bench", "finish", "{}"), "state", "idle");
    story_text(story_act_at(h, "second", "finish", "{}"), "state", "idle");

    /* And the lost one goes on where it was. */
    assert_true(fake_scale_plug(harness_scale(h, "pulled")));
    harness_weigh(h, "pulled", 80);
    story_text(harness_screen(h, "pulled"), "state", "pour");
    pour_at(h, "pulled", 110, 1, 30);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(one_lost_bench_touches_no_other, begin, harness_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
