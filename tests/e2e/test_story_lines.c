/* Lines that may not stand in one cup (contract 5a): waterborne with no other, from wherever it would come; solvent and
 * two-pack go together in a product. What was poured already counts, whatever it is. World: story.h. */
#include "tests/e2e/story.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static int begin(void **state)
{
    static const char *const puts[][2] = {
        {"toner.put", "{'id':'WH','role':'hardener','line':'waterborne','density_g_per_ml':1.1}"},
        {"product.put", "{'id':'LESS','role':'clear','ratio':'4:1:1','basis':'weight','parts':['W','H','R']}"},
        {"product.put", "{'id':'LATE','role':'clear','ratio':'4:1:1','basis':'weight','parts':['CL','R','WH']}"},
        {"product.put", "{'id':'BASE-W','role':'clear','line':'two-pack','ratio':'4:1','basis':'weight',"
                        "'parts':['W','H']}"},
        {"product.put", "{'id':'BOTH','role':'clear','line':'two-pack','ratio':'4:1:1','basis':'weight',"
                        "'parts':['CL','H','RS']}"},
        {"product.put", "{'id':'SINGLE-X','role':'single','line':'two-pack','ratio':'4:1','basis':'weight',"
                        "'parts':['colour','WH']}"},
    };
    if (story_begin(state) != 0)
        return -1;
    for (size_t i = 0; i < sizeof puts / sizeof *puts; i++)
        story_call(*state, puts[i][0], "%s", puts[i][1]);
    return 0;
}

static const struct {
    const char *about, *field, *params;
} refused[] = {
    {"a solvent reducer in water", "reducer", "{'formula':'TS-5','grams':100,'reducer':'RS'}"},
    {"a two-pack product for a waterborne colour", "product", "{'formula':'TS-5','grams':100,'product':'CLEAR-A'}"},
    {"another part than the product's own", "parts", "{'product':'CLEAR-A','grams':100,'parts':['CL','H','W']}"},
    {"another first part", "parts", "{'product':'CLEAR-A','grams':100,'parts':['W','H','R']}"},
    {"a product whose base is of another line", "parts", "{'product':'BASE-W','grams':100}"},
    {"a product without a line: hardener against base", "parts", "{'product':'LESS','grams':100}"},
    {"a product without a line: the last part", "parts", "{'product':'LATE','grams':100}"},
    {"a waterborne hardener in a two-pack colour", "parts", "{'formula':'TS-4','grams':100,'product':'SINGLE-X'}"},
    {"a toner in the cup already", "have", "{'formula':'TS-5','grams':100,'have':[{'toner':'A','grams':10}]}"},
};

/* A plan says the same as a beginning: both are made by the same code. */
static void lines_that_do_not_go_together_are_refused(void **state)
{
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        json_t *data = story_refused(h, "begin", -32005, "why", "line", "%s", refused[i].params);
        if (strcmp(json_string_value(json_object_get(data, "field")), refused[i].field) != 0)
            fail_msg("%s: %s", refused[i].about, json_string_value(json_object_get(data, "field")));
        story_text(story_fault(h, "mix.plan", -32005, "%s", refused[i].params), "why", "line");
    }
    story_call(h, "mix.plan", "{'product':'BOTH','grams':100}"); /* solvent reducer in two-pack */
}

/* A leftover of another line, and a tint. */
static void what_stands_there_and_what_is_tinted_in(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-1','coat':'base','grams':100,'reduce_pct':0}");
    story_refused(h, "tint", -32005, "why", "line", "{'toner':'W'}");
    story_act(h, "tint", "{'toner':'P'}");
    story_pour(h, 1);
    story_pour(h, 50);
    story_batch(h, id);
    story_act(h, "hold", "{}");
    harness_weigh(h, "bench", 0);
    story_refused(h, "begin", -32005, "why", "line",
                  "{'formula':'TS-5','coat':'base','grams':200,'have':[{'batch':'%s','grams':20}]}", id);
}

/* The wrong tin is in the cup: that is no question any more. */
static void a_wrong_tin_counts_whatever_its_line(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-1','coat':'base','grams':100,'reduce_pct':0}");
    story_add(h, 3);
    story_act(h, "accept", "{'really':'W'}");
    story_is(h, "said.code", "over_foreign");
    story_is(h, "said.args.toner", "W");
    story_act(h, "remedy", "{'choice':'leave'}");
    story_is(h, "facts.0.args.toner", "W");
    story_batch(h, id);
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", id), "foreign.0.toner", "W");
    story_number(story_call(h, "batch.get", "{'batch':'%s'}", id), "foreign.0.grams", 3);
    story_clear(h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_that_do_not_go_together_are_refused),
        cmocka_unit_test(what_stands_there_and_what_is_tinted_in),
        cmocka_unit_test(a_wrong_tin_counts_whatever_its_line),
    };
    return cmocka_run_group_tests(tests, begin, story_end);
}
