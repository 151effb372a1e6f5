/* Overpours: what the station does by itself, what it offers, and what each choice leads to.
 *
 * All in the world of story.h, TS-1 (A 50, B 30, C 20), 100 g and no reducer unless said; tolerances t of 0.5 %, at
 * least 0.05 g. A component at w with share f stays within tolerance from the total k = w / (1.005 f) on, where 0.5 %
 * is the larger tolerance (aims above 10 g). Aims follow k_aim = min(max(k, poured / their shares), 1.005 k). */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";
static const double nul = (double)NAN;

/* A 52: k = 52/0.5025 = 103.483, 3.5 % more than agreed, only B and C change. k_aim = min(104, 104.0) = 104. */
static void it_grows_by_itself_and_says_so(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 52);
    story_is(h, "state", "pour");
    story_near(h, "total_g", 104);
    story_near(h, "wanted_g", 100);
    story_step(h, 0, "A", 52, 52, "done");
    story_step(h, 1, "B", 31.2, 0, "now");
    story_step(h, 2, "C", 20.8, 0, "next");
    assert_true(strlen(harness_text(h, "bench", "message")) > 0);
    /* The key was wrong: A is open again as asked at first, and the paint is still there. */
    story_act(h, "undo", "{}");
    story_near(h, "total_g", 100);
    story_now(h, "A", 50, 52);
    story_step(h, 0, "A", 50, 0, "now");
}

/* A 53: k = 53/0.5025 = 105.473, more than 5 % above 100: a person must choose. */
static void beyond_auto_grow_it_asks(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 53);
    story_is(h, "state", "over");
    json_t *r = json_object_get(harness_screen(h, "bench"), "remedies");
    story_number(r, "grow.total_g", 105.473);
    story_number(r, "grow.add_g.0", 0);
    story_number(r, "grow.add_g.1", 31.642); /* 0.3 k */
    story_number(r, "grow.add_g.2", 21.095); /* 0.2 k */
    assert_true(json_is_true(story_at(r, "grow.fits")));
    assert_true(json_is_null(story_at(r, "grow.why")));
    story_number(r, "grow.volume_ml", 104.682); /* 53 + 31.642/1.25 + 21.095/0.8: A stays above its share */
    story_number(r, "grow.cost", 0.11);         /* 0.53 + 0.633 + 0.844 less the 1.90 that was planned */
    story_number(r, "leave.cost", 0.03);        /* 3 g of A */
    /* s = 50.25/53, so 2.75 g come out, and A stands at 50.25. */
    story_number(r, "dip.take_g", 2.75);
    story_number(r, "dip.waste_g", 2.75);
    story_number(r, "dip.total_g", 100);
    story_number(r, "dip.add_g.0", 0);
    story_number(r, "dip.add_g.1", 30);
    story_number(r, "dip.add_g.2", 20);
    story_number(r, "leave.deviation_pct.0", 6);
    story_number(r, "leave.deviation_pct.1", nul);
    const char *each[] = {"grow", "dip", "leave"}, *with[] = {"waste_g", "cost", "volume_ml"};
    for (size_t i = 0; i < 9; i++)
        assert_true(json_is_number(json_object_get(json_object_get(r, each[i / 3]), with[i % 3])));
    assert_non_null(json_object_get(r, "again"));
    /* Only remedy, undo, note and scrap go on from here. */
    const char *refused[] = {"accept", "retare", "hold", "finish"};
    for (size_t i = 0; i < 4; i++)
        story_refused(h, refused[i], -32004, "state", "over", "{}");
    story_refused(h, "tint", -32004, "state", "over", "{'toner':'D'}");
    story_act(h, "note", "{'text':'the can slipped'}");
    story_is(h, "state", "over");
    story_act(h, "undo", "{}");
    story_is(h, "state", "pour");
    story_now(h, "A", 50, 53);
}

/* grow: k_aim = min(max(105.473, 53/0.5), 1.005 k) = 106. Agreed is then 105.473. Undo takes growth and accept back. */
static void grow_is_agreed(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 53);
    story_act(h, "remedy", "{'choice':'grow'}");
    story_is(h, "state", "pour");
    story_near(h, "total_g", 106);
    story_near(h, "wanted_g", 105.473);
    story_now(h, "B", 31.8, 0);
    story_act(h, "undo", "{}");
    story_is(h, "state", "pour");
    story_near(h, "wanted_g", 100);
    story_now(h, "A", 50, 53);
    assert_true(json_is_null(json_object_get(harness_screen(h, "bench"), "remedies")));
}

/* C 21 after A 50 and B 30: k = 21/0.201 = 104.478 is within 5 %, but A lacks 2.24 g and B 1.34 g: it asks.
 * The smaller share is topped up first. C alone is closed: k_aim is 21/0.2 = 105, no more than
 * 0.5 % above 104.478. */
static void top_ups_come_smallest_share_first(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 21);
    story_is(h, "state", "over");
    json_t *r = json_object_get(harness_screen(h, "bench"), "remedies");
    story_number(r, "grow.add_g.0", 2.239);
    story_number(r, "grow.add_g.1", 1.343);
    story_number(r, "grow.add_g.2", 0);
    story_number(r, "leave.deviation_pct.2", 5);
    /* dip: s = 20.1/21, 101 (1 - s) = 4.329 out; A is then 47.857, B 28.714. */
    story_number(r, "dip.take_g", 4.329);
    story_number(r, "dip.add_g.0", 2.143);
    story_number(r, "dip.add_g.1", 1.286);
    story_act(h, "remedy", "{'choice':'grow'}");
    story_now(h, "B", 31.5, 30);
    story_step(h, 0, "A", 52.5, 50, "next");
    story_step(h, 1, "B", 31.5, 30, "again");
    story_pour(h, 1.38);
    story_now(h, "A", 52.38, 50); /* B and C stand for 104.76 */
    story_pour(h, 2.24);
    story_is(h, "state", "done");
    /* k_aim is now what was poured, 104.62. */
    story_step(h, 0, "A", 52.31, 52.24, "done");
    story_step(h, 1, "B", 31.386, 31.38, "done");
    story_step(h, 2, "C", 20.924, 21, "done");
}

/* 103.483 g are 102.448 mL; a cup of 107 mL filled to 95 % holds 101.65 mL, or 102.677 g. */
static void a_cup_too_small_is_not_grown_into(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0,'cup_ml':107}");
    story_pour(h, 52);
    story_is(h, "state", "over");
    json_t *r = json_object_get(harness_screen(h, "bench"), "remedies");
    story_number(r, "dip.take_g", 1.75); /* 52 - 50.25 */
    assert_true(json_is_false(story_at(r, "grow.fits")));
    assert_true(json_is_string(story_at(r, "grow.why")));
    story_refused(h, "remedy", -32008, "why", "cup", "{'choice':'grow'}");
    story_refused(h, "remedy", -32005, "field", "choice", "{'choice':'pray'}");
    story_act(h, "remedy", "{'choice':'dip'}");
    story_is(h, "state", "pour");
}

/* leave: A 53 is out of the maximum, k stays 100. B 31: k = 31/0.3015 = 102.819 by itself, A at 53 lacks nothing;
 * k_aim = min(31/0.3, 1.005 k) = 103.333. C 22: k = 22/0.201 = 109.45, over once more, about C alone. */
static void what_was_left_never_asks_twice(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 53);
    story_act(h, "remedy", "{'choice':'leave'}");
    story_is(h, "state", "pour");
    story_near(h, "total_g", 100);
    story_now(h, "B", 30, 0);
    story_pour(h, 31);
    story_is(h, "state", "pour");
    story_near(h, "total_g", 103.333);
    story_near(h, "wanted_g", 100);
    story_now(h, "C", 20.667, 0);
    story_pour(h, 22);
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.total_g", 109.453);
    story_near(h, "remedies.grow.add_g.0", 1.726); /* 54.726 - 53 */
    story_near(h, "remedies.grow.add_g.1", 1.836); /* 32.836 - 31 */
    story_act(h, "remedy", "{'choice':'leave'}");
    story_is(h, "state", "done");
    story_act(h, "undo", "{}");
    story_is(h, "state", "pour");
    story_now(h, "C", 20.667, 22);
}

/* Ten grams of D, which TS-1 does not hold: no growth mends that. Beginning
 * again costs what the cup holds, 10 g
 * of D for 0.10, and that cup is kept as a leftover of the batch that ends. */
static void again_makes_two_batches(void **state)
{
    struct harness *h = *state;
    char first[16], second[16];
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0,'order':'RO-7','painter':'Ane'}");
    story_batch(h, first);
    story_refused(h, "remedy", -32004, "state", "pour", "{'choice':'again'}");
    story_add(h, 10);
    story_act(h, "accept", "{'really':'D'}");
    story_is(h, "state", "over");
    assert_true(json_is_null(story_at(harness_screen(h, "bench"), "remedies.grow")) ||
                json_is_null(story_at(harness_screen(h, "bench"), "remedies.grow.total_g")));
    story_refused(h, "remedy", -32005, "field", "choice", "{'choice':'grow'}");
    story_near(h, "remedies.again.cost", 0.10);
    story_near(h, "remedies.dip.take_g", 9.95); /* s = 0.05/10 */
    story_act(h, "remedy", "{'choice':'again'}");
    story_is(h, "state", "cup");
    story_batch(h, second);
    assert_string_not_equal(first, second);
    story_is(h, "order", "RO-7");
    story_is(h, "painter", "Ane");
    story_is(h, "formula", "TS-1");
    story_near(h, "wanted_g", 100);
    json_t *old = story_call(h, "batch.get", "{'batch':'%s'}", first);
    story_text(old, "state", "finished");
    story_number(old, "total_g", 10);
    story_number(old, "shelf.left_g", 10);
    harness_weigh(h, "bench", 30);
    story_act(h, "accept", "{}");
    story_now(h, "A", 50, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(it_grows_by_itself_and_says_so),
        STORY(beyond_auto_grow_it_asks),
        STORY(grow_is_agreed),
        STORY(top_ups_come_smallest_share_first),
        STORY(a_cup_too_small_is_not_grown_into),
        STORY(what_was_left_never_asks_twice),
        STORY(again_makes_two_batches),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
