/* What a label is told of its batch: a tint, a wrong tin, how much the cup holds, and the isocyanates of a hardener
 * that nobody describes. World: story.h. */
#include "tests/e2e/story.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static json_t *label_of(struct harness *h)
{
    char id[16];
    story_batch(h, id);
    return story_at(story_call(h, "batch.label", "{'batch':'%s','copies':0}", id), "label");
}

/* 100 g of TS-1, then 2 g of D by eye: the recipe is what is in the cup, and the label says what was done. */
static void a_tint_and_a_wrong_tin_stand_on_it(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-1','coat':'base','grams':100,'reduce_pct':0}");
    story_pour(h, 50);
    story_add(h, 3);
    story_act(h, "accept", "{'really':'D'}");
    story_act(h, "remedy", "{'choice':'leave'}");
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "tint", "{'toner':'P'}");
    story_pour(h, 2);
    json_t *label = label_of(h);
    story_text(label, "tinted.0", "P 2.0 g");
    story_text(label, "foreign.0", "D 3.0 g");
    story_text(label, "content", "105 g");
    story_text(label, "variant", "standard");
    story_clear(h);
}

static void a_hardener_without_data_counts_as_isocyanate(void **state)
{
    struct harness *h = *state;
    story_call(h, "toner.put", "{'id':'HN','role':'hardener','line':'two-pack','density_g_per_ml':1.2}");
    story_call(h, "product.put",
               "{'id':'CN','role':'clear','line':'two-pack','ratio':'2:1','basis':'weight','parts':['CL','HN']}");
    story_cup(h, "{'product':'CN','grams':20}");
    story_pour(h, 20);
    story_number(label_of(h), "gravest", 0);
    story_pour(h, 10);
    json_t *label = label_of(h);
    story_number(label, "gravest", 1);
    story_text(label, "hazard_words.0", "isocyanates");
    story_text(label, "content", "30.0 g");
    story_text(label, "variant", "");
    story_clear(h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tint_and_a_wrong_tin_stand_on_it),
        cmocka_unit_test(a_hardener_without_data_counts_as_isocyanate),
    };
    return cmocka_run_group_tests(tests, story_begin, story_end);
}
