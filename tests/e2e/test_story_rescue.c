/* An overpour mixed right again with cups of the shelf: offered, taken out, poured cup by cup, in the record. World:
 * story.h; the cups weigh 30 g. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

/* A cup of A 50 and B 30 with no C at all, of which left_g are on the shelf: what an overpour of C can use. */
static void without_c(struct harness *h, double left_g, char id[16])
{
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    story_pour(h, 30);
    story_act(h, "accept", "{'short':true}");
    if (strcmp(harness_text(h, "bench", "state"), "done") != 0)
        story_act(h, "accept", "{'short':true}");
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':%.2f}", id, 30 + left_g);
    story_call(h, "batch.shelve", "{'batch':'%s','place':'shelf 1'}", id);
}

/* 26 g of C in place of 20 are right in 26 / (1.005 x 0.2) = 129.353 g, with 14.677 g of A and 8.806 g of B more: 0.15
 * and 0.18 EUR. Of a cup with both in that proportion 23.483 g do the same for nothing. */
static void over_in_c(struct harness *h)
{
    story_cup(h, plain);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 26);
    story_is(h, "state", "over");
}

static double row_left(struct harness *h, const char *id)
{
    return json_number_value(story_at(story_call(h, "batch.get", "{'batch':'%s'}", id), "shelf.left_g"));
}

static void no_cup_no_rescue(void **state)
{
    struct harness *h = *state;
    over_in_c(h);
    story_near(h, "remedies.rescue", NAN);
    story_near(h, "remedies.grow.total_g", 129.353);
    story_refused(h, "remedy", -32005, "field", "choice", "{'choice':'rescue'}");
    story_clear(h);
}

static void a_cup_in_place_of_fresh_toner(void **state)
{
    struct harness *h = *state;
    char id[16], mine[16];
    without_c(h, 60, id);
    over_in_c(h);
    story_batch(h, mine);
    story_near(h, "remedies.rescue.total_g", 129.353);
    story_is(h, "remedies.rescue.batches.0.batch", id);
    story_near(h, "remedies.rescue.batches.0.grams", 23.483);
    story_near(h, "remedies.rescue.take_g", 0);
    story_near(h, "remedies.rescue.add_g.0", 0);
    story_near(h, "remedies.rescue.waste_g", 0);
    story_near(h, "remedies.rescue.cost", 0.24); /* 6 g of C too much, and nothing else */
    story_near(h, "remedies.grow.cost", 0.24 + 0.15 + 0.18);
    story_is(h, "remedies.rescue.why", "");
    story_call(h, "stock.count", "{'toner':'A','grams':1000}");
    story_act(h, "remedy", "{'choice':'rescue'}");
    story_is(h, "state", "pour");
    story_is(h, "now.toner", "");
    story_is(h, "now.name", "cup 1");
    story_is(h, "now.batch", id);
    story_near(h, "now.aim_g", 23.483);
    story_is(h, "steps.3.batch", id);
    story_is(h, "steps.3.state", "now");
    story_near(h, "step", 4);
    story_is(h, "next.said.code", "next_cup_pour");
    story_refused(h, "accept", -32004, "why", "short", "{}");
    json_t *cup = story_call(h, "scan", "{'code':'POISE:%s','station':'bench'}", id);
    story_text(cup, "said.code", "cup_right");
    cup = story_call(h, "scan", "{'code':'POISE:%s','station':'bench'}", mine);
    story_text(cup, "said.code", "wrong_cup");
    story_text(cup, "said.args.asked", id);
    story_refused(h, "tin", -32004, "why", "not_pouring", "{'toner':'A'}"); /* a cup is no tin */
    story_pour(h, 23.48);
    story_is(h, "state", "done"); /* the cup brought all that lacked */
    story_number(story_call(h, "stock.list", "{'toner':'A'}"), "stock.0.grams", 1000); /* and none of it is a tin's */
    story_step(h, 0, "A", 64.74, 50 + 23.48 * 0.625, "done");
    story_near(h, "wanted_g", 129.353);
    assert_true(fabs(row_left(h, id) - 36.52) < 0.01);
    /* Undone it is on the shelf again, and its paint belongs to the open cup. */
    story_act(h, "undo", "{}");
    story_is(h, "now.batch", id);
    story_near(h, "now.in_cup_g", 23.48);
    assert_true(fabs(row_left(h, id) - 60) < 0.01);
    story_act(h, "accept", "{}");
    assert_true(fabs(row_left(h, id) - 36.52) < 0.01);
    story_act(h, "finish", "{}");
    json_t *r = story_call(h, "batch.get", "{'batch':'%s'}", mine);
    story_text(r, "have.0.batch", id);
    story_number(r, "have.0.grams", 23.48);
    story_number(r, "total_g", 129.48);
}

/* The daemon is killed after each act: it goes on where it was. */
static void it_survives_a_restart_and_a_hold(void **state)
{
    struct harness *h = *state;
    char id[16];
    without_c(h, 60, id);
    over_in_c(h);
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    harness_start(h);
    story_look(h);
    story_is(h, "remedies.rescue.batches.0.batch", id);
    story_act(h, "remedy", "{'choice':'rescue'}");
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    harness_start(h);
    harness_wait_scale(h, "bench", "live");
    story_look(h);
    story_is(h, "now.batch", id);
    harness_weigh(h, "bench", 30 + 106 + 10);
    story_look(h);
    story_near(h, "now.in_cup_g", 10);
    story_act(h, "hold", "{}");
    assert_true(fabs(row_left(h, id) - 50) < 0.01);
    json_t *found = story_call(h, "batch.find", "{'state':'held'}");
    char held[16];
    snprintf(held, sizeof held, "%s", json_string_value(story_at(found, "batches.0.batch")));
    story_act(h, "resume", "{'batch':'%s'}", held);
    story_act(h, "accept", "{}");
    story_is(h, "now.batch", id);
    story_near(h, "now.in_cup_g", 10);
    story_near(h, "now.to_go_g", 13.483);
    story_is(h, "steps.3.state", "again");
    story_pour(h, 13.48);
    story_is(h, "state", "done");
    assert_true(fabs(row_left(h, id) - 36.52) < 0.01);
    story_clear(h);
}

/* The shelf told 60 g, but only 10 g come out: the cup is empty, nothing of it is left there, and fresh toner does the
 * rest. */
static void an_empty_cup(void **state)
{
    struct harness *h = *state;
    char id[16];
    without_c(h, 60, id);
    over_in_c(h);
    story_act(h, "remedy", "{'choice':'rescue'}");
    story_add(h, 10);
    story_act(h, "accept", "{'short':true}");
    story_is(h, "said.code", "rescue_cup_empty");
    assert_true(fabs(row_left(h, id)) < 0.01);
    story_is(h, "state", "pour");
    story_is(h, "now.toner", "B"); /* the smaller share first */
    story_near(h, "now.in_cup_g", 30 + 10 * 0.375);
    story_near(h, "now.aim_g", 39);
    story_clear(h);
}

/* So much of it that the fresh toner does not fit any more: growing would need 130 g, the cup holds 100 mL. Some is
 * taken out first, then the leftover makes up for it. */
static void paint_out_first(void **state)
{
    struct harness *h = *state;
    char id[16];
    without_c(h, 60, id);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0,'cup_ml':105}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 26);
    story_is(h, "state", "over");
    json_t *rescue = story_at(harness_screen(h, "bench"), "remedies.rescue");
    double take_g = json_number_value(story_at(rescue, "take_g"));
    double cup_g = json_number_value(story_at(rescue, "batches.0.grams"));
    double total_g = json_number_value(story_at(rescue, "total_g"));
    assert_true(take_g > 1 && cup_g > 1);
    story_act(h, "remedy", "{'choice':'rescue'}");
    story_is(h, "now.name", "take out");
    story_near(h, "now.aim_g", -take_g);
    double take = round(take_g * 100) / 100, cup = round(cup_g * 100) / 100;
    story_add(h, -take);
    story_act(h, "accept", "{}");
    story_is(h, "now.batch", id);
    story_pour(h, cup);
    if (strcmp(harness_text(h, "bench", "state"), "over") == 0)
        fail_msg("what the rescue made right asks again");
    story_near(h, "total_g", total_g);
    for (int i = 0; i < 3 && strcmp(harness_text(h, "bench", "state"), "pour") == 0; i++)
        story_pour(h, round(json_number_value(story_at(harness_screen(h, "bench"), "now.to_go_g")) * 100) / 100);
    story_is(h, "state", "done");
    story_clear(h);
}

/* More of the cup than was asked for brings its own too much: that asks, or the batch grows. */
static void too_much_of_the_cup(void **state)
{
    struct harness *h = *state;
    char id[16];
    without_c(h, 60, id);
    over_in_c(h);
    story_act(h, "remedy", "{'choice':'rescue'}");
    story_pour(h, 40);
    story_is(h, "state", "over");
    /* The lists of each way out are as long as the steps, the cup among them. */
    static const char *const lists[] = {"grow.add_g", "dip.add_g", "leave.deviation_pct"};
    for (size_t k = 0; k < 3; k++) {
        char path[64];
        snprintf(path, sizeof path, "remedies.%s", lists[k]);
        assert_int_equal(json_array_size(story_at(harness_screen(h, "bench"), path)),
                         json_array_size(story_at(harness_screen(h, "bench"), "steps")));
    }
    assert_true(fabs(row_left(h, id) - 20) < 0.01);
    story_act(h, "remedy", "{'choice':'grow'}");
    story_is(h, "state", "pour");
    story_is(h, "now.toner", "C");
    story_clear(h);
}

/* Another bench has poured the cup meanwhile: the offer stands on the screen and is refused. */
static void the_cup_is_gone(void **state)
{
    struct harness *h = *state;
    char id[16];
    without_c(h, 60, id);
    over_in_c(h);
    story_call(h, "batch.discard", "{'batch':'%s','grams':50}", id);
    json_t *data = story_refused(h, "remedy", -32005, "field", "choice", "{'choice':'rescue'}");
    story_text(data, "code", "have_left");
    story_act(h, "remedy", "{'choice':'leave'}");
    story_clear(h);
}

/* The cup was reduced, and so will be this batch: what it brings of the reducer counts, and the rest is asked for. */
static void reducer_that_the_cup_brings(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_batch(h, id);
    story_pour(h, 50);
    story_pour(h, 30);
    story_act(h, "accept", "{'short':true}");
    story_is(h, "now.toner", "RS");
    story_pour(h, 5.92); /* 10 % of 74 mL, at 0.8 */
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':100}", id);
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 26);
    story_is(h, "state", "over");
    /* 23.483 g of colour, which is 80 of the cup's 85.92, and as much more as the tolerances of A and B let in: it
     * brings reducer as well, which is then not poured fresh. */
    double cup_g = json_number_value(story_at(harness_screen(h, "bench"), "remedies.rescue.batches.0.grams"));
    assert_true(cup_g > 23.483 * 85.92 / 80 - 0.01 && cup_g < 26);
    story_near(h, "remedies.rescue.total_g", 129.353);
    story_near(h, "remedies.rescue.take_g", 0);
    story_act(h, "remedy", "{'choice':'rescue'}");
    cup_g = round(cup_g * 100) / 100;
    story_pour(h, cup_g);
    story_is(h, "now.toner", "RS");
    story_near(h, "now.in_cup_g", cup_g * 5.92 / 85.92);
    double aim_g = json_number_value(story_at(harness_screen(h, "bench"), "now.aim_g"));
    assert_true(fabs(aim_g - 1.3 * 7.92) < 0.2); /* 10 % by volume of what is now in the cup, some 130 g */
    story_pour(h, round((aim_g - cup_g * 5.92 / 85.92) * 100) / 100);
    story_is(h, "state", "done");
    story_clear(h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(no_cup_no_rescue, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_cup_in_place_of_fresh_toner, story_begin, story_end),
        cmocka_unit_test_setup_teardown(it_survives_a_restart_and_a_hold, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_empty_cup, story_begin, story_end),
        cmocka_unit_test_setup_teardown(paint_out_first, story_begin, story_end),
        cmocka_unit_test_setup_teardown(too_much_of_the_cup, story_begin, story_end),
        cmocka_unit_test_setup_teardown(the_cup_is_gone, story_begin, story_end),
        cmocka_unit_test_setup_teardown(reducer_that_the_cup_brings, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
