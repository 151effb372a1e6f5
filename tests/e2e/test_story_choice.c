/* Clear by temperature and speed, and what else goes into it: flex for a bumper, a matting base, an accelerator. World:
 * story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static int begin(void **state)
{
    static const char *const toners[][2] = {{"KL", "clear"},    {"HF", "hardener"},  {"HM", "hardener"},
                                            {"HS", "hardener"}, {"VF", "reducer"},   {"VM", "reducer"},
                                            {"VS", "reducer"},  {"FLX", "additive"}, {"ACC", "additive"}};
    if (story_begin(state) != 0)
        return -1;
    for (size_t i = 0; i < sizeof toners / sizeof *toners; i++)
        story_call(*state, "toner.put", "{'id':'%s','role':'%s','line':'two-pack','density_g_per_ml':1}", toners[i][0],
                   toners[i][1]);
    story_call(*state, "product.put",
               "{'id':'KLAR','role':'clear','line':'two-pack','ratio':'4:1:1','basis':'volume','pot_life_min':90,"
               "'parts':['KL','HM','VM'],'hardeners':['HF fast','HM medium','HS slow'],"
               "'reducers':['VF 10-18','VM 18-26','VS 26-38']}");
    story_call(*state, "product.put",
               "{'id':'KLAR-FLEX','role':'clear','line':'two-pack','ratio':'4:1:1:10%%:2%%','basis':'volume',"
               "'of':'paint','parts':['KL','HM','VM','FLX','ACC'],'hardeners':['HM medium']}");
    return 0;
}

/* What stands second and third in the mix. */
static const struct {
    const char *name, *asked, *hardener, *reducer;
    bool warns;
} rows[] = {
    {"the product's own", "", "HM", "VM", false},
    {"a cold morning", ",'temperature_c':12", "HM", "VF", false},
    {"where two ranges meet, the warmer", ",'temperature_c':18", "HM", "VM", false},
    {"where two ranges meet, the warmer", ",'temperature_c':26", "HM", "VS", false},
    {"the end of the last", ",'temperature_c':38", "HM", "VS", false},
    {"too hot for any: the nearest, and a word", ",'temperature_c':41", "HM", "VS", true},
    {"too cold for any", ",'temperature_c':4.5", "HM", "VF", true},
    {"a speed", ",'speed':'slow'", "HS", "VM", false},
    {"both", ",'speed':'fast','temperature_c':30", "HF", "VS", false},
    {"by name, whatever the weather", ",'temperature_c':30,'reducer':'VM','hardener':'HF'", "HF", "VM", false},
    {"parts as they are listed", ",'temperature_c':30,'parts':['KL','HS','VF']", "HS", "VF", false},
};

static void by_temperature_and_speed(void **state)
{
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *p = story_call(h, "mix.plan", "{'product':'KLAR','grams':100%s}", rows[i].asked);
        const char *hardener = json_string_value(story_at(p, "additions.0.toner"));
        const char *reducer = json_string_value(story_at(p, "reducer.toner"));
        bool warned = false;
        size_t n;
        json_t *w;
        json_array_foreach(json_object_get(p, "warnings"), n, w) warned |=
            strcmp(json_string_value(json_object_get(w, "code")), "temperature") == 0;
        if (strcmp(hardener, rows[i].hardener) != 0 || strcmp(reducer, rows[i].reducer) != 0 || warned != rows[i].warns)
            fail_msg("%s: %s, %s", rows[i].name, hardener, reducer);
    }
    json_t *s = story_act(h, "begin", "{'product':'KLAR','grams':100,'speed':'slow','temperature_c':30}");
    story_text(s, "steps.1.toner", "HS");
    story_text(s, "steps.2.toner", "VS");
    story_act(h, "scrap", "{'why':'a try'}");
}

static void what_the_product_has_not_is_refused(void **state)
{
    struct harness *h = *state;
    story_text(story_fault(h, "mix.plan", -32005, "{'product':'KLAR','grams':9,'hardener':'VM'}"), "field", "hardener");
    story_text(story_fault(h, "mix.plan", -32005, "{'product':'KLAR','grams':9,'reducer':'R'}"), "field", "reducer");
    story_text(story_fault(h, "mix.plan", -32005, "{'product':'KLAR','grams':9,'speed':'hasty'}"), "field", "speed");
    story_text(story_fault(h, "mix.plan", -32005, "{'product':'KLAR','grams':9,'temperature_c':451}"), "field",
               "temperature_c");
}

/* 4:1:1 and of the paint 10 % flex and 2 % accelerator, all by volume at 1 g/mL: 200, 50, 50, 20, 4 g. */
static void flex_and_accelerator_go_all_the_way(void **state)
{
    static const char *const toner[] = {"KL", "HM", "VM", "FLX", "ACC"};
    static const double grams[] = {200, 50, 50, 20, 4};
    struct harness *h = *state;
    char id[16];
    json_t *p = story_call(h, "mix.plan", "{'product':'KLAR-FLEX','grams':200,'speed':'medium'}");
    story_text(p, "additions.1.toner", "FLX");
    story_number(p, "additions.1.grams", 20);
    story_number(p, "ready_ml", 324);
    story_cup(h, "{'product':'KLAR-FLEX','grams':200}");
    story_batch(h, id);
    for (size_t i = 0; i < 5; i++) {
        story_now(h, toner[i], grams[i], 0);
        story_pour(h, grams[i]);
    }
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_text(b, "made_said.args.ratio", "4:1:1:10%:2%");
    story_number(b, "parts.2.poured_g", 20); /* the reducer stands apart */
    assert_true(json_is_true(json_object_get(b, "activated")));
    json_t *label = story_call(h, "batch.label", "{'batch':'%s','copies':0}", id);
    assert_non_null(strstr(json_string_value(story_at(label, "label.made")), "4:1:1:10%:2%"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(by_temperature_and_speed),
        cmocka_unit_test(what_the_product_has_not_is_refused),
        cmocka_unit_test(flex_and_accelerator_go_all_the_way),
    };
    return cmocka_run_group_tests(tests, begin, story_end);
}
