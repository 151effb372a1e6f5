/* A tin received, counted, poured from, and running out. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static json_t *row_of(struct harness *h, const char *toner)
{
    return story_at(story_call(h, "stock.list", "{'toner':'%s'}", toner), "stock.0");
}

/* A was counted, B never: a pour takes from A alone, its undo gives it back. 60 g in two tins, 50 poured: of the first,
 * which is opened by it, then nothing is left to foresee but ten grams. */
static void an_accepted_pour_takes_from_the_tin(void **state)
{
    struct harness *h = *state;
    story_number(row_of(h, "A"), "grams", NAN);
    json_t *r = story_call(h, "stock.receive", "{'toner':'A','grams':40,'lot':'A17','request':'in-1'}");
    story_number(r, "grams", 40);
    story_call(h, "stock.receive", "{'toner':'A','grams':40,'lot':'A17','request':'in-1'}"); /* once only */
    r = story_call(h, "stock.receive", "{'toner':'A','grams':40,'lot':'A18','cost':12.5}");
    story_number(r, "grams", 80);
    r = story_call(h, "stock.count", "{'toner':'A','grams':20,'lot':'A18'}");
    story_number(r, "difference_g", -20);
    story_number(r, "grams", 60);
    story_text(r, "runs_out", "");
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_pour(h, 50);
    r = row_of(h, "A");
    story_number(r, "grams", 10);
    story_number(r, "lots.0.grams", -10);
    assert_int_equal(strlen(json_string_value(story_at(r, "lots.0.opened"))), 10);
    assert_int_equal(strlen(json_string_value(story_at(r, "runs_out"))), 10);
    story_act(h, "undo", "{}");
    story_number(row_of(h, "A"), "grams", 60);
    story_look(h);
    story_act(h, "accept", "{'lot':'A18'}");
    r = row_of(h, "A");
    story_number(r, "lots.0.grams", 40);
    story_number(r, "lots.1.grams", -30);
    story_pour(h, 30);
    story_number(row_of(h, "B"), "grams", NAN);
    story_act(h, "scrap", "{'why':'the story ends'}");
}

/* More was poured than was ever there: below 0, and said. What is below its reorder_g is found. */
static void what_runs_short_is_said(void **state)
{
    struct harness *h = *state;
    story_call(h, "stock.count", "{'toner':'A','grams':30}");
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_pour(h, 50);
    json_t *r = row_of(h, "A");
    story_number(r, "grams", -20);
    story_text(r, "said.code", "stock_below");
    story_call(h, "toner.put", "{'id':'A','name':'Alder','line':'solvent','density_g_per_ml':1.0,'reorder_g':100}");
    r = story_call(h, "stock.list", "{'reorder':true}");
    assert_int_equal(json_array_size(json_object_get(r, "stock")), 1);
    story_number(r, "stock.0.reorder_g", 100);
    story_text(row_of(h, "A"), "stirred", "");
    story_call(h, "stock.stir", "{'all':true}");
    assert_int_equal(strlen(json_string_value(story_at(row_of(h, "A"), "stirred"))), 29);
    story_text(story_fault(h, "stock.receive", -32001, "{'toner':'Z9','grams':5}"), "field", "toner");
    story_text(story_fault(h, "stock.receive", -32005, "{'toner':'A','grams':0}"), "field", "grams");
    story_text(story_fault(h, "stock.stir", -32005, "{}"), "field", "toner");
    story_act(h, "scrap", "{'why':'the story ends'}");
}

/* The args of a plan's warning of that code, `toner` NULL: of any. NULL: it does not warn so. */
static const json_t *warning(json_t *plan, const char *code)
{
    size_t i;
    json_t *w;
    json_array_foreach(json_object_get(plan, "warnings"), i,
                       w) if (strcmp(json_string_value(json_object_get(w, "code")), code) ==
                              0) return json_object_get(w, "args");
    return NULL;
}

static bool cautioned(json_t *screen, const char *code)
{
    size_t i;
    json_t *one;
    json_array_foreach(json_object_get(screen, "cautions"), i,
                       one) if (strcmp(json_string_value(json_object_get(one, "code")), code) == 0) return true;
    return false;
}

/* 50 g of A wanted and 40 there: a plan and a beginning say so, and the pour goes on. What the cup brings counts. */
static void running_out_is_foreseen(void **state)
{
    struct harness *h = *state;
    static const char what[] = "'formula':'TS-1','grams':100,'reduce_pct':0";
    assert_null(warning(story_call(h, "mix.plan", "{%s}", what), "stock_short"));
    story_call(h, "stock.receive", "{'toner':'A','grams':25,'lot':'1'}");
    story_call(h, "stock.receive", "{'toner':'A','grams':15,'lot':'2'}");
    const json_t *w = warning(story_call(h, "mix.plan", "{%s}", what), "stock_short");
    assert_non_null(w);
    assert_true(fabs(json_number_value(json_object_get(w, "left_g")) - 40) < 1e-6);
    assert_true(fabs(json_number_value(json_object_get(w, "need_g")) - 50) < 1e-6);
    assert_null(warning(story_call(h, "mix.plan", "{%s,'have':[{'toner':'A','grams':15}]}", what), "stock_short"));
    json_t *s = story_act(h, "begin", "{%s}", what);
    assert_true(cautioned(s, "stock_short"));
    harness_weigh(h, "bench", 30);
    s = story_act(h, "accept", "{}");
    assert_false(cautioned(s, "stock_short")); /* of its moment alone */
    story_act(h, "scrap", "{'why':'a try'}");
    harness_weigh(h, "bench", 0);
    story_call(h, "stock.count", "{'toner':'A','grams':50}");
    assert_null(warning(story_call(h, "mix.plan", "{%s}", what), "stock_short"));
}

/* What must be stirred each day, the flakes first; a shop that never ticks a pearl is not asked for it. */
static void what_is_not_stirred_today_is_asked_for(void **state)
{
    struct harness *h = *state;
    story_call(h, "toner.put", "{'id':'S1','line':'solvent','density_g_per_ml':1,'stir':true}");
    story_call(h, "toner.put", "{'id':'E1','role':'pearl','line':'solvent','density_g_per_ml':1}");
    story_call(h, "toner.put", "{'id':'E2','role':'pearl','line':'solvent','density_g_per_ml':1,'stir':true}");
    story_call(
        h, "formula.put",
        "{'code':'STR','finish':'pearl','line':'solvent','coats':[{'coat':'base','parts':[{'toner':'S1','parts':1"
        "},{'toner':'E1','parts':1},{'toner':'E2','parts':1}]}]}");
    const json_t *w = warning(story_call(h, "mix.plan", "{'formula':'STR','grams':90}"), "stir_first");
    assert_string_equal(json_string_value(json_object_get(w, "toners")), "E2, S1");
    story_call(h, "stock.stir", "{'toner':'E2'}");
    w = warning(story_call(h, "mix.plan", "{'formula':'STR','grams':90}"), "stir_first");
    assert_string_equal(json_string_value(json_object_get(w, "toners")), "S1");
    json_t *s = story_act(h, "begin", "{'formula':'STR','grams':90}");
    assert_true(cautioned(s, "stir_first"));
    story_act(h, "scrap", "{'why':'a try'}");
    story_call(h, "stock.stir", "{'all':true}");
    assert_null(warning(story_call(h, "mix.plan", "{'formula':'STR','grams':90}"), "stir_first"));
}

/* Two of the same pigment: one has too little in its tins, of the other nobody knows. An empty one is never named. */
static void a_substitute_that_is_there(void **state)
{
    struct harness *h = *state;
    static const char *const bank[] = {"V1", "V2", "V3"};
    for (size_t i = 0; i < 3; i++)
        story_call(h, "toner.put", "{'id':'%s','pigment':'PV23','line':'solvent','density_g_per_ml':1.%zu}", bank[i],
                   i);
    story_call(h, "stock.receive", "{'toner':'V2','grams':100,'lot':'a'}");
    story_call(h, "stock.receive", "{'toner':'V2','grams':50,'lot':'b'}");
    json_t *a = story_call(h, "toner.substitute", "{'toner':'V1','grams':150}");
    story_text(a, "with.0.toner", "V2");
    story_text(a, "with.0.why.code", "substitute_in_stock");
    story_number(a, "with.0.why.args.left_g", 150);
    story_text(a, "with.1.why.code", "substitute_same_pigment");
    a = story_call(h, "toner.substitute", "{'toner':'V1','grams':151}");
    assert_int_equal(json_array_size(json_object_get(a, "with")), 1);
    story_text(a, "with.0.toner", "V3");
    story_call(h, "stock.count", "{'toner':'V2','grams':0,'lot':'a'}");
    story_call(h, "stock.count", "{'toner':'V2','grams':0,'lot':'b'}");
    a = story_call(h, "toner.substitute", "{'toner':'V1'}");
    assert_int_equal(json_array_size(json_object_get(a, "with")), 1);
    story_text(story_fault(h, "toner.substitute", -32005, "{'toner':'V1','grams':-1}"), "field", "grams");
    story_text(story_fault(h, "toner.substitute", -32005, "{'toner':'V1','grams':0}"), "field", "grams");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(running_out_is_foreseen, story_begin, story_end),
        cmocka_unit_test_setup_teardown(what_is_not_stirred_today_is_asked_for, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_accepted_pour_takes_from_the_tin, story_begin, story_end),
        cmocka_unit_test_setup_teardown(what_runs_short_is_said, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_substitute_that_is_there, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
