/* Mixes by ratio: hardener and reducer from what was really poured, their overpours, pot life. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const double nul = (double)NAN;

/* CLEAR-A 4:1:1 by volume, 600 mL: 400 mL at 1.0, 100 at 1.2, 100 at 0.9: 400, 120, 90 g. */
static void clear_by_volume(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'product':'CLEAR-A','ml':600}");
    story_batch(h, id);
    story_step(h, 0, "CL", 400, 0, "now");
    story_step(h, 1, "H", 120, 0, "next");
    story_step(h, 2, "R", 90, 0, "next");
    story_is(h, "use_by", "");
    /* 401 is within 0.5 %: the rest follows what was really poured. */
    story_pour(h, 401);
    story_now(h, "H", 120.3, 0);
    story_near(h, "now.tolerance_g", 3.609); /* 3 % */
    story_is(h, "use_by", "");
    story_add(h, 60);
    assert_true(strlen(harness_text(h, "bench", "use_by")) > 20); /* from the first reading, not from the accept */
    char first[64];
    strcpy(first, harness_text(h, "bench", "use_by"));
    story_pour(h, 60.3);
    story_is(h, "use_by", first);
    harness_stop(h, SIGKILL);
    harness_start(h);
    story_is(h, "use_by", first); /* to the millisecond: it is the same reading */
    harness_weigh(h, "bench", 551.3);
    story_look(h);
    story_now(h, "R", 90.225, 0);
    story_near(h, "now.tolerance_g", 4.511);
    story_pour(h, 100);
    /* Over in reducer: leave, or more of the base as a choice: 401 x (100/1.05)/90.225. */
    story_is(h, "state", "over");
    json_t *r = json_object_get(harness_screen(h, "bench"), "remedies");
    story_near(h, "remedies.grow.total_g", 423.279);
    story_near(h, "remedies.grow.add_g.0", 22.279);
    assert_true(json_is_null(json_object_get(r, "dip")));
    assert_true(json_is_null(json_object_get(r, "again")));
    story_number(r, "leave.deviation_pct.2", 10.834);
    story_refused(h, "remedy", -32005, "field", "choice", "{'choice':'dip'}");
    story_act(h, "remedy", "{'choice':'leave'}");
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_text(b, "use_by", first);
    story_number(b, "total_g", 621.3);
    story_number(b, "total_ml", 401 + 120.3 / 1.2 + 100 / 0.9);
    story_text(b, "parts.1.toner", "H");
    story_number(b, "parts.1.share", nul);
    story_number(b, "parts.1.poured_g", 120.3);
    story_number(b, "reducer.poured_g", 100);
    assert_int_equal(json_array_size(json_object_get(b, "parts")), 2);
    /* Activated: no leftover for another batch, and no later hour for it. */
    harness_weigh(h, "bench", 0);
    story_refused(h, "begin", -32005, "field", "have",
                  "{'product':'CLEAR-A','ml':600,'have':[{'batch':'%s','grams':50}]}", id);
}

/* 400 clear and 132 of 120 hardener. More of the base: the least base b with 132 within 3 % over 0.3 b:
 * 0.309 b = 132, b = 427.184. Its ratio left alone: 4 : 1.1 : 1 (110 mL on 400). */
static void hardener_over(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'product':'CLEAR-A','grams':400}");
    story_pour(h, 400);
    story_pour(h, 132);
    story_is(h, "state", "over");
    json_t *r = json_object_get(harness_screen(h, "bench"), "remedies");
    assert_true(json_is_null(json_object_get(r, "dip")));
    story_number(r, "grow.total_g", 427.184);
    story_number(r, "grow.add_g.0", 27.184);
    story_number(r, "leave.deviation_pct.1", 10);
    story_text(r, "leave.ratio", "4:1.1:1");
    story_act(h, "remedy", "{'choice':'leave'}");
    story_now(h, "R", 90, 0);
    story_act(h, "undo", "{}");
    story_now(h, "H", 120, 132);
    story_act(h, "accept", "{}");
    story_is(h, "state", "over");
    story_act(h, "remedy", "{'choice':'grow'}");
    story_is(h, "state", "pour");
    story_now(h, "CL", 427.184, 400);
    story_near(h, "wanted_g", 427.184);
    story_pour(h, 27.2);
    /* Hardener is right for 427.2; reducer 427.2/4 mL at 0.9. */
    story_now(h, "R", 96.12, 0);
    story_pour(h, 96.1);
    story_is(h, "state", "done");
}

/* PRIME-A 100:20:10 by weight, hardener's own tolerance 5 %. The ml asked: 1 g of base has 1 + 0.2/1.2 + 0.1/0.9 mL
 * = 1.277778; 511.111 mL are 400 g of base. */
static void primer_by_weight(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'product':'PRIME-A','ml':511.1111}");
    story_step(h, 0, "CL", 400, 0, "now");
    story_step(h, 1, "H", 80, 0, "next");
    story_step(h, 2, "R", 40, 0, "next");
    story_pour(h, 400);
    story_near(h, "now.tolerance_g", 4);
    story_pour(h, 83.9);
    story_now(h, "R", 40, 0);
    story_pour(h, 40);
    story_is(h, "state", "done");
}

/* TS-4 (P 60 at 1.0, Q 40 at 1.25), single coat: SINGLE-A gives 2:1:10 % of the mix by volume. 100 g have
 * 60 + 32 = 92 mL; hardener 46 mL = 55.2 g; reducer 10 % of 138 mL = 13.8 mL = 12.42 g. */
static void a_single_stage_colour(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-4','grams':100}");
    story_step(h, 0, "P", 60, 0, "now");
    story_step(h, 1, "Q", 40, 0, "next");
    story_step(h, 2, "H", 55.2, 0, "next");
    story_step(h, 3, "R", 12.42, 0, "next");
    story_pour(h, 60);
    story_pour(h, 40);
    story_now(h, "H", 55.2, 0);
    /* 54 g are 45 mL: within 3 % (1.656). The reducer is a tenth of 92 + 45 mL. */
    story_pour(h, 54);
    story_now(h, "R", 12.33, 0);
    story_clear(h);
    /* Over in hardener by 20 %: 66.24. k: 1.03 * 0.552 k = 66.24, k = 116.505; each toner by its share. */
    story_cup(h, "{'formula':'TS-4','grams':100}");
    story_pour(h, 60);
    story_pour(h, 40);
    story_pour(h, 66.24);
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.total_g", 116.505);
    story_near(h, "remedies.grow.add_g.0", 9.903);
    story_near(h, "remedies.grow.add_g.1", 6.602);
    assert_int_equal(4, json_array_size(story_at(harness_screen(h, "bench"), "remedies.grow.add_g")));
    story_act(h, "remedy", "{'choice':'grow'}");
    story_now(h, "Q", 46.602, 40);
    story_pour(h, 6.6);
    story_now(h, "P", 69.903, 60);
    story_pour(h, 9.9);
    story_is(h, "now.toner", "R");
    story_clear(h);
}

/* The colour grows after the reducer went in, by a tint: the reducer is aimed anew (test_story_tint); here the colour's
 * own reducer of TS-1 is over: 9 g of 7.92, 5 % is 0.396. */
static void reducer_over(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_pour(h, 9);
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.total_g", 108.225); /* 100 x (9/1.05)/7.92 */
    assert_true(json_is_null(story_at(harness_screen(h, "bench"), "remedies.dip")));
    story_near(h, "remedies.leave.deviation_pct.3", 13.636);
    story_near(h, "total_g", 100);
    story_act(h, "remedy", "{'choice':'leave'}");
    story_is(h, "state", "done");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(clear_by_volume),       STORY(hardener_over), STORY(primer_by_weight),
        STORY(a_single_stage_colour), STORY(reducer_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
