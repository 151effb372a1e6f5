/* Dips: what really came out counts, whatever was asked; everything in the cup is scaled by it.
 * TS-1, 100 g, no reducer; the world and the tolerances are those of story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

/* A 53: 2.75 g shall come out (s = 50.25/53). */
static void over_by_three(struct harness *h)
{
    story_cup(h, plain);
    story_pour(h, 53);
    story_act(h, "remedy", "{'choice':'dip'}");
}

static void more_is_taken_than_asked(void **state)
{
    struct harness *h = *state;
    char id[16];
    over_by_three(h);
    story_batch(h, id);
    story_is(h, "state", "pour");
    story_is(h, "now.toner", "");
    story_is(h, "now.name", "take out");
    story_near(h, "now.aim_g", -2.75);
    story_near(h, "now.in_cup_g", 0);
    story_near(h, "now.to_go_g", -2.75);
    story_refused(h, "accept", -32004, "why", "short", "{}");
    story_add(h, -4); /* what comes out is of no tin */
    story_refused(h, "accept", -32004, "why", "taking_out", "{'short':true}");
    story_refused(h, "accept", -32004, "why", "taking_out", "{'short':'less'}");
    story_refused(h, "accept", -32004, "why", "taking_out", "{'really':'B'}");
    story_add(h, 4);
    /* 4 g: A stands at 49, lacks more than 0.25 and is topped up before B. */
    story_pour(h, -4);
    story_is(h, "state", "pour");
    story_now(h, "A", 50, 49);
    story_near(h, "total_g", 100);
    story_refused(h, "undo", -32004, "why", "nothing", "{}");
    story_pour(h, 1);
    story_now(h, "B", 30, 0);
    story_pour(h, 30);
    story_pour(h, 20);
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    story_is(h, "state", "idle");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(b, "total_g", 100);
    story_number(b, "parts.0.poured_g", 50);
    story_number(b, "total_ml", 99);
    story_number(b, "cost", 1.90); /* what the cup holds */
}

/* B 32 on A 50: s = 30.15/32 of 82 g: 4.741 out. A is then at 47.109, B at 30.15; 5 g out: 46.951 and 30.049.
 * A lacks and moves no aim: B alone stands for 100.163 g, so A is to reach 50.081. */
static void all_that_is_in_the_cup_is_scaled(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 50);
    story_pour(h, 32);
    story_is(h, "state", "over");
    story_near(h, "remedies.dip.take_g", 4.741);
    story_near(h, "remedies.dip.add_g.0", 2.891);
    story_act(h, "remedy", "{'choice':'dip'}");
    story_add(h, -2);
    story_near(h, "now.to_go_g", -2.741);
    assert_true(json_is_false(json_object_get(harness_screen(h, "bench"), "lifted")));
    story_pour(h, -3);
    story_now(h, "A", 50.081, 46.951);
    story_step(h, 1, "B", 30.049, 30.049, "done");
    story_pour(h, 3.05);
    story_now(h, "C", 20, 0);
}

/* The cup is lifted, emptied a little elsewhere, and comes back 3 g lighter: A at 50 of 53. */
static void the_cup_comes_back_lighter(void **state)
{
    struct harness *h = *state;
    over_by_three(h);
    harness_weigh(h, "bench", 0);
    harness_weigh(h, "bench", 80);
    story_look(h);
    assert_true(json_is_false(json_object_get(harness_screen(h, "bench"), "lifted")));
    story_act(h, "accept", "{}");
    story_is(h, "state", "pour");
    story_step(h, 0, "A", 50, 50, "done");
    story_now(h, "B", 30, 0);
    story_pour(h, 30);
    story_now(h, "C", 20, 0);
}

/* Only 1 g comes out: A at 52 is still over, k = 52/0.5025 = 103.483, and it asks anew. 1.75 are still to come. */
static void too_little_taken_asks_again(void **state)
{
    struct harness *h = *state;
    over_by_three(h);
    story_pour(h, -1);
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.total_g", 103.483);
    story_near(h, "remedies.dip.take_g", 1.75);
    story_near(h, "remedies.leave.deviation_pct.0", 4);
    story_refused(h, "undo", -32004, "why", "nothing", "{}");
    story_act(h, "remedy", "{'choice':'dip'}");
    story_near(h, "now.aim_g", -1.75);
    story_pour(h, -1.8);
    story_is(h, "state", "pour");
    story_step(h, 0, "A", 50.2, 50.2, "done"); /* k_aim = 50.2/0.5 */
    story_now(h, "B", 30.12, 0);
}

/* Ten grams of D before A: 9.95 shall come out. 10 g of it all gone leaves nothing of it; 9.96 leaves 0.04. */
static void a_foreign_toner_is_dipped(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    story_add(h, 10);
    story_act(h, "accept", "{'really':'D'}");
    story_is(h, "state", "over");
    /* s = 0.05/10: 60 (1 - s) = 59.7 out. */
    story_near(h, "remedies.dip.take_g", 59.7);
    story_near(h, "remedies.leave.foreign_pct", 16.667);
    story_near(h, "remedies.leave.deviation_pct.0", 0);
    story_act(h, "remedy", "{'choice':'dip'}");
    story_pour(h, -59.8);
    story_now(h, "A", 50, 0.167); /* 50 * 0.2/60 */
    story_pour(h, 49.83);
    story_pour(h, 30);
    story_pour(h, 20);
    story_is(h, "state", "done");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(b, "total_g", 100.03);
    story_text(b, "parts.3.toner", "D");
    story_number(b, "parts.3.share", 0);
    story_number(b, "parts.3.poured_g", 0.033);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(more_is_taken_than_asked),    STORY(all_that_is_in_the_cup_is_scaled), STORY(the_cup_comes_back_lighter),
        STORY(too_little_taken_asks_again), STORY(a_foreign_toner_is_dipped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
