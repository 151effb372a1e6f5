/* An order of three coats from its put to its last cup; a spray-out card that matched; who is signed in. World:
 * story.h.
 */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const char three[] = "{'order':'4417','vehicle':'blue estate','painter':'Bo Tern','due':'2026-12-01','coats':["
                            "{'formula':'TS-1','grams':50},{'formula':'TS-1','grams':100,'mids':1},"
                            "{'formula':'TS-1','panels':[{'name':'door','area_m2':1.0}]}]}";

/* The screen stands at the cup's own 30 g; the pours follow what the screen asks. */
static void pour_all(struct harness *h)
{
    harness_weigh(h, "bench", 30);
    story_act(h, "accept", "{}");
    for (int n = 0; n < 9 && strcmp(harness_text(h, "bench", "state"), "pour") == 0; n++)
        story_pour(h, harness_number(h, "bench", "now.to_go_g"));
    story_is(h, "state", "done");
}

static void an_order_of_three_coats(void **state)
{
    struct harness *h = *state;
    char id[16];
    json_t *o = story_call(h, "order.put", three);
    story_text(o, "coats.0.state", "not_mixed");
    story_number(o, "coats.2.panels.0.coats", 2);
    story_number(o, "coats.2.panels.0.share_pct", 100);
    story_number(o, "cost", 0);
    story_act(h, "begin", "{'order':'4417','coat_n':2,'reduce_pct':0}");
    story_is(h, "formula", "TS-1");
    story_is(h, "order", "4417");
    story_near(h, "wanted_g", 100);
    story_batch(h, id);
    o = story_call(h, "order.get", "{'order':'4417'}");
    story_text(o, "coats.1.state", "mixing");
    story_text(o, "coats.1.station", "bench");
    story_text(o, "coats.1.batches.0", id);
    story_text(o, "coats.0.state", "not_mixed");
    pour_all(h);
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    o = story_call(h, "order.get", "{'order':'4417'}");
    story_text(o, "coats.1.state", "mixed");
    story_text(o, "coats.1.station", "");
    story_number(o, "cost", 1.9);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':70}", id);
    story_text(story_call(h, "order.get", "{'order':'4417'}"), "coats.1.state", "left_over");
    /* A touch-up for another order, out of that cup: 20 of 100 g at 1.90. */
    story_call(h, "order.put", "{'order':'5000','coats':[]}");
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':50,'order':'5000'}", id);
    o = story_call(h, "order.get", "{'order':'5000'}");
    story_number(o, "touch_ups.0.grams", 20);
    story_number(o, "cost", 0.38);
    story_text(story_fault(h, "order.put", -32005, "{'order':'4417','coats':[{'formula':'TS-1'}]}"), "why", "used");
    story_act(h, "begin", "{'order':'4417','coat_n':1,'reduce_pct':0}");
    story_near(h, "wanted_g", 50);
    story_act(h, "scrap", "{'why':'wrong car'}");
    story_text(story_call(h, "order.get", "{'order':'4417'}"), "coats.0.state", "not_mixed");
    o = story_call(h, "order.list", "{'text':'estate'}");
    assert_int_equal(json_array_size(json_object_get(o, "orders")), 1);
    o = story_call(h, "order.list", "{'open':false}"); /* and nothing that the catalogue keeps beside them */
    assert_int_equal(json_array_size(json_object_get(o, "orders")), 2);
    o = story_call(h, "order.list", "{'limit':1}");
    story_text(o, "orders.0.order", "5000"); /* the newest first */
    story_text(story_call(h, "order.list", "{'after':'%s'}", json_string_value(story_at(o, "next"))), "orders.0.order",
               "4417");
}

static void what_an_order_cannot_be(void **state)
{
    struct harness *h = *state;
    story_text(story_fault(h, "order.get", -32001, "{'order':'1'}"), "field", "order");
    story_text(story_fault(h, "order.put", -32001, "{'order':'1','coats':[{'formula':'NONE'}]}"), "field", "formula");
    story_text(story_fault(h, "order.put", -32005, "{'order':'1','coats':[{'grams':5}]}"), "field", "coats");
    story_text(story_fault(h, "order.put", -32005, "{'order':'1','due':'soon'}"), "field", "due");
    story_text(story_fault(h, "order.put", -32001, "{'order':'1','card':'9'}"), "field", "card");
    story_text(story_fault(h, "order.put", -32001, "{'order':'1','coats':[{'formula':'TS-1','coat':'mid'}]}"), "field",
               "coat");
    story_text(story_fault(h, "order.put", -32001,
                           "{'order':'1','coats':[{'formula':'TS-1','coat':'base','variant':'duller'}]}"),
               "field", "variant");
    story_call(h, "order.put", three);
    story_refused(h, "begin", -32001, "field", "coat_n", "{'order':'4417','coat_n':4}");
    story_refused(h, "begin", -32001, "field", "order", "{'order':'9999','coat_n':1}");
}

/* The order can still be closed: what was put stands, though the formula has lost that variant since. */
static void an_order_outlives_its_variant(void **state)
{
    struct harness *h = *state;
    static const char put[] = "{'code':'OV-1','finish':'solid','line':'solvent','coats':["
                              "{'coat':'base','variant':'%s','parts':[{'toner':'A','parts':7}]}]}";
    story_call(h, "formula.put", put, "warm");
    story_call(h, "order.put", "{'order':'61','coats':[{'formula':'OV-1','coat':'base','variant':'warm','grams':40}]}");
    story_call(h, "formula.put", put, "cold");
    story_call(h, "order.put",
               "{'order':'61','closed':true,'coats':[{'formula':'OV-1','coat':'base','variant':'warm','grams':40}]}");
    story_fault(h, "order.put", -32001,
                "{'order':'62','coats':[{'formula':'OV-1','coat':'base','variant':'warm','grams':40}]}");
}

/* The plan says that no card matched, until one does. */
static void a_card_that_matched(void **state)
{
    struct harness *h = *state;
    json_t *plan = story_call(h, "mix.plan", "{'formula':'TS-1','grams':100}");
    assert_true(json_is_null(json_object_get(plan, "card")));
    bool warned = false;
    size_t i;
    json_t *w;
    json_array_foreach(json_object_get(plan, "warnings"), i, w) warned |=
        strcmp(json_string_value(json_object_get(w, "code")), "no_card") == 0;
    assert_true(warned);
    char of[200], coat[64];
    snprintf(coat, sizeof coat, "%s", json_string_value(json_object_get(plan, "coat")));
    snprintf(of, sizeof of, "'formula':'TS-1','variant':'%s','coat':'%s'",
             json_string_value(json_object_get(plan, "variant")), coat);
    json_t *c = story_call(h, "card.put", "{%s,'light':['sun','shade'],'verdict':'match','coats':3}", of);
    story_text(c, "card", "1");
    story_call(h, "card.put", "{%s,'light':['sun'],'verdict':'no','order':'4417','lab':[50,-3,2.5]}", of);
    c = story_call(h, "card.match", "{'formula':'TS-1','coat':'%s'}", coat);
    story_text(c, "cards.0.verdict", "match");
    story_text(c, "cards.1.card", "2");
    story_number(c, "cards.1.lab.1", -3);
    c = story_call(h, "card.match", "{'formula':'TS-1','light':['shade']}");
    assert_int_equal(json_array_size(json_object_get(c, "cards")), 1);
    story_text(story_call(h, "card.list", "{'order':'4417'}"), "cards.0.card", "2");
    story_text(story_call(h, "mix.plan", "{'formula':'TS-1','grams':100}"), "card.card", "1");
    story_text(story_fault(h, "card.put", -32005, "{%s,'light':[],'verdict':'match'}", of), "field", "light");
    story_text(story_fault(h, "card.put", -32005, "{%s,'light':['sun','\\u202e'],'verdict':'match'}", of), "field",
               "light");
    story_text(story_fault(h, "card.put", -32005, "{%s,'light':['sun'],'verdict':'fine'}", of), "field", "verdict");
    story_text(story_fault(h, "card.put", -32001, "{'batch':'7','light':['sun'],'verdict':'no'}"), "field", "batch");
    static const char unknown[] = "{'formula':'TS-1','coat':'%s','variant':'%s','light':['sun'],'verdict':'no'}";
    story_text(story_fault(h, "card.put", -32001, unknown, coat, "duller"), "field", "variant");
    story_text(story_fault(h, "card.put", -32001, unknown, "mid", "standard"), "field", "coat");
    story_text(story_fault(h, "card.list", -32005, "{'verdict':'fine'}"), "field", "verdict");
    story_text(story_fault(h, "card.match", -32005, "{'formula':'TS-1','coat':'%s','verdict':'fine'}", coat), "field",
               "verdict");
}

/* A name tapped stands for the painter of what is begun, over a restart too; it is gone with the sign-out. */
static void who_is_signed_in_paints(void **state)
{
    struct harness *h = *state;
    story_text(story_fault(h, "people.sign_in", -32001, "{'station':'bench','painter':'Ines'}"), "field", "painter");
    json_t *p = story_call(h, "people.put", "{'painter':'Ines','glance':2}");
    story_number(p, "glance", 2);
    story_text(p, "last", "");
    story_text(story_call(h, "people.sign_in", "{'station':'bench','painter':'Ines'}"), "signed_in", "Ines");
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    harness_start(h);
    story_is(h, "signed_in", "Ines");
    json_t *s = story_act(h, "begin", "{'formula':'TS-1','grams':100}");
    story_text(s, "painter", "Ines");
    story_text(story_call(h, "people.sign_out", "{'station':'bench'}"), "signed_in", "");
    assert_int_equal(strlen(json_string_value(story_at(story_call(h, "people.list", "{}"), "people.0.last"))), 29);
    story_call(h, "people.put", "{'painter':'Ines','retired':true}");
    story_text(story_fault(h, "people.sign_in", -32005, "{'station':'bench','painter':'Ines'}"), "field", "painter");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_order_of_three_coats, story_begin, story_end),
        cmocka_unit_test_setup_teardown(what_an_order_cannot_be, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_order_outlives_its_variant, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_card_that_matched, story_begin, story_end),
        cmocka_unit_test_setup_teardown(who_is_signed_in_paints, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
