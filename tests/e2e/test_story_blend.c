/* mix.workoff and mix.rescue through the whole daemon: solved on a helper thread, answered as the contract shows them.
 */
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_designs_example),
        cmocka_unit_test(what_is_held_back_says_why),
        cmocka_unit_test(a_rescue),
        cmocka_unit_test(sixty_four_cups),
    };
    return cmocka_run_group_tests(tests, story_begin, story_end);
}
