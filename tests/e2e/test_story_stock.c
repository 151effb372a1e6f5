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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_accepted_pour_takes_from_the_tin, story_begin, story_end),
        cmocka_unit_test_setup_teardown(what_runs_short_is_said, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
