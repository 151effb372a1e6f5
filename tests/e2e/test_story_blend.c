/* mix.workoff and mix.rescue through the whole daemon: solved on a helper thread, answered as the contract shows them;
 * by figures, and from the shop's own shelf. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

/* Source: design.md, "Work-off". */
static void the_designs_example(void **state)
{
    struct harness *h = *state;
    json_t *r =
        story_call(h, "mix.workoff",
                   "{'parts':[212.0,61.5,3.2],'total_g':300,'leftovers':[{'grams':150,'parts':[205.5,61.5,9.7]},"
                   "{'grams':80,'parts':[212.0,61.5,3.2]}],'prices_per_kg':[10,10,10]}");
    story_number(r, "use_g.0", 72.577);
    story_number(r, "use_g.1", 80);
    story_number(r, "add_g.2", 0);
    story_number(r, "total_g", 300);
    story_number(r, "cost", 1.47);
    story_text(r, "why.0", "");
}

static void what_is_held_back_says_why(void **state)
{
    struct harness *h = *state;
    json_t *r = story_call(h, "mix.workoff",
                           "{'parts':[3,1,0],'total_g':100,'smallest_g':2,'leftovers':[{'grams':50,'parts':[3,1,1]},"
                           "{'grams':1,'parts':[3,1,0]},{'grams':100,'parts':[3,1,0]},{'grams':50,'parts':[1,9,0]}]}");
    story_text(r, "why.0", "foreign");
    story_text(r, "why.1", "small");
    story_text(r, "why.2", "");
    story_text(r, "why.3", "too_rich");
    story_number(r, "use_g.2", 100);
    story_text(r, "cost", "");
    r = story_call(h, "mix.workoff", "{'parts':[3,1],'total_g':100}");
    story_number(r, "add_g.0", 75);
    story_number(r, "total_g", 100);
}

/* Without a cup the cheaper of grow (110 g) and dip (8.909 g out); with one in its place nothing fresh. */
static void a_rescue(void **state)
{
    struct harness *h = *state;
    json_t *r = story_call(h, "mix.rescue", "{'parts':[50,30,15,5],'total_g':100,'poured_g':[50,33,15,0]}");
    story_number(r, "total_g", 110);
    story_number(r, "take_g", 0);
    story_number(r, "add_g.3", 5.5);
    story_text(r, "cost", "");
    r = story_call(h, "mix.rescue",
                   "{'parts':[50,30,15,5],'total_g':100,'poured_g':[50,33,15,0],'prices_per_kg':[40,40,40,40],"
                   "'waste_per_kg':10,'cup_g':120,'leftovers':[{'grams':200,'parts':[50,0,15,55]}]}");
    story_number(r, "use_g.0", 12);
    story_number(r, "cost", 0);
    story_number(r, "total_g", 110);
}

/* As many as a call may name, each other than the rest: it must be answered. */
static void sixty_four_cups(void **state)
{
    struct harness *h = *state;
    json_t *cups = json_array();
    for (int j = 0; j < 64; j++)
        json_array_append_new(cups, json_pack("{s:i,s:[i,i,i]}", "grams", 1 + j, "parts", 50 + j % 9, 30, 20 - j % 7));
    char *text = json_dumps(cups, JSON_COMPACT);
    json_decref(cups);
    json_t *r = story_call(h, "mix.workoff", "{'parts':[50,30,20],'total_g':500,'leftovers':%s}", text);
    double used = 0;
    for (size_t j = 0; j < 64; j++)
        used += json_number_value(json_array_get(json_object_get(r, "use_g"), j));
    assert_true(used > 400 && used <= 500.001);
    free(text);
}

/* So much of a colour mixed in a cup of 30 g, finished, and weighed back to left_g; its number. */
static void cup_of(struct harness *h, const char *begin, const double *pours, double left_g, char id[16])
{
    story_cup(h, "%s", begin);
    story_batch(h, id);
    for (; *pours > 0; pours++)
        story_pour(h, *pours);
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    if (left_g > 0)
        story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':%.2f}", id, 30 + left_g);
}

/* Of TS-1 (A 50, B 30, C 20) 200 g are wanted: 60 g of its own and 90 g of its darker variant (40, 30, 30) stand on the
 * shelf. Both fit: C is 12 + 27 = 39 of 40 g. An activated cup, one of water and one never weighed back stay.
 */
static void of_the_shops_own_cups(void **state)
{
    struct harness *h = *state;
    char own[16], darker[16], hard[16], water[16], unweighed[16];
    cup_of(h, "{'formula':'TS-1','variant':'darker','grams':100,'reduce_pct':0}", (double[]){40, 30, 30, 0}, 90,
           darker);
    cup_of(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}", (double[]){50, 30, 20, 0}, 60, own);
    cup_of(h, "{'formula':'TS-4','grams':100,'reduce_pct':0}", (double[]){60, 40, 55.2, 12.42, 0}, 50, hard);
    cup_of(h, "{'formula':'TS-5','grams':100,'reduce_pct':0}", (double[]){100, 0}, 50, water);
    cup_of(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}", (double[]){50, 30, 20, 0}, 0, unweighed);
    json_t *r = story_call(h, "mix.workoff", "{'formula':'TS-1','grams':200,'reduce_pct':0}");
    assert_int_equal(json_array_size(json_object_get(r, "batches")), 2);
    story_text(r, "batches.0", darker); /* the older one first */
    story_text(r, "batches.1", own);
    story_number(r, "use_g.0", 90);
    story_number(r, "use_g.1", 60);
    story_text(r, "toners.2", "C");
    story_number(r, "add_g.0", 100 - 36 - 30);
    story_number(r, "add_g.1", 60 - 27 - 18);
    story_number(r, "add_g.2", 40 - 27 - 12);
    story_number(r, "total_g", 200);
    story_number(r, "cost", 0.34 + 0.30 + 0.04);
    story_number(r, "reducer_g", 0);
    story_number(r, "pour_g", 50);
    story_number(r, "saved", 1.00 + 1.20 + 1.60 - 0.68); /* A, B and C at 10, 20 and 40 EUR/kg, all fresh */
    story_text(r, "have.1.batch", own);
    story_number(r, "have.1.grams", 60);
    r = story_call(h, "mix.workoff",
                   "{'formula':'TS-1','grams':200,'reduce_pct':0,'leftovers':[{'batch':'%s'},{'batch':'%s','grams':20},"
                   "{'batch':'POISE:%s'},{'batch':'%s'}]}",
                   water, own, hard, unweighed);
    story_text(r, "why.0", "line");
    story_number(r, "use_g.1", 20);
    story_text(r, "why.2", "activated");
    story_number(r, "use_g.3", 100); /* never weighed back: all of its record may be there */
    story_text(story_fault(h, "mix.workoff", -32005, "{'formula':'TS-1','grams':200,'leftovers':[{'batch':'99'}]}"),
               "field", "leftovers");
    story_text(story_fault(h, "mix.workoff", -32001, "{'formula':'TS-99','grams':200}"), "field", "formula");
    story_text(story_fault(h, "mix.workoff", -32005, "{'formula':'TS-1'}"), "field", "grams");
    /* What the answer names begins the batch; then nothing is left of those two. */
    story_act(
        h, "begin",
        "{'formula':'TS-1','grams':200,'reduce_pct':0,'have':[{'batch':'%s','grams':90},{'batch':'%s','grams':60}]}",
        darker, own);
    r = story_call(h, "mix.workoff", "{'formula':'TS-1','grams':200,'reduce_pct':0}");
    assert_int_equal(json_array_size(json_object_get(r, "batches")), 0);
    story_number(r, "add_g.0", 100);
    story_act(h, "scrap", "{'why':'the story ends'}");
}

/* The cup holds reducer as well: 100 g of TS-1 with 10 % by volume (99 mL, so 7.92 g of RS at 0.8). Of 50 g of it
 * 46.33 g are colour and 3.67 g reducer, which 100 g of colour ask for 7.92 g of. */
static void reducer_inside_counts(void **state)
{
    struct harness *h = *state;
    char id[16];
    cup_of(h, "{'formula':'TS-1','grams':100}", (double[]){50, 30, 20, 7.92, 0}, 50, id);
    json_t *r = story_call(h, "mix.workoff", "{'formula':'TS-1','grams':100}");
    story_number(r, "use_g.0", 50);
    story_number(r, "add_g.0", 50 - 50 * 50 / 107.92);
    story_number(r, "reducer_g", 7.92 - 50 * 7.92 / 107.92);
    story_number(r, "total_g", 100);
    /* Wanted unreduced, the reducer that it brings is too much: it stays where it is. */
    r = story_call(h, "mix.workoff", "{'formula':'TS-1','grams':100,'reduce_pct':0,'leftovers':[{'batch':'%s'}]}", id);
    story_number(r, "use_g.0", 0);
    story_text(r, "why.0", "foreign");
}

/* A beginning names eight cups at most: of nine the newest stays. Asked for by the coat of an order that waits. */
static void nine_cups(void **state)
{
    struct harness *h = *state;
    char id[9][16];
    for (int i = 0; i < 9; i++)
        cup_of(h, "{'formula':'TS-5','grams':20,'reduce_pct':0}", (double[]){20, 0}, 15, id[i]);
    story_call(h, "order.put",
               "{'order':'4417','vehicle':'van 3','coats':[{'coat':'base','formula':'TS-5','grams':300}]}");
    json_t *r = story_call(h, "mix.workoff", "{'order':'4417','coat_n':1}");
    assert_int_equal(json_array_size(json_object_get(r, "have")), 8);
    story_text(r, "have.0.batch", id[0]);
    story_text(r, "have.7.batch", id[7]);
    story_text(r, "why.8", "many");
    story_number(r, "pour_g", 300 - 8 * 15);
    char *have = json_dumps(json_object_get(r, "have"), JSON_COMPACT);
    story_text(story_act(h, "begin", "{'order':'4417','coat_n':1,'have':%s}", have), "state", "cup");
    free(have);
    story_act(h, "scrap", "{'why':'the story ends'}");
    story_text(story_fault(h, "mix.workoff", -32001, "{'order':'4418','coat_n':1}"), "field", "order");
    story_text(story_fault(h, "mix.workoff", -32602, "{'order':'4417'}"), "field", "formula");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_designs_example),
        cmocka_unit_test(what_is_held_back_says_why),
        cmocka_unit_test(a_rescue),
        cmocka_unit_test(sixty_four_cups),
        cmocka_unit_test_setup_teardown(of_the_shops_own_cups, story_begin, story_end),
        cmocka_unit_test_setup_teardown(reducer_inside_counts, story_begin, story_end),
        cmocka_unit_test_setup_teardown(nine_cups, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, story_begin, story_end);
}
