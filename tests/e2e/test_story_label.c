/* What a label is told of its batch: a tint, a wrong tin, how much the cup holds, and the isocyanates of a hardener
 * that nobody describes. World: story.h. */
#include "tests/e2e/story.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

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

/* What zbarimg reads off the drawn label, rendered as a printer of 300 dpi would print it, opens that very batch. */
static void its_code_opens_the_batch(void **state)
{
    struct harness *h = *state;
    static const char *const sizes[] = {"62x29", "50x25"};
    char folder[] = "/tmp/poise-label-XXXXXX", id[16], pdf[64], command[256], read[64] = "", out[512], err[512];
    assert_non_null(mkdtemp(folder));
    snprintf(pdf, sizeof pdf, "%s/label.pdf", folder);
    story_cup(h, "{'formula':'TS-1','coat':'base','grams':100,'reduce_pct':0,'order':'4417','painter':'Ines'}");
    story_batch(h, id);
    story_act(h, "hold", "{}");
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        const char *const label[] = {"poise", "label", id, "--out", pdf, "--size", sizes[i], NULL};
        assert_int_equal(harness_run(h, label, NULL, out, sizeof out, err, sizeof err), 0);
        snprintf(command, sizeof command,
                 "pdftoppm -r 300 -png -singlefile %s %s/label && zbarimg --nodbus -q --raw %s/label.png", pdf, folder,
                 folder);
        FILE *tools = popen(command, "r");
        assert_non_null(tools);
        assert_non_null(fgets(read, sizeof read, tools));
        assert_int_equal(pclose(tools), 0);
        read[strcspn(read, "\n")] = '\0';
        json_t *scanned = story_call(h, "scan", "{'code':'%s','station':'bench'}", read);
        story_text(scanned, "kind", "cup");
        story_text(scanned, "batch", id);
        story_text(scanned, "act.method", "batch.resume");
    }
    snprintf(command, sizeof command, "rm -r %s", folder);
    assert_int_equal(system(command), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tint_and_a_wrong_tin_stand_on_it),
        cmocka_unit_test(a_hardener_without_data_counts_as_isocyanate),
        cmocka_unit_test(its_code_opens_the_batch),
    };
    return cmocka_run_group_tests(tests, story_begin, story_end);
}
