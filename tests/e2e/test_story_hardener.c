/* Hardener where it should be and where it should not: what is cautioned when, and an activated cup that keeps nothing.
 * World: story.h. What a pot life is of a hardener that nothing asked for, nobody knows. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

/* Where a caution stands in a screen, a record, or a plan's warnings; -1: not there. */
static int place_of(const json_t *list, const char *code)
{
    const json_t *one;
    size_t i;
    json_array_foreach((json_t *)(uintptr_t)list, i, one)
    {
        const char *is = json_string_value(json_object_get(one, "code"));
        if (is && strcmp(is, code) == 0)
            return (int)i;
    }
    return -1;
}

static int caution_at(struct harness *h, const char *code)
{
    return place_of(json_object_get(harness_screen(h, "bench"), "cautions"), code);
}

/* Cup and hardener's step: the mask first, then what burns, then what is too little for the scale. */
static void hazards_stand_before_what_cannot_be_weighed(void **state)
{
    struct harness *h = *state;
    story_act(h, "begin", "{'formula':'TS-4','product':'SINGLE-W','grams':1}");
    assert_int_equal(caution_at(h, "isocyanate"), 0);
    assert_int_equal(caution_at(h, "sensitised"), 1);
    assert_int_equal(caution_at(h, "flammable"), 2);
    assert_true(caution_at(h, "below_smallest") > caution_at(h, "flammable"));
    story_is(h, "caution.0", "isocyanates: air-fed mask and gloves; safety data sheet first");
    harness_weigh(h, "bench", 30);
    story_act(h, "accept", "{}");
    assert_int_equal(caution_at(h, "flammable"), -1); /* not all day */
    story_pour(h, 0.6);
    story_pour(h, 0.4);
    story_is(h, "now.toner", "H");
    assert_int_equal(caution_at(h, "isocyanate"), 0);
    assert_int_equal(caution_at(h, "flammable"), 1);
}

static void a_hardener_without_data_counts_as_isocyanate(void **state)
{
    struct harness *h = *state;
    story_call(h, "toner.put",
               "{'id':'HX','name':'Hardener','role':'hardener','line':'two-pack','density_g_per_ml':1.2}");
    story_cup(h, "{'product':'CLEAR-A','parts':['CL','HX','R'],'grams':400}");
    assert_int_equal(caution_at(h, "isocyanate"), 0);
    story_pour(h, 400);
    story_is(h, "now.toner", "HX");
    assert_int_equal(caution_at(h, "isocyanate"), 0);
}

static void is_activated_for_an_unknown_time(struct harness *h)
{
    assert_true(json_is_true(json_object_get(harness_screen(h, "bench"), "activated")));
    assert_int_equal(caution_at(h, "isocyanate"), 0);
    assert_true(json_is_string(story_at(harness_screen(h, "bench"), "pot_life.from")));
    assert_true(json_is_null(story_at(harness_screen(h, "bench"), "pot_life.until")));
    story_is(h, "use_by", "");
}

/* 5 g of hardener were poured for A. Later 8 g of A too much: nothing is taken out, since it could not be kept. */
static void hardener_from_the_wrong_tin(void **state)
{
    struct harness *h = *state;
    char id[16], out[4096], err[512], path[HARNESS_PATH + 16];
    story_cup(h, plain);
    story_batch(h, id);
    assert_int_equal(caution_at(h, "isocyanate"), -1);
    story_add(h, 5);
    story_act(h, "accept", "{'really':'H'}");
    story_is(h, "state", "over");
    is_activated_for_an_unknown_time(h);
    assert_true(json_is_null(story_at(harness_screen(h, "bench"), "remedies.dip")));
    story_act(h, "remedy", "{'choice':'leave'}");
    story_pour(h, 58);
    story_is(h, "state", "over");
    assert_true(json_is_null(story_at(harness_screen(h, "bench"), "remedies.dip")));
    assert_true(json_is_object(story_at(harness_screen(h, "bench"), "remedies.grow")));
    story_refused(h, "remedy", -32005, "why", "activated", "{'choice':'dip'}");
    story_act(h, "remedy", "{'choice':'grow'}");
    while (strcmp(harness_text(h, "bench", "state"), "pour") == 0)
        story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_is(h, "state", "done");
    is_activated_for_an_unknown_time(h);
    assert_true(caution_at(h, "never_close") > 0);
    story_act(h, "finish", "{}");
    json_t *record = story_call(h, "batch.get", "{'batch':'%s'}", id);
    assert_true(json_is_true(json_object_get(record, "activated")));
    assert_int_equal(place_of(json_object_get(record, "cautions"), "isocyanate"), 0);
    assert_true(place_of(json_object_get(record, "cautions"), "never_close") > 0);
    story_text(record, "foreign.0.toner", "H");
    story_number(record, "foreign.0.grams", 5);
    json_t *row = story_at(story_call(h, "batch.find", "{'text':'%s'}", id), "batches.0");
    assert_true(json_is_true(json_object_get(row, "activated")));
    snprintf(path, sizeof path, "%.200s/lid.pdf", h->dir);
    const char *const label[] = {"poise", "label", id, "--out", path, NULL};
    assert_int_equal(harness_run(h, label, NULL, out, sizeof out, err, sizeof err), 0);
    story_refused(h, "begin", -32005, "field", "have",
                  "{'formula':'TS-1','grams':100,'have':[{'batch':'%s','grams':10}]}", id);
}

/* A drop of hardener by eye into what is done: the mask before it is poured, the cup activated with it. */
static void hardener_as_a_tint(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    assert_int_equal(caution_at(h, "isocyanate"), -1);
    story_act(h, "tint", "{'toner':'H'}");
    assert_int_equal(caution_at(h, "isocyanate"), 0);
    story_pour(h, 2);
    story_is(h, "state", "done");
    is_activated_for_an_unknown_time(h);
    assert_true(caution_at(h, "never_close") > 0);
    story_is(h, "facts.0.code", "fact_tinted");
}

/* A plan names what must be at hand before the first drop; at the bench it comes at its own step. */
static void dry_pigment_and_metals_in_a_plan(void **state)
{
    struct harness *h = *state;
    story_call(h, "toner.put",
               "{'id':'DRY','name':'Dry pearl','line':'solvent','density_g_per_ml':2.9,"
               "'hazards':'EUH212','pigment':'PY34'}");
    story_call(h, "formula.put",
               "{'code':'TS-D','name':'Dry','finish':'solid','line':'solvent','coats':[{'coat':'base','variant':"
               "'standard','parts':[{'toner':'A','parts':80},{'toner':'DRY','parts':20}]}]}");
    json_t *plan = story_call(h, "mix.plan", "{'formula':'TS-D','grams':100}");
    json_t *warnings = json_object_get(plan, "warnings");
    int dust = place_of(warnings, "dust"), metals = place_of(warnings, "target_metals");
    assert_true(dust >= 0 && metals >= 0);
    story_text(json_array_get(warnings, (size_t)dust), "toner", "DRY");
    story_cup(h, "{'formula':'TS-D','grams':100,'reduce_pct':0}");
    assert_int_equal(caution_at(h, "dust"), -1);
    story_pour(h, 80);
    story_is(h, "now.toner", "DRY");
    assert_int_equal(caution_at(h, "dust"), 0);
    story_pour(h, 20);
    story_is(h, "state", "done");
    assert_int_equal(caution_at(h, "target_metals"), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(hazards_stand_before_what_cannot_be_weighed),
        STORY(a_hardener_without_data_counts_as_isocyanate),
        STORY(hardener_from_the_wrong_tin),
        STORY(hardener_as_a_tint),
        STORY(dry_pigment_and_metals_in_a_plan),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
