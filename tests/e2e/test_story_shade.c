/* What a deviation looks like: from the toners' optics, else from the shop's own measured cards, else nothing. World:
 * story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* A white that scatters and a black that absorbs, as grey as they come: one K and one S for every wavelength. */
static int begin(void **state)
{
    static const char *const puts[][2] = {
        {"toner.put", "{'id':'OW','line':'solvent','density_g_per_ml':1,'optics':"
                      "[{'nm':450,'k':0.002,'s':1},{'nm':550,'k':0.002,'s':1},{'nm':650,'k':0.002,'s':1}]}"},
        {"toner.put", "{'id':'OK','line':'solvent','density_g_per_ml':1,'optics':'450 5 0.1, 550 5 0.1, 650 5 0.1'}"},
        {"toner.put", "{'id':'OB','role':'binder','line':'solvent','density_g_per_ml':1}"},
        {"formula.put", "{'code':'OPT','finish':'solid','line':'solvent','coats':[{'coat':'base','parts':["
                        "{'toner':'OB','parts':20},{'toner':'OK','parts':2},{'toner':'OW','parts':78}]}]}"},
    };
    if (story_begin(state) != 0)
        return -1;
    for (size_t i = 0; i < sizeof puts / sizeof *puts; i++)
        story_call(*state, puts[i][0], "%s", puts[i][1]);
    return 0;
}

static double lightness_of(double black_g)
{
    double q = (5 * black_g + 0.002 * 78) / (0.1 * black_g + 78);
    return 116 * cbrt(1 + q - sqrt(q * q + 2 * q)) - 16;
}

/* CIEDE2000 of two greys: only lightness differs (Sharma, Wu and Dalal, the term S_L). */
static double de_of_greys(double one, double other)
{
    double mean = (one + other) / 2, l50 = (mean - 50) * (mean - 50);
    return fabs(one - other) / (1 + 0.015 * l50 / sqrt(20 + l50));
}

static void an_overpour_is_shown_by_optics(void **state)
{
    struct harness *h = *state;
    char id[16];
    json_t *t = story_call(h, "toner.get", "{'id':'OK'}");
    story_number(t, "optics.2.nm", 650);
    story_number(t, "optics.0.k", 5);
    story_cup(h, "{'formula':'OPT','grams':100,'reduce_pct':0}");
    story_batch(h, id);
    story_pour(h, 20);
    story_pour(h, 3); /* 2 g were wanted */
    story_is(h, "state", "over");
    double de = de_of_greys(lightness_of(2), lightness_of(3));
    assert_true(de > 2);
    story_near(h, "steps.1.de00.value", de);
    story_near(h, "remedies.leave.de00.value", de);
    assert_true(fabs(harness_number(h, "bench", "remedies.leave.de00.spread") - 0.3 * de) < 0.1);
    /* Growing and taking out end within tolerance. */
    assert_true(harness_number(h, "bench", "remedies.grow.de00.value") < 0.2);
    assert_true(harness_number(h, "bench", "remedies.dip.de00.value") < 0.2);
    story_is(h, "remedies.leave.de00.said.code", "de00");
    story_is(h, "remedies.grow.de00.said.code", "de00_least");
    story_act(h, "remedy", "{'choice':'leave'}");
    story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(b, "parts.1.de00.value", de);
    story_number(b, "de00.value", de);
    story_number(b, "parts.0.de00.value", 0);
}

/* TS-1 has no optics. Two measured cards: the standard, and one with 4 % less of A and 4 % more of B. */
static void else_by_cards_where_they_point_that_way(void **state)
{
    struct harness *h = *state;
    char coat[32];
    snprintf(coat, sizeof coat, "%s",
             json_string_value(story_at(story_call(h, "mix.plan", "{'formula':'TS-1','grams':100}"), "coat")));
    story_call(
        h, "formula.put",
        "{'code':'CRD','finish':'solid','line':'solvent','coats':[{'coat':'%s','parts':[{'toner':'A','parts':50},"
        "{'toner':'B','parts':50}]},{'coat':'%s','variant':'more B','parts':[{'toner':'A','parts':40},"
        "{'toner':'B','parts':60}]}]}",
        coat, coat);
    story_cup(h, "{'formula':'CRD','grams':100,'reduce_pct':0}");
    story_pour(h, 54);
    story_is(h, "state", "over");
    assert_true(isnan(harness_number(h, "bench", "remedies.leave.de00.value"))); /* nobody knows */
    story_clear(h);
    json_t *card = story_call(h, "card.put",
                              "{'formula':'CRD','variant':'standard','coat':'%s','light':['sun'],'verdict':'match',"
                              "'lab':[50,0,0]}",
                              coat);
    story_number(card, "parts.0.share", 0.5);
    story_cup(h, "{'formula':'CRD','grams':100,'reduce_pct':0}");
    story_pour(h, 54);
    assert_true(isnan(harness_number(h, "bench", "remedies.leave.de00.value"))); /* one card has no direction */
    story_clear(h);
    story_call(h, "card.put",
               "{'formula':'CRD','variant':'more B','coat':'%s','light':['sun'],'verdict':'no','lab':[46,0,0]}", coat);
    story_cup(h, "{'formula':'CRD','grams':100,'reduce_pct':0}");
    story_pour(h, 54);
    /* 54 of 104 g: 1.923 % more of A, where 10 % less made it 4 darker: 0.769 lighter. */
    double de = de_of_greys(50, 50 + 4 * (54 / 104.0 - 0.5) / 0.1);
    story_near(h, "remedies.leave.de00.value", de);
    /* The cards' own readings err by 0.2 each. */
    story_near(h, "remedies.leave.de00.spread", 0.1923 * 0.2 * sqrt(2));
    story_clear(h);
}

/* A third toner of which no card differs: the deviation points elsewhere. */
static void a_deviation_that_no_card_points_to_is_silent(void **state)
{
    struct harness *h = *state;
    static const char parts[][100] = {"{'toner':'A','parts':40},{'toner':'B','parts':40},{'toner':'C','parts':20}",
                                      "{'toner':'A','parts':35},{'toner':'B','parts':45},{'toner':'C','parts':20}"};
    story_call(h, "formula.put",
               "{'code':'THR','finish':'solid','line':'solvent','coats':[{'coat':'base','parts':[%s]},"
               "{'coat':'base','variant':'more B','parts':[%s]}]}",
               parts[0], parts[1]);
    for (int i = 0; i < 2; i++)
        story_call(h, "card.put",
                   "{'formula':'THR','variant':'%s','coat':'base','light':['sun'],'verdict':'near','lab':[%d,0,0]}",
                   i ? "more B" : "standard", 50 - i);
    story_cup(h, "{'formula':'THR','grams':100,'reduce_pct':0}");
    story_pour(h, 40);
    story_pour(h, 40);
    story_pour(h, 24);
    story_is(h, "state", "over");
    assert_true(isnan(harness_number(h, "bench", "remedies.leave.de00.value")));
    story_clear(h);
}

static void optics_that_make_no_sense_are_refused(void **state)
{
    static const char *const bad[] = {"'450 1'", "'450 1 1, 450 2 2'", "[{'nm':450,'k':-1,'s':1}]", "'450 1 1 1'",
                                      "[{'nm':10,'k':1,'s':1}]"};
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        story_text(story_fault(h, "toner.put", -32005, "{'id':'ZZ','optics':%s}", bad[i]), "field", "optics");
    story_text(story_fault(h, "toner.put", -32602, "{'id':'ZZ','optics':[{'nm':450}]}"), "field", "optics");
}

/* Black too small for the scale: 0.5 of 98.5 in 40 g is 0.203 g, which comes in a premix with white. A fifth too much
 * of the premix is a fifth too much black; its doubt is that of 1.4 g weighed, not of 0.2. */
static void a_premix_looks_like_what_it_is_made_of(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_call(h, "formula.put",
               "{'code':'OPS','finish':'solid','line':'solvent','coats':[{'coat':'base','parts':["
               "{'toner':'OB','parts':20},{'toner':'OK','parts':0.5},{'toner':'OW','parts':78}]}]}");
    story_cup(h, "{'premix':{'formula':'OPS','grams':40}}");
    for (int n = 0; n < 4 && strcmp(harness_text(h, "bench", "state"), "pour") == 0; n++)
        story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_act(h, "finish", "{'keep':{'id':'OPRE'}}");
    harness_weigh(h, "bench", 0);
    story_cup(h, "{'formula':'OPS','grams':40,'reduce_pct':0}");
    story_batch(h, id);
    story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_is(h, "now.toner", "OPRE");
    double aim = harness_number(h, "bench", "now.to_go_g");
    story_pour(h, aim * 1.2);
    story_is(h, "state", "over");
    double q = 0.5 * 1.2, more = (5 * q + 0.002 * 78) / (0.1 * q + 78);
    double de = de_of_greys(lightness_of(0.5), 116 * cbrt(1 + more - sqrt(more * more + 2 * more)) - 16);
    assert_true(de > 0.4 && fabs(harness_number(h, "bench", "remedies.leave.de00.value") - de) < 0.03);
    assert_true(harness_number(h, "bench", "remedies.leave.de00.spread") < 0.2);
    assert_true(harness_number(h, "bench", "remedies.grow.de00.value") < 0.1);
    story_act(h, "remedy", "{'choice':'leave'}");
    story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_text(b, "parts.1.toner", "OK");
    assert_true(fabs(json_number_value(story_at(b, "parts.1.de00.value")) - de) < 0.03);
    assert_true(fabs(json_number_value(story_at(b, "de00.value")) - de) < 0.05);
    assert_true(json_number_value(story_at(b, "de00.spread")) < 0.2);
    /* u of one pour is 0.0319 g at d 0.01, of which the premix brings 1.4 in 9.653 of black. */
    double u = sqrt(0.01 * 0.01 / 6 + 0.01 * 0.01 + 0.03 * 0.03);
    assert_true(fabs(json_number_value(story_at(b, "uncertainty.u_g.0")) - u) < 1e-6);
    assert_true(fabs(json_number_value(story_at(b, "uncertainty.u_g.1")) - u * 1.4 / 9.65) < 1e-5);
    story_call(h, "toner.remove", "{'id':'OPRE'}");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_overpour_is_shown_by_optics, begin, story_end),
        cmocka_unit_test_setup_teardown(else_by_cards_where_they_point_that_way, begin, story_end),
        cmocka_unit_test_setup_teardown(a_deviation_that_no_card_points_to_is_silent, begin, story_end),
        cmocka_unit_test_setup_teardown(optics_that_make_no_sense_are_refused, begin, story_end),
        cmocka_unit_test_setup_teardown(a_premix_looks_like_what_it_is_made_of, begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
