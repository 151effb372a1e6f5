/* Hold and resume, here and on another station; a restart in mid-pour; two stations at once. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

static void held_and_taken_up_here(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    story_act(h, "hold", "{}");
    story_is(h, "state", "idle");
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", id), "state", "held");
    /* Another batch may be made meanwhile. */
    harness_weigh(h, "bench", 0);
    story_cup(h, "{'formula':'TS-1','grams':50}");
    story_refused(h, "resume", -32004, "why", "busy", "{'batch':'%s'}", id);
    story_clear(h);
    story_refused(h, "resume", -32001, "field", "batch", "{'batch':'77'}");
    story_act(h, "resume", "{'batch':'#%s'}", id);
    story_is(h, "state", "cup");
    story_is(h, "batch", id);
    story_near(h, "steps.0.poured_g", 50);
    /* The cup as it then stands, whatever it weighs: the counts stand. */
    harness_weigh(h, "bench", 79.5);
    story_act(h, "accept", "{}");
    story_now(h, "B", 30, 0);
    story_near(h, "now.scale_shows_g", 109.5);
    story_act(h, "undo", "{}"); /* the cup's own accept */
    story_is(h, "state", "cup");
    story_act(h, "accept", "{}");
    story_pour(h, 30);
    story_pour(h, 20);
    story_is(h, "state", "done");
    /* Held when done, and finished after. */
    story_act(h, "hold", "{}");
    story_act(h, "resume", "{'batch':'%s'}", id);
    story_act(h, "accept", "{}");
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(b, "total_g", 100);
    story_text(b, "state", "finished");
}

static void held_and_taken_up_elsewhere(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 52); /* grows to 103.483, k_aim 104 */
    story_act(h, "hold", "{}");
    json_t *s = story_act_at(h, "second", "resume", "{'batch':'%s'}", id);
    story_text(s, "state", "cup");
    story_text(s, "station", "second");
    harness_weigh(h, "second", 82.3);
    s = story_act_at(h, "second", "accept", "{}");
    story_text(s, "now.toner", "B");
    story_number(s, "now.aim_g", 31.2);
    harness_weigh(h, "second", 113.5);
    s = story_act_at(h, "second", "accept", "{}");
    story_number(s, "steps.1.poured_g", 31.2);
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", id), "station", "second");
    /* The first bench is free, and its own batch is another. */
    story_cup(h, "{'formula':'TS-3','grams':276.7,'reduce_pct':0}");
    assert_string_not_equal(harness_text(h, "bench", "batch"), id);
    story_refused(h, "resume", -32004, NULL, NULL, "{'batch':'%s'}", id);
    s = story_act_at(h, "second", "undo", "{}");
    story_text(s, "now.toner", "B");
    story_now(h, "A", 212, 0);
}

/* Killed with 25 of 50 A on the scale: the same screen, and the 25 g are still seen as poured. */
static void killed_in_mid_pour(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 50);
    story_add(h, 12);
    double revision = harness_number(h, "bench", "revision");
    char id[16];
    story_batch(h, id);
    harness_stop(h, SIGKILL);
    harness_start(h);
    harness_weigh(h, "bench", 92);
    story_look(h);
    story_is(h, "batch", id);
    assert_true(harness_number(h, "bench", "revision") == revision);
    story_step(h, 0, "A", 50, 50, "done");
    story_now(h, "B", 30, 12);
    story_pour(h, 18);
    story_step(h, 1, "B", 30, 30, "done");
    /* A take-out under way, and an overpour that waits, outlast it too. */
    story_pour(h, 22);
    story_is(h, "state", "over");
    harness_stop(h, SIGTERM);
    harness_start(h);
    harness_weigh(h, "bench", 132);
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.total_g", 109.453);
    story_act(h, "remedy", "{'choice':'dip'}");
    story_add(h, -4);
    harness_stop(h, SIGKILL);
    harness_start(h);
    harness_weigh(h, "bench", 128);
    story_look(h);
    story_near(h, "now.in_cup_g", -4);
    /* s = 20.1/22, 102 (1 - s) = 8.809 out; 8.81 in all leaves A 45.681, B 27.409, C 20.1. */
    story_near(h, "now.aim_g", -8.809);
    story_pour(h, -4.81);
    /* C alone is closed: 20.0998/0.2 = 100.499 is what the aims follow. */
    story_now(h, "B", 30.15, 27.409);
}

/* Undo after a resume: no accept but the cup's is there to take back first. */
static void undo_after_resume(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    story_pour(h, 30);
    story_act(h, "hold", "{}");
    story_act(h, "resume", "{'batch':'%s'}", id);
    story_refused(h, "finish", -32004, "state", "cup", "{}");
    story_act(h, "accept", "{}");
    story_now(h, "C", 20, 0);
    story_act(h, "undo", "{}");
    story_is(h, "state", "cup");
    story_act(h, "accept", "{}");
    story_now(h, "C", 20, 0);
    story_pour(h, 20);
    story_act(h, "undo", "{}");
    story_now(h, "C", 20, 20);
    story_act(h, "hold", "{}");
    story_act(h, "resume", "{'batch':'%s'}", id);
    /* What was on the scale but not accepted when it was held is paint in the cup all the same: it counts. */
    story_act(h, "accept", "{}");
    story_near(h, "steps.2.poured_g", 20);
    story_is(h, "state", "done");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(held_and_taken_up_here, story_begin, story_end),
        cmocka_unit_test_setup_teardown(held_and_taken_up_elsewhere, story_begin_two, story_end),
        cmocka_unit_test_setup_teardown(killed_in_mid_pour, story_begin, story_end),
        cmocka_unit_test_setup_teardown(undo_after_resume, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
