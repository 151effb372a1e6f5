/* The scale and the cup play tricks: nothing counted is lost, and what cannot be explained asks. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

/* Weighs and looks: story_add by the absolute reading. */
static void shows(struct harness *h, double grams)
{
    harness_weigh(h, "bench", grams);
    story_look(h);
}

static bool is_lifted(struct harness *h)
{
    json_t *lifted = json_object_get(harness_screen(h, "bench"), "lifted");
    assert_true(json_is_boolean(lifted));
    return json_is_true(lifted);
}

/* 25 of 50 A in, the cup is lifted to stir and put back: the 25 stand and go on. */
static void lifted_and_put_back(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    shows(h, 55);
    shows(h, 0);
    assert_true(is_lifted(h));
    story_near(h, "now.in_cup_g", 25);
    story_refused(h, "accept", -32004, "why", "lifted", "{}");
    story_refused(h, "accept", -32004, "why", "lifted", "{'short':true}");
    shows(h, 55.03); /* within 2 d + 0.1 % */
    assert_false(is_lifted(h));
    story_now(h, "A", 50, 25);
    shows(h, 80.03);
    story_act(h, "accept", "{}");
    story_step(h, 0, "A", 50, 50, "done");
    /* Between two steps as well. */
    shows(h, 0);
    assert_true(is_lifted(h));
    shows(h, 80.03);
    assert_false(is_lifted(h));
    story_now(h, "B", 30, 0);
    story_pour(h, 30);
    story_step(h, 1, "B", 30, 30, "done");
}

static bool says(struct harness *h, const char *text)
{
    return strstr(harness_text(h, "bench", "message"), text) != NULL;
}

/* The scale shows it and says it once more: what comes next did not come in one piece with it. */
static void stands(struct harness *h, double grams)
{
    const struct fake_scale *scale = harness_scale(h, "bench");
    int64_t deadline = harness_deadline();
    shows(h, grams);
    for (int64_t next_ms = scale->next_ms; scale->next_ms == next_ms;)
        harness_step(h, deadline, "the frame to be repeated");
}

/* A lid of 25 g is put on beside the 10 g of A: that is said, until it is off again or counts. */
static void what_comes_at_once_is_told_from_a_pour(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    stands(h, 40);
    assert_false(says(h, "in one jump"));
    shows(h, 65);
    assert_true(says(h, "25.00 g in one jump"));
    story_near(h, "now.in_cup_g", 35); /* nothing that is read is held back */
    stands(h, 40);
    assert_false(says(h, "in one jump"));
    shows(h, 80);
    assert_true(says(h, "40.00 g in one jump"));
    story_act(h, "accept", "{}"); /* it is the painter's to say */
    assert_false(says(h, "in one jump"));
    story_step(h, 0, "A", 50, 50, "done");
    json_t *events = story_at(story_call(h, "batch.get", "{'batch':'%s'}", id), "events");
    story_number(json_array_get(events, json_array_size(events) - 1), "came_at_once_g", 40);
}

/* What came at once is there until it is taken off: through a note, a lift of the cup with it, and paint beside it. */
static void what_came_stays_said_while_it_is_there(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    stands(h, 40);
    shows(h, 65);
    assert_true(says(h, "25.00 g in one jump"));
    story_act(h, "note", "{'text':'the lid is on'}");
    assert_true(says(h, "25.00 g in one jump"));
    shows(h, 0);
    assert_true(is_lifted(h));
    assert_false(says(h, "in one jump")); /* the cup comes first */
    shows(h, 65);
    assert_false(is_lifted(h));
    assert_true(says(h, "25.00 g in one jump"));
    for (int g = 66; g <= 80; g++) /* poured on */
        shows(h, g);
    assert_true(says(h, "25.00 g in one jump"));
    shows(h, 55);
    assert_false(is_lifted(h));
    assert_false(says(h, "in one jump"));
    story_near(h, "now.in_cup_g", 25);
}

/* It comes back 5 g heavier: that asks, and nothing is taken until retare says what it is. 3 g went to the open step.
 */
static void another_weight_asks(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 50);
    shows(h, 90); /* 10 of B */
    shows(h, 0);
    shows(h, 97);
    assert_true(is_lifted(h));
    assert_true(strlen(harness_text(h, "bench", "message")) > 0);
    story_refused(h, "accept", -32004, "why", "lifted", "{}");
    story_act(h, "retare", "{}"); /* left out: what it last read stable before, 10 */
    assert_false(is_lifted(h));
    story_now(h, "B", 30, 10);
    story_near(h, "now.scale_shows_g", 117); /* 97 + 20 */
    story_act(h, "retare", "{'uncounted_g':13}");
    story_now(h, "B", 30, 13);
    story_pour(h, 17);
    story_step(h, 1, "B", 30, 30, "done");
    story_refused(h, "retare", -32602, "field", "uncounted_g", "{'uncounted_g':'some'}");
    story_refused(h, "retare", -32005, "field", "uncounted_g",
                  "{'uncounted_g':3000.1}"); /* more than the scale bears */
    story_refused(h, "retare", -32005, "field", "lost_g", "{'lost_g':-1}");
    story_refused(h, "retare", -32005, "field", "lost_g", "{'lost_g':1000}");
}

/* 80 g counted, 8 g of it are spilt: all counts stand at nine tenths; A 45 and B 27 are to be topped up. */
static void spilt(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    story_pour(h, 30);
    shows(h, 0);
    shows(h, 102);
    story_act(h, "retare", "{'lost_g':8,'uncounted_g':0}");
    assert_false(is_lifted(h));
    story_near(h, "steps.0.poured_g", 45);
    story_near(h, "steps.1.poured_g", 27);
    story_near(h, "wanted_g", 100);
    /* The open step stays open; then B, which has the smaller share, before A. */
    story_now(h, "C", 20, 0);
    story_pour(h, 20);
    story_now(h, "B", 30, 27);
    story_pour(h, 3);
    story_now(h, "A", 50, 45);
    story_pour(h, 5);
    story_is(h, "state", "done");
    /* In done too; what is lost there stays lost. */
    story_act(h, "retare", "{'lost_g':10}");
    story_is(h, "state", "done");
    story_number(story_call(h, "batch.get", "{'batch':'%s'}", id), "total_g", 90);
}

/* Tared by hand in mid-pour, and poured on before anything explained it. */
static void tared_by_hand(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    shows(h, 55);
    shows(h, 0);
    shows(h, 5);
    assert_true(is_lifted(h)); /* or the cup is away and 5 g of something stand there: it cannot know, so it asks */
    story_refused(h, "accept", -32004, "why", "lifted", "{}");
    story_act(h, "retare", "{'uncounted_g':30}");
    story_now(h, "A", 50, 30);
    story_pour(h, 20);
    story_step(h, 0, "A", 50, 50, "done");
}

/* Tared, lifted (minus the cup), put back: the step to 0 and the return of the same difference explain themselves. */
static void tared_then_lifted(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    shows(h, 55);
    shows(h, 0);
    shows(h, -55);
    shows(h, 0);
    assert_false(is_lifted(h));
    story_now(h, "A", 50, 25);
    shows(h, 25);
    story_act(h, "accept", "{}");
    story_step(h, 0, "A", 50, 50, "done");
    story_now(h, "B", 30, 0);
}

/* No frames for a while, then no cable: no accept meanwhile, and what was poured in between counts. */
static void silent_in_mid_pour(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    shows(h, 55);
    fake_scale_mute(harness_scale(h, "bench"));
    harness_wait_scale(h, "bench", "stale");
    story_refused(h, "accept", -32002, NULL, NULL, "{}");
    shows(h, 55);
    harness_wait_scale(h, "bench", "live");
    story_look(h);
    story_now(h, "A", 50, 25);
    fake_scale_unplug(harness_scale(h, "bench"));
    harness_wait_scale(h, "bench", "absent");
    story_refused(h, "accept", -32002, NULL, NULL, "{}");
    story_act(h, "note", "{'text':'the cable was out'}");
    assert_true(fake_scale_plug(harness_scale(h, "bench")));
    shows(h, 80);
    harness_wait_scale(h, "bench", "live");
    story_act(h, "accept", "{}");
    story_step(h, 0, "A", 50, 50, "done");
}

/* Solvent leaves, 0.01 g between two steps; the next pour is from where it stood at last. */
static void drift_downward_is_followed(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 50);
    double base = harness_number(h, "bench", "now.scale_shows_g");
    assert_true(fabs(base - 110) < 0.02);
    shows(h, 79.99);
    assert_false(is_lifted(h));
    /* A drop is no drift: upward counts. */
    shows(h, 80.2);
    assert_true(harness_number(h, "bench", "now.in_cup_g") > 0.15);
    shows(h, 110);
    story_act(h, "accept", "{}");
    story_step(h, 1, "B", 30, 30, "done");
}

/* Moving readings: accept waits for a stable one, then takes it; in vain it says so. */
static void unsteady(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    fake_scale_show(harness_scale(h, "bench"), 80, false);
    story_refused(h, "accept", -32004, "why", "unsteady", "{}");
    story_is(h, "state", "pour");
    int id = harness_send(h, "batch.accept",
                          json_pack("{s:s,s:f,s:s}", "station", "bench", "revision",
                                    harness_number(h, "bench", "revision"), "request", "waits"));
    story_refused(h, "undo", -32004, "why", "busy", "{}");
    fake_scale_show(harness_scale(h, "bench"), 80, true);
    json_t *answer = harness_answer(h, id);
    story_number(answer, "result.steps.0.poured_g", 50);
}

static void cue_words(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_is(h, "now.cue", "pour");
    static const struct {
        double at;
        const char *cue;
    } seen[] = {{40, "pour"}, {80, "ok"}, {79.9, "ok"}, {81, "over"}};
    for (size_t i = 0; i < sizeof seen / sizeof *seen; i++) {
        fake_scale_mute(harness_scale(h, "bench"));
        harness_wait_scale(h, "bench", "stale"); /* no flow from one reading to the next */
        shows(h, seen[i].at);
        harness_wait_scale(h, "bench", "live");
        story_look(h);
        story_is(h, "now.cue", seen[i].cue);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(lifted_and_put_back),
        STORY(what_comes_at_once_is_told_from_a_pour),
        STORY(what_came_stays_said_while_it_is_there),
        STORY(another_weight_asks),
        STORY(spilt),
        STORY(tared_by_hand),
        STORY(tared_then_lifted),
        STORY(silent_in_mid_pour),
        STORY(drift_downward_is_followed),
        STORY(unsteady),
        STORY(cue_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
