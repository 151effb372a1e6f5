/* The commands of the shop's day: what a scanner reads, a cup on the shelf, an order, a card, the tins, who works here.
 * World: story.h. */
#include "tests/e2e/story.h"
#include "tests/e2e/typed.h"

#include <limits.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static json_t *only_line(void)
{
    return json_loads(typed.out, 0, NULL);
}

static void a_tin_and_a_cup_by_their_codes(void **state)
{
    struct harness *h = *state;
    char line[64], id[16];
    story_call(h, "toner.put",
               "{'id':'A','name':'Alder','line':'solvent','density_g_per_ml':1.0,'codes':['4012001*']}");
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_batch(h, id);
    typed_says(h, "scan 4012001A17", "next: poise tin 4012001A17");
    typed_says(h, "tin 4012001A17", "the right tin, lot A17");
    story_is(h, "now.lot", "A17");
    typed_says(h, "status", "Alder, lot A17");
    assert_int_equal(typed_run(h, "poise tin B"), 65);
    assert_non_null(strstr(typed.err, "wrong tin: this is B, take A"));
    typed_says(h, "scan B", "wrong tin: this is B, take A");
    assert_int_equal(typed_run(h, "poise tin A --lot A18"), 0);
    story_is(h, "now.lot", "A18");
    story_act(h, "hold", "{}");
    snprintf(line, sizeof line, "poise scan POISE:%s --json", id);
    assert_int_equal(typed_run(h, line), 0);
    json_t *scanned = only_line();
    story_text(scanned, "act.method", "batch.resume");
    json_decref(scanned);
    snprintf(line, sizeof line, "scan POISE:%s --language de", id);
    typed_says(h, line, "weiter: poise resume");
}

static void a_finished_cup_goes_to_the_shelf_and_to_waste(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "finish", "{}");
    typed_says(h, "shelve 1 rack 2 --use-by 2030-01-31", "cup 1: rack 2, use by 2030-01-31");
    typed_says(h, "leftover 1 --gross 90", "cup 1: 60.0 g left, 40.0 g used");
    typed_says(h, "shelf", "rack 2");
    typed_says(h, "shelf --place rack~2 --csv",
               "batch,formula,name,coat,variant,order,place,left_g,use_by,why\r\n1,TS-1,");
    typed_says(h, "discard 1 --grams 20 dried in", "cup 1: 20.0 g thrown away, 40.0 g left");
    typed_says(h, "discard 1", "0.0 g left");
    assert_int_equal(typed_run(h, "poise discard 1"), 65);
    assert_int_equal(typed_run(h, "poise shelf"), 1);
}

/* Nothing costs nothing, but that is no plan. */
static void an_order_without_coats_has_no_plan(void **state)
{
    struct harness *h = *state;
    typed_says(h, "order 4416 --vehicle red~estate", "red estate");
    assert_int_equal(typed_run(h, "poise plan --order 4416"), 65);
    assert_non_null(strstr(typed.err, "order 4416 has no coats. Add one: poise order 4416 "));
}

static void an_order_a_card_the_tins_and_who(void **state)
{
    struct harness *h = *state;
    typed_says(h, "order 4417 TS-1=50 --vehicle blue~estate --by 2030-12-24", "50 g");
    typed_says(h, "order 4417 TS-1@door:2:50", "door"); /* a second coat; the rest stays */
    typed_says(h, "order 4417", "blue estate");
    assert_int_equal(typed_run(h, "poise order 4417 --json"), 0);
    json_t *order = only_line();
    assert_int_equal(json_array_size(json_object_get(order, "coats")), 2);
    story_number(order, "coats.1.panels.0.share_pct", 50);
    story_text(order, "due", "2030-12-24");
    json_decref(order);
    typed_says(h, "orders estate", "not mixed");
    typed_says(h, "order 4417 --close", "closed");
    assert_int_equal(typed_run(h, "poise orders"), 1);
    typed_says(h, "orders --all", "4417");
    assert_int_equal(typed_run(h, "poise order 4417 NONE=5"), 65);
    typed_says(h, "card TS-1 match --coats 3 --light sun,shade very good", "card 1: TS-1, matches");
    typed_says(h, "card TS-1", "card 1: TS-1");
    typed_says(h, "cards --verdict match --csv", "very good");
    assert_int_equal(typed_run(h, "poise cards --verdict no"), 1);
    assert_int_equal(typed_run(h, "poise card NONE-9"), 65);
    typed_says(h, "stock receive A 3500 --lot A17 --cost 40", "A: 3500.0 g there");
    typed_says(h, "stock count A 3400,5", "99.5 g to what was known");
    typed_says(h, "stock stir all", "stirred 20");
    typed_says(h, "stock A --csv", "A,Alder,\"rack 2, 14\",3400.5,A17,");
    story_call(h, "people.put", "{'painter':'Ines Bo'}");
    typed_says(h, "sign-in Ines Bo", "Ines Bo works at bench");
    typed_says(h, "people", "Ines Bo");
    typed_says(h, "sign-out --language de", "niemand angemeldet");
}

/* What is exported and read into another shop is the same there: each list but for its revisions, in the same order of
 * reading, by which the first reducer of a line is taken. */
static void an_export_is_the_same_shop_again(void **state)
{
    struct harness *h = *state;
    static const char *const lists[] = {"toner.list", "formula.list", "product.list", "panel.list", "cup.list"};
    char folder[] = "/tmp/poise-export-XXXXXX", line[128];
    static char formulas[PATH_MAX];
    json_t *before[5];
    assert_non_null(mkdtemp(folder));
    assert_non_null(realpath("formulas", formulas));
    story_call(h, "catalogue.import", "{'files':['%s']}", formulas);
    story_call(h, "toner.put", "{'id':'ZZ1','name':'By hand','codes':['77*','78'],'hazards':'warning H226'}");
    for (size_t i = 0; i < 5; i++)
        before[i] = json_deep_copy(story_call(h, lists[i], "{'as_read':true}"));
    snprintf(line, sizeof line, "export %s/shop", folder);
    typed_says(h, line, "toners");
    snprintf(line, sizeof line, "poise export %s/shop", folder);
    assert_int_equal(typed_run(h, line), 74); /* nothing is written over */
    assert_non_null(strstr(typed.err, "toners.ini"));
    harness_stop(h, SIGTERM);
    snprintf(line, sizeof line, "rm -r %.90s/state", h->dir);
    assert_int_equal(system(line), 0);
    harness_start(h);
    story_call(h, "catalogue.import", "{'files':['%s/shop']}", folder);
    for (size_t i = 0; i < 5; i++) {
        json_t *after = story_call(h, lists[i], "{'as_read':true}"), *one;
        size_t n, of;
        json_t *list = json_object_iter_value(json_object_iter(before[i]));
        json_array_foreach(list, n, one)
        {
            const char *id = json_string_value(json_object_get(one, i == 1 ? "code" : "id"));
            json_t *again = NULL, *found;
            json_array_foreach(json_object_iter_value(json_object_iter(after)), of,
                               found) if (strcmp(json_string_value(json_object_get(found, i == 1 ? "code" : "id")),
                                                 id) == 0) again = found;
            json_object_del(one, i == 1 ? "formula_revision" : "revision");
            json_object_del(again, i == 1 ? "formula_revision" : "revision");
            if (!again || !json_equal(one, again))
                fail_msg("%s: %s\n%s", id, json_dumps(one, JSON_COMPACT), json_dumps(again, JSON_COMPACT));
        }
        json_decref(before[i]);
    }
    snprintf(line, sizeof line, "rm -r %s", folder);
    assert_int_equal(system(line), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_tin_and_a_cup_by_their_codes, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_finished_cup_goes_to_the_shelf_and_to_waste, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_order_without_coats_has_no_plan, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_order_a_card_the_tins_and_who, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_export_is_the_same_shop_again, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
