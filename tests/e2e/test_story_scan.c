/* What a bar-code reader reads: the right tin and the wrong one, a cup, an order, a person. World: story.h, with codes
 * for A and B. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static int begin(void **state)
{
    int failed = story_begin(state);
    if (failed)
        return failed;
    story_call(*state, "toner.put",
               "{'id':'A','name':'Alder','line':'solvent','density_g_per_ml':1.0,"
               "'codes':['4012001*','ALDER']}");
    story_call(*state, "toner.put",
               "{'id':'B','name':'Birch','line':'solvent','density_g_per_ml':1.25,"
               "'codes':['4012002*']}");
    return 0;
}

/* The ready call is sent as it stands, with a request alone. */
static json_t *scan(struct harness *h, const char *code)
{
    return story_call(h, "scan", "{'code':'%s','station':'bench'}", code);
}

static void the_right_tin_gives_its_lot(void **state)
{
    struct harness *h = *state;
    char id[16];
    json_t *s;
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_batch(h, id);
    s = scan(h, "4012001A17");
    story_text(s, "kind", "tin");
    story_text(s, "toner", "A");
    story_text(s, "lot", "A17");
    story_text(s, "act.method", "batch.tin");
    story_text(s, "act.params.code", "4012001A17");
    story_text(s, "said.code", "tin_right_lot");
    story_act(h, "tin", "{'code':'4012001A17','request':'tin-1'}");
    story_is(h, "now.lot", "A17");
    story_is(h, "said.code", "tin_right_lot");
    story_is(h, "steps.0.lot", "");                                 /* nothing is poured of it yet */
    story_act(h, "tin", "{'code':'4012001A17','request':'tin-1'}"); /* the same call again moves nothing */
    /* Another tin than the open step's: refused, and nothing is kept of it. */
    story_text(scan(h, "4012002B3"), "said.code", "wrong_tin");
    assert_true(json_is_null(story_at(scan(h, "4012002B3"), "act")));
    json_t *data = story_refused(h, "tin", -32004, "why", "wrong_tin", "{'code':'4012002B3'}");
    story_text(data, "toner", "B");
    story_text(data, "args.asked", "A");
    story_text(data, "state", "pour");
    story_refused(h, "tin", -32001, "field", "code", "{'code':'999'}");
    story_refused(h, "tin", -32001, "field", "toner", "{'toner':'Z9'}");
    story_refused(h, "tin", -32602, "field", "code", "{}");
    story_refused(h, "tin", -32602, "field", "code", "{'code':'ALDER','toner':'A'}");
    story_is(h, "now.lot", "A17");
    /* A restart, a lifted cup, a hold and a resume leave it standing there. */
    harness_stop(h, SIGKILL);
    harness_start(h);
    story_is(h, "now.lot", "A17");
    harness_weigh(h, "bench", 30);
    story_add(h, 20);
    story_act(h, "hold", "{}"); /* counts 20 g, of that tin */
    story_act(h, "resume", "{'batch':'%s'}", id);
    story_act(h, "accept", "{}");
    story_is(h, "now.lot", "A17");
    story_is(h, "steps.0.lot", "A17");
    story_pour(h, 30);
    story_is(h, "now.lot", "");
    story_is(h, "steps.0.lot", "A17");
    /* Undone, the tin stands there again; another lot goes beside the first. */
    story_act(h, "undo", "{}");
    story_is(h, "now.lot", "A17");
    story_act(h, "tin", "{'toner':'A','lot':'A18'}");
    story_act(h, "accept", "{}");
    story_is(h, "steps.0.lot", "A17, A18");
    /* A lot that is typed holds. */
    story_act(h, "tin", "{'code':'4012002B3'}");
    story_add(h, 30);
    story_act(h, "accept", "{'lot':'B4'}");
    story_is(h, "steps.1.lot", "B4");
    story_act(h, "tin", "{'toner':'c'}");
    story_is(h, "said.code", "tin_right");
    story_act(h, "scrap", "{'why':'the story ends'}");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_text(b, "parts.0.lot", "A17, A18");
    size_t tins = 0, i;
    json_t *e;
    json_array_foreach(json_object_get(b, "events"), i, e) tins +=
        strcmp(json_string_value(json_object_get(e, "what")), "tin") == 0;
    assert_int_equal(tins, 4);
    story_refused(h, "tin", -32004, "state", "idle", "{'code':'ALDER'}");
}

/* Whoever opens a second tin in mid-step and scans it poured out of both; one that was put back full gave nothing. */
static void a_second_tin_in_mid_step_is_told_beside_the_first(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_act(h, "tin", "{'toner':'A','lot':'A20'}");
    story_act(h, "tin", "{'toner':'A','lot':'A21'}");
    story_add(h, 12);
    story_act(h, "tin", "{'toner':'A','lot':'A21'}");
    story_act(h, "tin", "{'toner':'A','lot':'A22'}");
    story_is(h, "now.lot", "A22");
    story_add(h, 38);
    harness_stop(h, SIGKILL);
    harness_start(h);
    harness_weigh(h, "bench", 80);
    story_act(h, "accept", "{}");
    story_is(h, "steps.0.lot", "A21, A22");
    story_act(h, "undo", "{}");
    story_is(h, "now.lot", "A22");
    story_act(h, "accept", "{}");
    story_is(h, "steps.0.lot", "A21, A22");
    story_clear(h);
}

/* What a hold counts has left its tin as well, and that of the lot that was scanned. */
static void a_hold_takes_from_the_tin(void **state)
{
    struct harness *h = *state;
    story_call(h, "stock.receive", "{'toner':'A','grams':100,'lot':'A17'}");
    story_call(h, "stock.receive", "{'toner':'A','grams':100,'lot':'A18'}");
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_act(h, "tin", "{'code':'4012001A18'}");
    story_add(h, 20);
    story_act(h, "hold", "{}");
    json_t *stock = story_at(story_call(h, "stock.list", "{'toner':'A'}"), "stock.0");
    story_number(stock, "lots.0.grams", 100);
    story_number(stock, "lots.1.grams", 80);
}

static void a_cup_an_order_a_person(void **state)
{
    struct harness *h = *state;
    char id[16];
    json_t *s;
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_batch(h, id);
    story_act(h, "hold", "{}");
    s = story_call(h, "scan", "{'code':'POISE:%s','station':'bench'}", id);
    story_text(s, "kind", "cup");
    story_text(s, "batch", id);
    story_text(s, "toner", "");
    story_text(s, "act.method", "batch.resume");
    s = story_call(h, "scan", "{'code':' #%s\\r','station':null}", id);
    story_text(s, "batch", id);
    assert_true(json_is_null(story_at(s, "act")));
    story_call(h, "order.put",
               "{'order':'4417','vehicle':'blue estate','coats':[{'formula':'TS-1','grams':50},"
               "{'formula':'TS-1','grams':60}]}");
    s = scan(h, "4417");
    story_text(s, "kind", "order");
    story_text(s, "order", "4417");
    story_text(s, "act.method", "batch.begin");
    story_number(s, "act.params.coat_n", 1);
    story_text(s, "said.code", "scan_order_of");
    story_call(h, "people.put", "{'painter':'Ines'}");
    s = scan(h, "ines");
    story_text(s, "kind", "person");
    story_text(s, "painter", "Ines");
    story_text(s, "act.method", "people.sign_in");
    story_act(h, "begin", "{'order':'4417','coat_n':1,'reduce_pct':0}");
    assert_true(json_is_null(story_at(scan(h, "4417"), "act"))); /* being mixed */
    assert_true(json_is_null(story_at(scan(h, "4012001x"), "act")));
    story_text(scan(h, "4012001x"), "said.code", "scan_tin_lot");
    story_text(story_fault(h, "scan", -32001, "{'code':'POISE:99999'}"), "field", "code");
    story_text(story_fault(h, "scan", -32001, "{'code':'toner','station':'bench'}"), "field", "code");
    story_text(story_fault(h, "scan", -32001, "{'code':'ALDER','station':'attic'}"), "field", "station");
    story_text(story_fault(h, "scan", -32602, "{'station':'bench'}"), "field", "code");
    story_text(story_fault(h, "scan", -32602, "{'code':'  '}"), "field", "code");
    story_act(h, "scrap", "{'why':'the story ends'}");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(the_right_tin_gives_its_lot, begin, story_end),
        cmocka_unit_test_setup_teardown(a_second_tin_in_mid_step_is_told_beside_the_first, begin, story_end),
        cmocka_unit_test_setup_teardown(a_hold_takes_from_the_tin, begin, story_end),
        cmocka_unit_test_setup_teardown(a_cup_an_order_a_person, begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
