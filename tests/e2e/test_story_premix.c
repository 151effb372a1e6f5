/* Toners too small for the scale: a premix led at the bench, kept as a toner, and the batch that takes from it. World:
 * story.h, with a formula of its own: 30.42 g of PX-1 are A 30, B 0.3, C 0.12.
 *
 * By hand, with u = 0.01/2 + 0.03 = 0.035 and 5 %: m = 1.4, k = 1.4 / 0.12, so B 3.5, C 1.4, A k * 0.98 = 11.433; of
 * these 16.333 g 1.4 g are one dose (contract, section 4, mix.premix).
 */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void put_formula(struct harness *h)
{
    story_call(h, "formula.put",
               "{'code':'PX-1','name':'Pale plover','finish':'solid','line':'solvent','coats':[{'coat':'base',"
               "'variant':'standard','parts':[{'toner':'A','parts':30},{'toner':'B','parts':0.3},"
               "{'toner':'C','parts':0.12}]}]}");
}

/* Begun, with its cup; nothing poured yet. */
static void begin_premix(struct harness *h)
{
    put_formula(h);
    story_cup(h, "{'premix':{'formula':'PX-1','variant':'standard','coat':'base','grams':30.42},'painter':'Ines'}");
}

static void pour_premix(struct harness *h)
{
    begin_premix(h);
    story_pour(h, 3.5);
    story_pour(h, 1.4);
    story_pour(h, 11.43);
}

/* What the plan says, the small toners first, then the diluent; nothing on top. Done says to stir and what to take, and
 * Enter keeps it. */
static void a_premix_is_led(void **state)
{
    struct harness *h = *state;
    char id[16], kept[32];
    put_formula(h);
    json_t *plan = story_call(h, "mix.plan", "{'formula':'PX-1','grams':30.42}");
    story_text(plan, "premix.toners.0", "B");
    story_text(plan, "premix.toners.1", "C");
    story_text(plan, "premix.diluent", "A");
    story_number(plan, "premix.toner_g.0", 3.5);
    story_number(plan, "premix.toner_g.1", 1.4);
    story_number(plan, "premix.diluent_g", 11.433);
    story_number(plan, "premix.take_g", 1.4);
    story_number(plan, "premix.total_g", 16.333);
    story_text(plan, "premix.kept", "");
    assert_true(json_number_value(story_at(plan, "premix.dose_error_pct.1")) <= 5 + 1e-6);
    assert_true(json_is_null(story_at(story_call(h, "mix.plan", "{'formula':'PX-1','grams':300}"), "premix")));
    begin_premix(h);
    story_batch(h, id);
    story_step(h, 0, "B", 3.5, 0, "now");
    story_step(h, 1, "C", 1.4, 0, "next");
    story_step(h, 2, "A", 11.433, 0, "next");
    assert_int_equal(json_array_size(json_object_get(harness_screen(h, "bench"), "steps")), 3);
    story_near(h, "premix.take_g", 1.4);
    story_near(h, "premix.for_g", 30.42);
    story_pour(h, 3.5);
    story_pour(h, 1.4);
    story_pour(h, 11.43);
    story_is(h, "state", "done");
    story_is(h, "said.code", "premix_done");
    snprintf(kept, sizeof kept, "PM-%s", id);
    story_is(h, "next.act.params.keep.id", kept);
    json_t *screen = harness_screen(h, "bench");
    story_text(screen, "next.said.code", "next_keep");
    story_act(h, "finish", "{'keep':{'id':'%s','place':'rack 3, 2'}}", kept);
    story_is(h, "state", "idle");
    json_t *t = story_call(h, "toner.get", "{'id':'%s'}", kept);
    story_text(t, "composition.0.toner", "B");
    story_number(t, "composition.0.share", 3.5 / 16.33);
    story_number(t, "composition.2.share", 11.43 / 16.33);
    story_text(t, "bank", "rack 3, 2");
    assert_int_equal(json_string_length(story_at(t, "made")), 10);
    /* 3.5/1.25 + 1.4/0.8 + 11.43/1 = 15.98 mL */
    story_number(t, "density_g_per_ml", 16.33 / 15.98);
    story_number(story_call(h, "stock.list", "{'toner':'%s'}", kept), "stock.0.grams", 16.33);
    t = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_text(t, "made_said.code", "made_premix");
    story_number(t, "total_g", 16.33);
}

static int begin_with_days(void **state)
{
    return harness_begin(state,
                         &(struct harness_setup){.data = "tests/data/story", .shop_lines = "shelf_days = solvent 30"});
}

/* Kept 30 days and no longer: the plan says so, and the bench before the cup is put on. A cup that is put on the shelf
 * without a day gets its own. */
static void what_is_past_its_days_is_said(void **state)
{
    struct harness *h = *state;
    char id[16];
    pour_premix(h);
    story_batch(h, id);
    story_act(h, "finish", "{'keep':{'id':'PMX'}}");
    harness_weigh(h, "bench", 0);
    json_t *plan = story_call(h, "mix.plan", "{'formula':'PX-1','grams':30.42,'reduce_pct':0}");
    for (size_t i = 0; i < json_array_size(json_object_get(plan, "warnings")); i++)
        assert_string_not_equal(
            json_string_value(json_object_get(json_array_get(json_object_get(plan, "warnings"), i), "code")),
            "premix_past");
    json_t *t = json_deep_copy(story_call(h, "toner.get", "{'id':'PMX'}"));
    json_object_set_new(t, "made", json_string("2020-01-31"));
    harness_call(h, "toner.put", t);
    plan = story_call(h, "mix.plan", "{'formula':'PX-1','grams':30.42,'reduce_pct':0}");
    story_text(plan, "premix.kept", "PMX");
    story_text(plan, "warnings.0.code", "premix_past");
    story_text(plan, "warnings.0.args.day", "2020-03-01");
    story_act(h, "begin", "{'formula':'PX-1','grams':30.42,'reduce_pct':0}");
    story_text(harness_screen(h, "bench"), "cautions.0.code", "premix_past");
    story_act(h, "scrap", "{'why':'the story ends'}");
    json_t *r = story_call(h, "batch.shelve", "{'batch':'%s','place':'B 3'}", id);
    assert_int_equal(json_string_length(story_at(r, "shelf.use_by")), 10);
    r = story_call(h, "batch.shelve", "{'batch':'%s','place':'B 3','use_by':'2030-01-01'}", id);
    story_text(r, "shelf.use_by", "2030-01-01");
}

/* The same formula now takes from it by itself: one step of 1.4 g for both small toners, A for the rest. Record, cost
 * and stock tell it by what it is made of; a restart in the midst changes nothing. */
static void a_batch_takes_from_it(void **state)
{
    struct harness *h = *state;
    char id[16];
    pour_premix(h);
    story_act(h, "finish", "{'keep':{'id':'PMX'}}");
    harness_weigh(h, "bench", 0);
    json_t *plan = story_call(h, "mix.plan", "{'formula':'PX-1','grams':30.42,'reduce_pct':0}");
    story_text(plan, "premix.kept", "PMX");
    json_t *warnings = json_object_get(plan, "warnings"), *warning;
    size_t i;
    json_array_foreach(warnings, i, warning)
    {
        assert_string_not_equal(json_string_value(json_object_get(warning, "code")), "stir_first"); /* it just was */
    }
    story_text(plan, "components.1.toner", "PMX");
    story_number(plan, "components.1.aim_g", 1.4);
    plan = story_call(h, "mix.plan", "{'formula':'PX-1','grams':30.42,'reduce_pct':0,'premix':false}");
    story_text(plan, "components.1.toner", "B");
    story_cup(h, "{'formula':'PX-1','grams':30.42,'reduce_pct':0}");
    story_batch(h, id);
    story_step(h, 0, "A", 30 - 1.4 * 11.43 / 16.33, 0, "now");
    story_step(h, 1, "PMX", 1.4, 0, "next");
    assert_int_equal(json_array_size(json_object_get(harness_screen(h, "bench"), "steps")), 2);
    story_pour(h, 29.02);
    story_text(harness_screen(h, "bench"), "cautions.0.code", "stir_premix");
    harness_stop(h, SIGKILL);
    harness_start(h);
    harness_weigh(h, "bench", 59.02);
    story_look(h);
    story_pour(h, 1.4);
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    json_t *r = story_call(h, "batch.get", "{'batch':'%s'}", id);
    assert_int_equal(json_array_size(json_object_get(r, "parts")), 3);
    story_text(r, "parts.0.toner", "A");
    story_number(r, "parts.0.share", 30 / 30.42);
    story_number(r, "parts.0.poured_g", 30);
    story_text(r, "parts.1.toner", "B");
    story_number(r, "parts.1.aim_g", 0.3);
    story_number(r, "parts.1.poured_g", 0.3);
    story_text(r, "parts.2.toner", "C");
    story_number(r, "parts.2.poured_g", 0.12);
    story_text(r, "premixes.0.toner", "PMX");
    story_number(r, "premixes.0.grams", 1.4);
    /* 30 g of A at 10, 0.3 of B at 20, 0.12 of C at 40 a kg, as for TS-1. */
    story_number(r, "cost", 0.31);
    story_number(r, "voc.volume_ml", 30 + 0.3 / 1.25 + 0.12 / 0.8);
    story_number(story_call(h, "stock.list", "{'toner':'PMX'}"), "stock.0.grams", 14.93);
    /* Its leftover counts by the same. */
    plan = story_call(h, "mix.plan", "{'formula':'PX-1','grams':30.42,'have':[{'batch':'%s','grams':30.42}]}", id);
    story_number(plan, "components.1.aim_g", 0.3);
    /* Mixed again as poured, it takes from the premix again. */
    plan = story_call(h, "mix.plan", "{'repeat':'%s'}", id);
    story_text(plan, "premix.kept", "PMX");
}

/* Too much of the premix grows the batch as too much of any toner; undone, held and resumed it is as it was. */
static void it_is_a_toner_like_any(void **state)
{
    struct harness *h = *state;
    char id[16];
    pour_premix(h);
    story_act(h, "finish", "{'keep':{'id':'PMX'}}");
    harness_weigh(h, "bench", 0);
    story_cup(h, "{'formula':'PX-1','grams':30.42,'reduce_pct':0,'premix':'PMX'}");
    story_batch(h, id);
    story_pour(h, 29.02);
    story_pour(h, 2.8);
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.total_g", 30.42 * (2.8 - 0.05) / 1.399714); /* t is 0.05 */
    story_act(h, "undo", "{}");
    story_add(h, -1.4);
    story_act(h, "accept", "{}");
    story_is(h, "state", "done");
    story_act(h, "undo", "{}");
    story_look(h);
    story_act(h, "hold", "{}");
    story_act(h, "resume", "{'batch':'%s'}", id);
    story_act(h, "accept", "{'sure':true}");
    story_is(h, "state", "done");
}

/* What is refused, each with its reason. */
static void what_cannot_be_kept_or_made(void **state)
{
    struct harness *h = *state;
    put_formula(h);
    story_refused(h, "begin", -32005, "why", "not_needed", "{'premix':{'formula':'PX-1','grams':300}}");
    story_refused(h, "begin", -32005, "why", "diluent", "{'premix':{'formula':'PX-1','grams':0.5}}");
    story_refused(h, "begin", -32001, "field", "formula", "{'premix':{'formula':'PX-9','grams':30}}");
    story_refused(h, "begin", -32602, "field", "premix", "{'premix':3,'formula':'PX-1','grams':30}");
    story_refused(h, "begin", -32602, "field", "formula", "{'premix':{'grams':30}}");
    story_refused(h, "begin", -32001, "field", "premix", "{'premix':'PM-7','formula':'PX-1','grams':30}");
    story_refused(h, "begin", -32005, "why", "unfit", "{'premix':'A','formula':'PX-1','grams':30}");
    pour_premix(h);
    story_refused(h, "finish", -32005, "why", "used", "{'keep':{'id':'a'}}");
    story_refused(h, "finish", -32005, "field", "id", "{'keep':{'id':'no blank'}}");
    story_refused(h, "finish", -32602, "field", "id", "{'keep':{}}");
    story_refused(h, "finish", -32602, "field", "keep", "{'keep':7}");
    story_act(h, "finish", "{'keep':{'id':'PMX'}}");
    harness_weigh(h, "bench", 0);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_refused(h, "finish", -32005, "why", "no_premix", "{'keep':{'id':'PMY'}}");
    story_act(h, "finish", "{}");
    story_text(story_fault(h, "toner.put", -32005,
                           "{'id':'PMZ','composition':[{'toner':'A','share':0.5},{'toner':'B','share':0.4}]}"),
               "field", "composition");
    json_t *t = story_call(h, "toner.put",
                           "{'id':'PMZ','composition':[{'toner':'A','share':0.5},{'toner':'B','share':0.5}],"
                           "'made':'2026-11-02'}");
    story_text(t, "made", "2026-11-02");
    story_number(t, "composition.1.share", 0.5);
    /* In the cup already, it counts by what it is made of. */
    harness_weigh(h, "bench", 0);
    story_act(h, "begin", "{'formula':'TS-1','grams':100,'reduce_pct':0,'have':[{'toner':'PMZ','grams':20}]}");
    harness_weigh(h, "bench", 50);
    story_act(h, "accept", "{}");
    story_near(h, "steps.0.poured_g", 10);
    story_near(h, "steps.1.poured_g", 10);
    story_clear(h);
}

/* Tinted by eye with a premix: the record says so, since that is what the hand took. Mixed again as it was poured, what
 * the premix is made of stands in its place: 102 g of A 50 + 2 * 11.43 / 16.33, B 30 + 2 * 3.5 / 16.33 and C. */
static void a_premix_poured_by_eye_is_mixed_again_by_its_toners(void **state)
{
    struct harness *h = *state;
    char id[16];
    pour_premix(h);
    story_act(h, "finish", "{'keep':{'id':'PMX'}}");
    harness_weigh(h, "bench", 0);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_batch(h, id);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "tint", "{'toner':'PMX'}");
    story_pour(h, 2);
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", id), "tinted.0.toner", "PMX");
    json_t *plan = story_call(h, "mix.plan", "{'repeat':'%s','as':'poured','grams':102,'reduce_pct':0}", id);
    assert_int_equal(json_array_size(json_object_get(plan, "components")), 3);
    story_text(plan, "components.0.toner", "A");
    story_number(plan, "components.0.aim_g", 50 + 2 * 11.43 / 16.33);
    story_text(plan, "components.1.toner", "B");
    story_number(plan, "components.1.aim_g", 30 + 2 * 3.5 / 16.33);
    story_text(plan, "components.2.toner", "C");
    story_number(plan, "components.2.aim_g", 20 + 2 * 1.4 / 16.33);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_premix_is_led, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_premix_poured_by_eye_is_mixed_again_by_its_toners, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_batch_takes_from_it, story_begin, story_end),
        cmocka_unit_test_setup_teardown(what_is_past_its_days_is_said, begin_with_days, story_end),
        cmocka_unit_test_setup_teardown(it_is_a_toner_like_any, story_begin, story_end),
        cmocka_unit_test_setup_teardown(what_cannot_be_kept_or_made, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
