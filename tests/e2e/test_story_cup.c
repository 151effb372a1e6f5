/* Beginnings: amounts, leftovers, what is refused, the cup, a remix. World and tolerances: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const double nul = (double)NAN;

/* 400 mL ready to spray. 1 g of TS-1 has 0.99 mL; a solid colour takes 10 % by volume on top: 400/1.1 = 363.636 mL of
 * colour = 367.309 g, and 36.364 mL = 29.091 g of reducer. With panels the same by area x coats x film / solids, which
 * needs a product's figures; exactly one amount is taken. */
static void by_volume(void **state)
{
    struct harness *h = *state;
    story_act(h, "begin", "{'formula':'TS-1','ml':400}");
    story_is(h, "state", "cup");
    story_near(h, "total_g", 367.309);
    story_step(h, 0, "A", 183.655, 0, "next");
    story_step(h, 3, "RS", 29.091, 0, "next");
    assert_true(json_is_null(json_object_get(harness_screen(h, "bench"), "now")));
    story_refused(h, "begin", -32004, "why", "busy", "{'formula':'TS-1','grams':100}");
    story_refused(h, "hold", -32602, "field", "revision", "{'revision':null}");
    story_act(h, "scrap", "{'why':'only asked'}");
    story_is(h, "state", "idle");
    json_t *s = harness_screen(h, "bench");
    assert_int_equal(json_array_size(json_object_get(s, "steps")), 0);
    const char *none[] = {"batch", "formula", "name",    "variant",  "coat",   "finish",  "order",    "painter",
                          "step",  "now",     "total_g", "wanted_g", "cup_ml", "fill_ml", "remedies", "use_by"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        if (!json_is_null(json_object_get(s, none[i])))
            fail_msg("%s is not null in idle", none[i]);
}

/* Each of these is refused and leaves the station idle, its revision as it was. */
static void what_cannot_begin(void **state)
{
    struct harness *h = *state;
    static const struct {
        int code;
        const char *field, *params;
    } bad[] = {
        {-32005, "grams", "{'formula':'TS-1'}"},
        {-32005, "grams", "{'formula':'TS-1','grams':100,'ml':100}"},
        {-32005, "grams", "{'formula':'TS-1','grams':-1}"},
        {-32005, "grams", "{'formula':'TS-1','grams':0}"},
        {-32602, "grams", "{'formula':'TS-1','grams':'100'}"},
        {-32001, "formula", "{'formula':'TS-99','grams':100}"},
        {-32001, "variant", "{'formula':'TS-1','variant':'redder','grams':100}"},
        {-32001, "coat", "{'formula':'TS-1','coat':'mid','grams':100}"},
        {-32001, "product", "{'product':'NOSUCH','grams':100}"},
        {-32602, "formula", "{'formula':7,'grams':100}"},
        {-32602, "formula", "{'grams':100}"},
        {-32602, "have", "{'formula':'TS-1','grams':100,'have':'1031'}"},
        {-32005, "have", "{'formula':'TS-1','grams':100,'have':[{'batch':'99','grams':10}]}"}, /* unknown make */
        {-32005, NULL, "{'formula':'TS-1','grams':100,'have':[{'toner':'W','grams':10}]}"},
        {-32005, NULL, "{'formula':'TS-1','grams':100,'have':[{'grams':10}]}"},
        {-32005, NULL, "{'formula':'TS-1','grams':100,'have':[{'toner':'A','grams':-10}]}"},
        {-32005, "cup_ml", "{'formula':'TS-1','grams':100,'cup_ml':-5}"},
        {-32005, "reduce_pct", "{'formula':'TS-1','grams':100,'reduce_pct':101}"},
    };
    double revision = harness_number(h, "bench", "revision");
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        story_refused(h, "begin", bad[i].code, bad[i].field ? "field" : NULL, bad[i].field, bad[i].params, 0);
    story_is(h, "state", "idle");
    assert_true(harness_number(h, "bench", "revision") <= revision);
    /* Members not known are ignored, 100.0 is 100. */
    story_act(h, "begin", "{'formula':'TS-1','grams':100.0,'weather':'fair'}");
    story_near(h, "wanted_g", 100);
}

static void the_cup(void **state)
{
    struct harness *h = *state;
    story_act(h, "begin", "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    harness_weigh(h, "bench", 0.9);
    story_refused(h, "accept", -32004, "why", "no_cup", "{}");
    story_is(h, "state", "cup");
    story_act(h, "accept", "{'tared':true}");
    story_now(h, "A", 50, 0);
    story_near(h, "now.scale_shows_g", 50.9);
    story_refused(h, "remedy", -32004, "state", "pour", "{'choice':'grow'}");
    story_act(h, "undo", "{}");
    story_is(h, "state", "cup");
    story_refused(h, "undo", -32004, "why", "nothing", "{}");
    harness_weigh(h, "bench", 30);
    story_act(h, "accept", "{}");
    story_near(h, "now.scale_shows_g", 80);
    /* A is taken back; the cup itself only when none of A stands uncounted in it. */
    story_pour(h, 50);
    story_act(h, "undo", "{}");
    story_number(story_refused(h, "undo", -32004, "why", "uncounted", "{}"), "uncounted_g", 50);
    harness_weigh(h, "bench", 30);
    story_act(h, "retare", "{'uncounted_g':0}");
    story_act(h, "undo", "{}");
    story_is(h, "state", "cup");
}

/* A batch of 100 g with its 9.9 mL = 7.92 g of reducer is a leftover of 107.92 g. 53.96 g of it are half: A 25, B 15,
 * C 10, reducer 3.96. For 200 g of colour the reducer is 15.84, so 11.88 are still to come. */
static void a_leftover_is_split(void **state)
{
    struct harness *h = *state;
    char first[16];
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_batch(h, first);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_now(h, "RS", 7.92, 0);
    story_near(h, "now.tolerance_g", 0.396); /* 5 % */
    story_pour(h, 7.92);
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", first);
    story_number(b, "reducer.poured_g", 7.92);
    story_number(b, "total_g", 107.92);
    story_number(b, "total_ml", 108.9);
    story_number(b, "density_g_per_ml", 107.92 / 108.9);
    assert_int_equal(json_array_size(json_object_get(b, "parts")), 3);
    harness_weigh(h, "bench", 0);
    /* Two leftovers: that half, and 10 g of C alone: C stands at 20 of 40. The cup holds 63.96 g and weighs 30. */
    story_act(h, "begin",
              "{'formula':'TS-1','grams':200,'have':[{'batch':'%s','grams':53.96},{'toner':'C','grams':10}]}", first);
    story_near(h, "total_g", 200);
    harness_weigh(h, "bench", 93.96);
    story_act(h, "accept", "{}");
    story_now(h, "A", 100, 25);
    story_near(h, "now.scale_shows_g", 168.96);
    story_is(h, "steps.0.place", "rack 2, 14"); /* the bank of A */
    assert_true(json_is_null(story_at(harness_screen(h, "bench"), "steps.1.place")));
    story_step(h, 1, "B", 60, 15, "next");
    story_step(h, 2, "C", 40, 20, "next");
    story_step(h, 3, "RS", 15.84, 3.96, "next");
    story_pour(h, 75);
    story_now(h, "B", 60, 15);
    story_pour(h, 45);
    story_pour(h, 20);
    story_now(h, "RS", 15.84, 3.96);
    story_pour(h, 11.88);
    story_is(h, "state", "done");
    story_clear(h);
}

/* d 0.01 and half a drop within 5 % are 0.7 g. Of 2 g of TS-1 the cup holds nothing to weigh again but what is open. */
/* Warnings of what cannot be weighed, or is too much; not that no card matched yet. */
static size_t weighing_warnings(const json_t *plan)
{
    size_t i, count = 0;
    json_t *warning;
    json_array_foreach(json_object_get(plan, "warnings"), i, warning)
    {
        count += strcmp(json_string_value(json_object_get(warning, "code")), "no_card") != 0;
    }
    return count;
}

static void what_the_cup_holds_is_not_weighed_again(void **state)
{
    struct harness *h = *state;
    json_t *p = story_call(h, "mix.plan", "{'formula':'TS-1','grams':2}");
    story_text(p, "warnings.0.code", "below_smallest");
    story_text(p, "warnings.0.toner", "C"); /* 0.4 g */
    story_number(p, "warnings.0.args.smallest_g", 3.5);
    p = story_call(h, "mix.plan", "{'formula':'TS-1','grams':2,'have':[{'toner':'C','grams':0.4}]}");
    story_text(p, "warnings.0.code", "below_smallest");
    story_text(p, "warnings.0.toner", "B"); /* 0.6 g */
    story_number(p, "warnings.0.args.smallest_g", 2.3333);
    p = story_call(h, "mix.plan",
                   "{'formula':'TS-1','grams':2,'have':[{'toner':'B','grams':0.6},{'toner':'C','grams':0.4}]}");
    assert_int_equal(weighing_warnings(p), 0);
    /* 3 g of C force 14.6 g, in which nothing left to pour is small. */
    p = story_call(h, "mix.plan", "{'formula':'TS-1','grams':2,'have':[{'toner':'C','grams':3}]}");
    story_text(p, "warnings.0.code", "have_much");
    assert_int_equal(weighing_warnings(p), 1);
    /* 0.5 g of C are open; with 19.5 g there it takes 101 g to leave 0.7 g. */
    p = story_call(h, "mix.plan", "{'formula':'TS-1','grams':100,'have':[{'toner':'C','grams':19.5}]}");
    story_text(p, "warnings.0.toner", "C");
    story_number(p, "warnings.0.args.smallest_g", 101);
}

/* 30 g of C for 100 g: k = 30/0.201 = 149.254 g; that total is said first, at beginning. */
static void a_leftover_too_rich(void **state)
{
    struct harness *h = *state;
    story_act(h, "begin", "{'formula':'TS-1','grams':100,'reduce_pct':0,'have':[{'toner':'C','grams':30}]}");
    assert_true(strlen(harness_text(h, "bench", "message")) > 0);
    assert_non_null(strstr(harness_text(h, "bench", "message"), "149.25"));
    harness_weigh(h, "bench", 60);
    story_act(h, "accept", "{}");
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.total_g", 149.254);
    story_near(h, "remedies.grow.add_g.0", 74.627);
    story_near(h, "remedies.dip.take_g", 9.9); /* 30 - 20.1 */
    story_act(h, "remedy", "{'choice':'grow'}");
    story_is(h, "state", "pour");
    story_now(h, "A", 74.627, 0);
}

/* Tinted with 5 g of D: as poured the shares are 50, 30, 20, 5 of 105; as corrected the formula's own three. */
static void a_remix(void **state)
{
    struct harness *h = *state;
    char first[16];
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0,'order':'RO-9','painter':'Bo'}");
    story_batch(h, first);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "tint", "{'toner':'D'}");
    story_pour(h, 5);
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    story_act(h, "begin", "{'repeat':'%s','as':'poured','grams':15}", first);
    story_near(h, "total_g", 15);
    story_step(h, 0, "A", 7.143, 0, "next"); /* 15 * 50/105 */
    story_is(h, "steps.3.toner", "D");
    story_near(h, "steps.3.aim_g", 0.714);
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", harness_text(h, "bench", "batch")), "repeat_of", first);
    story_act(h, "scrap", "{'why':'another way'}");
    story_act(h, "begin", "{'repeat':'%s','as':'corrected','reduce_pct':0}", first);
    story_step(h, 0, "A", harness_number(h, "bench", "wanted_g") / 2, 0, "next");
    assert_int_equal(json_array_size(json_object_get(harness_screen(h, "bench"), "steps")), 3);
    story_act(h, "scrap", "{'why':'another way'}");
    story_refused(h, "begin", -32005, "field", "as", "{'repeat':'%s','as':'dreamt','grams':15}", first);
    story_refused(h, "begin", -32001, "field", "repeat", "{'repeat':'999','as':'poured','grams':15}");
    story_is(h, "finish", "");
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", first), "state", "finished");
    story_near(h, "step", nul);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(by_volume),
        STORY(what_cannot_begin),
        STORY(the_cup),
        STORY(a_leftover_is_split),
        STORY(what_the_cup_holds_is_not_weighed_again),
        STORY(a_leftover_too_rich),
        STORY(a_remix),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
