/* The commands of orders by coats, of the shelf's cups used up, and of what the shop's keeper changes. World: story.h.
 */
#include "tests/e2e/story.h"
#include "tests/e2e/typed.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* TS-1 holds no solids, so its grams are given; the product's panels come in litres. */
static void shop(struct harness *h)
{
    story_call(h, "toner.put",
               "{'id':'CX','role':'clear','line':'two-pack','density_g_per_ml':1,'price_per_kg':20,"
               "'solids_vol_pct':45}");
    story_call(h, "toner.put",
               "{'id':'HX','role':'hardener','line':'two-pack','density_g_per_ml':1.2,"
               "'price_per_kg':30,'solids_vol_pct':60}");
    story_call(h, "toner.put",
               "{'id':'HS','role':'hardener','line':'two-pack','density_g_per_ml':1.2,"
               "'price_per_kg':30,'solids_vol_pct':60}");
    story_call(h, "product.put",
               "{'id':'CP','role':'clear','line':'two-pack','ratio':'2:1','basis':'volume','film_um':55,'flash_min':8,"
               "'parts':['CX','HX'],'hardeners':[{'id':'HX','speed':'medium'},{'id':'HS','speed':'slow'}]}");
    story_call(h, "cup.put", "{'id':'small','ml':200,'tare_g':10,'fill_pct':95}");
}

/* All coats of an order from the command line: put with jambs, planned in layers, begun half by half. */
static void an_order_is_planned_and_begun_by_its_coats(void **state)
{
    struct harness *h = *state;
    shop(h);
    story_call(h, "panel.put", "{'id':'door','area_m2':1}");
    story_call(h, "panel.put", "{'id':'jamb','area_m2':0.2}");
    typed_says(h, "order 4417 TS-1=100 CP@door:2,jamb:1:100:edges", "TS-1");
    /* A panel of more than any name is refused: cut, it would be the whole door in place of its edges. */
    assert_int_equal(typed_run(h,
                               "poise order 4417 CP@door:1.0000000000000000000000000000000000000000000000000000000000:"
                               "100.00000000000000000000000:edges"),
                     64);
    typed_says(h, "plan --order 4417", "clear, jambs and edges");
    /* 34 mL of edges, 338 mL of outsides; no product says how long TS-1 flashes off, and so not the whole. */
    assert_non_null(strstr(typed.out, "34 mL"));
    assert_non_null(strstr(typed.out, "338 mL"));
    assert_non_null(strstr(typed.out, "16 min"));
    assert_non_null(strstr(typed.out, "cost "));
    assert_null(strstr(typed.out, "flashing off"));
    typed_says(h, "plan --order 4417 --language de", "Klarlack, Einstiege und Kanten");
    assert_int_equal(typed_run(h, "poise plan --order 4417 --json"), 0);
    json_t *plan = json_loads(typed.out, 0, NULL);
    assert_int_equal(json_array_size(json_object_get(plan, "layers")), 3);
    json_decref(plan);
    assert_int_equal(typed_run(h, "poise plan"), 64);
    assert_int_equal(typed_run(h, "poise begin --order 4417"), 64);
    typed_says(h, "plan --order 4417 --coat-n 2 --outsides --speed slow --film 50", "HS");
    typed_says(h, "begin --order 4417 --coat-n 2 --speed slow", "clear"); /* the edges come first */
    story_look(h);
    story_near(h, "fill_ml", 0.2 * 55 / (0.65 * 0.5));
    story_is(h, "steps.1.toner", "HS");
    assert_int_equal(typed_run(h, "poise begin CP --ml 20 --speed soon"), 65);
    story_act(h, "scrap", "{'why':'a try'}");
}

/* A cup of the shelf that may go, and one that may not; the line to type begins the batch from it. */
static void cups_of_the_shelf_are_used_up(void **state)
{
    struct harness *h = *state;
    char line[256];
    assert_int_equal(typed_run(h, "poise workoff TS-1 --grams 300 --reduce 0"), 1);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    story_call(h, "batch.weigh_back", "{'batch':'1','gross_g':90}");
    assert_int_equal(typed_run(h, "poise workoff TS-1"), 64);
    typed_says(h, "workoff TS-1 --grams 300 --reduce 0", "60.00 g");
    char *next = strstr(typed.out, "poise begin ");
    assert_non_null(next);
    snprintf(line, sizeof line, "%.*s", (int)strcspn(next, "\n"), next);
    assert_string_equal(line, "poise begin TS-1 --grams 300 --reduce 0 --have 1:60");
    assert_int_equal(typed_run(h, line), 0);
    story_look(h);
    story_near(h, "steps.0.poured_g", 30);
    story_act(h, "scrap", "{'why':'a try'}");
    assert_int_equal(typed_run(h, "poise workoff TS-1 1 --grams 300 --reduce 0 --json"), 0);
    assert_int_equal(typed_run(h, "poise workoff TS-1 99 --grams 300 --reduce 0"), 65);
    story_call(h, "batch.shelve", "{'batch':'1','place':'rack 1','use_by':'2020-01-01'}");
    typed_says(h, "workoff TS-1 1 --grams 300 --reduce 0 --language de", "bleibt: abgelaufen");
    assert_null(strstr(typed.out, "poise begin"));
    /* One that stands there and was never weighed back: nobody knows what is in it, and that is said. */
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "finish", "{}");
    char id[16];
    json_t *found = story_call(h, "batch.find", "{'limit':1}");
    snprintf(id, sizeof id, "%s", json_string_value(story_at(found, "batches.0.batch")));
    story_call(h, "batch.shelve", "{'batch':'%s','place':'rack 2'}", id);
    typed_says(h, "workoff TS-1 --grams 300 --reduce 0", "stays: never weighed back");
    assert_null(strstr(typed.out, "poise begin"));
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':50}", id);
    typed_says(h, "workoff TS-1 --grams 300 --reduce 0", "20.00 g");
}

static void what_the_keeper_changes(void **state)
{
    struct harness *h = *state;
    typed_says(h, "people Ines Bo --glances 5", "Ines Bo: a second person looks at 5 batches");
    typed_says(h, "people Ines Bo --trained 2026-01-31", "at 5 batches"); /* the rest stays */
    typed_says(h, "people --csv", "Ines Bo,,5,2026-01-31");
    typed_says(h, "people Ines Bo --retired", "works here no more");
    assert_int_equal(typed_run(h, "poise people --retired"), 64);
    typed_says(h, "settings station.bench.auto_grow_pct", "5");
    typed_says(h, "settings station.bench.auto_grow_pct 3,5", "3.5");
    typed_says(h, "settings station.bench.auto_grow_pct --default", "5");
    typed_says(h, "settings --json", "\"key\":\"shop.currency\"");
    assert_int_equal(typed_run(h, "poise settings station.bench.auto_grow_pct soon"), 65);
    assert_int_equal(typed_run(h, "poise settings no.such"), 65);
    assert_int_equal(typed_run(h, "poise settings --default"), 64);
    story_call(h, "toner.put", "{'id':'A2','line':'solvent','pigment':'PW6'}");
    story_call(h, "toner.put", "{'id':'A1','line':'solvent','pigment':'PW6'}");
    typed_says(h, "substitute A1", "A2: ");
    assert_int_equal(typed_run(h, "poise substitute B"), 1);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "tint", "{'toner':'A2'}");
    story_pour(h, 1);
    assert_int_equal(typed_run(h, "poise keep 1 too soon"), 65);
    story_act(h, "finish", "{}");
    typed_says(h, "keep 1 a bit warmer", "kept in formula TS-1, revision 2");
    story_number(story_call(h, "mix.plan", "{'formula':'TS-1','variant':'a bit warmer','grams':101}"),
                 "components.3.aim_g", 1);
}

/* 3 g of TS-1 ask for 0.6 g of C, which this scale cannot weigh: 1.4 g of it and 1.87 g of A make a premix, of which
 * 1.4 g dose it. Led, kept under a name and a place, and taken from by name. */
static void a_premix_is_led_and_kept(void **state)
{
    struct harness *h = *state;
    typed_says(h, "begin TS-1 --grams 3 --premix-first", "1.40 g");
    story_look(h);
    harness_weigh(h, "bench", 30);
    story_act(h, "accept", "{}");
    story_step(h, 0, "C", 1.4, 0, "now");
    story_pour(h, 1.4);
    story_pour(h, 1.87);
    story_is(h, "state", "done");
    assert_int_equal(typed_run(h, "poise finish --keep PMX --place rack-3"), 0);
    json_t *t = story_call(h, "toner.get", "{'id':'PMX'}");
    story_text(t, "bank", "rack-3");
    story_text(t, "composition.0.toner", "C");
    typed_says(h, "plan TS-1 --grams 3 --premix PMX", "PMX");
    assert_int_equal(typed_run(h, "poise plan TS-1 --grams 300 --premix PMX"), 65); /* nothing is too small */
    assert_int_equal(typed_run(h, "poise begin TS-1 --grams 300 --premix-first"), 65);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_premix_is_led_and_kept, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_order_is_planned_and_begun_by_its_coats, story_begin, story_end),
        cmocka_unit_test_setup_teardown(cups_of_the_shelf_are_used_up, story_begin, story_end),
        cmocka_unit_test_setup_teardown(what_the_keeper_changes, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
