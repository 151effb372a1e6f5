/* The cup after the job: weighed back, put on the shelf, poured from again, thrown away. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

/* 100 g of TS-1 in a cup of 30 g, finished; its number. */
static void mixed(struct harness *h, char id[16])
{
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
}

/* The cup stood on the scale when it was begun, so its tare is known: 72 g with paint are 42 g left. A week later it is
 * weighed again after a touch-up of order 4417; a new batch takes 10 g of it. */
static void a_cup_is_weighed_back_and_poured_from(void **state)
{
    struct harness *h = *state;
    char id[16];
    mixed(h, id);
    json_t *r = story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':72,'request':'back-1'}", id);
    story_number(r, "left_g", 42);
    story_number(r, "used_g", 58);
    story_text(r, "shelf.place", "");
    r = story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':50,'request':'back-1'}", id);
    story_number(r, "left_g", 42); /* the same request: the first answer */
    r = story_call(h, "batch.shelve", "{'batch':'POISE:%s','place':'shelf 2','use_by':'2027-05-01'}", id);
    story_text(r, "shelf.place", "shelf 2");
    story_text(r, "shelf.use_by", "2027-05-01");
    story_number(r, "shelf.left_g", 42);
    r = story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':60,'order':'4417'}", id);
    story_number(r, "used_g", 12);
    story_act(h, "begin", "{'formula':'TS-1','grams':50,'reduce_pct':0,'have':[{'batch':'%s','grams':10}]}", id);
    r = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(r, "shelf.left_g", 20);
    story_text(r, "shelf.place", "shelf 2");
    assert_int_equal(strlen(json_string_value(story_at(r, "shelf.weighed"))), 29);
    json_t *found = story_call(h, "batch.find", "{'place':'shelf 2'}");
    story_number(found, "batches.0.left_g", 20);
    story_text(found, "batches.0.use_by", "2027-05-01");
    story_act(h, "scrap", "{'why':'the story ends'}");
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    harness_start(h);
    r = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(r, "shelf.left_g", 20);
}

/* 100 g were mixed and nobody weighed the cup back: two batches cannot both take 60 g of it. What it may still hold is
 * a guess, so no work-off counts on it. */
static void a_record_is_taken_once(void **state)
{
    struct harness *h = *state;
    char id[16];
    mixed(h, id);
    story_call(h, "batch.shelve", "{'batch':'%s','place':'B 3'}", id);
    story_act(h, "begin", "{'formula':'TS-1','grams':80,'reduce_pct':0,'have':[{'batch':'%s','grams':60}]}", id);
    story_act(h, "scrap", "{'why':'the story ends'}");
    story_text(story_refused(h, "begin", -32005, "code", "have_left",
                             "{'formula':'TS-1','grams':80,'reduce_pct':0,'have':[{'batch':'%s','grams':60}]}", id),
               "field", "have");
    json_t *r = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(r, "shelf.left_g", 40);
    story_text(r, "shelf.weighed", "");
    r = story_call(h, "mix.workoff", "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_text(r, "why.0", "unweighed");
    r = story_call(h, "mix.plan", "{'formula':'TS-1','grams':30,'reduce_pct':0}");
    story_text(r, "touch_up.said.code", "touch_up_unweighed");
    story_number(r, "touch_up.left_g", 40);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':55}", id);
    r = story_call(h, "mix.workoff", "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_number(r, "have.0.grams", 25);
}

/* What is typed wrongly changes nothing: a lid left on (130 g), a cup lighter than its tare, a batch still open. */
static void what_cannot_be_is_refused(void **state)
{
    struct harness *h = *state;
    char id[16];
    mixed(h, id);
    story_text(story_fault(h, "batch.weigh_back", -32005, "{'batch':'%s','gross_g':130.1}", id), "field", "gross_g");
    story_text(story_fault(h, "batch.weigh_back", -32005, "{'batch':'%s','gross_g':29}", id), "field", "gross_g");
    story_text(story_fault(h, "batch.weigh_back", -32005, "{'batch':'%s'}", id), "field", "gross_g");
    story_text(story_fault(h, "batch.weigh_back", -32001, "{'batch':'99','gross_g':50}"), "field", "batch");
    story_text(story_fault(h, "batch.shelve", -32005, "{'batch':'%s','place':''}", id), "field", "place");
    story_text(story_fault(h, "batch.shelve", -32005, "{'batch':'%s','place':'%041d'}", id, 0), "field", "place");
    story_text(story_fault(h, "batch.shelve", -32602, "{'batch':'%s'}", id), "field", "place");
    story_text(story_fault(h, "batch.shelve", -32005, "{'batch':'%s','place':'a','use_by':'May'}", id), "field",
               "use_by");
    story_text(story_fault(h, "batch.discard", -32005, "{'batch':'%s','grams':101}", id), "field", "grams");
    story_cup(h, plain);
    story_batch(h, id);
    story_text(story_fault(h, "batch.shelve", -32004, "{'batch':'%s','place':'a'}", id), "state", "open");
    story_text(story_fault(h, "batch.weigh_back", -32004, "{'batch':'%s','gross_g':40}", id), "state", "open");
    story_clear(h);
    assert_int_equal(json_array_size(json_object_get(story_call(h, "shelf.list", "{}"), "cups")), 0);
}

/* Two cups: one past its date, one fresh. The round names the first; it is thrown away in two parts, and then nothing
 * is left to throw away. */
static void the_round_finds_what_is_past_its_date(void **state)
{
    struct harness *h = *state;
    char old[16], fresh[16];
    mixed(h, old);
    mixed(h, fresh);
    story_call(h, "batch.shelve", "{'batch':'%s','place':'shelf 1','use_by':'2020-01-31'}", old);
    story_call(h, "batch.shelve", "{'batch':'%s','place':'shelf 2','use_by':'2099-01-31'}", fresh);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':80}", fresh);
    json_t *all = story_call(h, "shelf.list", "{}");
    assert_int_equal(json_array_size(json_object_get(all, "cups")), 2);
    story_text(all, "cups.0.batch", old);
    story_text(all, "cups.0.why", "past");
    story_text(all, "cups.1.why", "");
    story_number(all, "cups.1.left_g", 50);
    story_text(all, "next", "");
    json_t *page = story_call(h, "shelf.list", "{'limit':1}");
    story_text(page, "next", old);
    story_text(story_call(h, "shelf.list", "{'limit':1,'after':'%s'}", old), "cups.0.batch", fresh);
    json_t *due = story_call(h, "shelf.list", "{'due':true}");
    assert_int_equal(json_array_size(json_object_get(due, "cups")), 1);
    story_text(due, "cups.0.place", "shelf 1");
    json_t *r = story_call(h, "batch.discard", "{'batch':'%s','grams':30,'why':'skin on it'}", old);
    story_number(r, "waste_g", 30);
    story_number(r, "left_g", 70);
    story_text(r, "said.code", "discarded");
    r = story_call(h, "batch.discard", "{'batch':'%s','request':'gone'}", old);
    story_number(r, "waste_g", 70);
    story_number(r, "left_g", 0);
    story_number(story_call(h, "batch.discard", "{'batch':'%s','request':'gone'}", old), "waste_g", 70);
    story_text(story_fault(h, "batch.discard", -32004, "{'batch':'%s'}", old), "why", "nothing");
    assert_int_equal(json_array_size(json_object_get(story_call(h, "shelf.list", "{'due':true}"), "cups")), 0);
    story_number(story_call(h, "batch.get", "{'batch':'%s'}", old), "waste_g", 100);
}

/* 42 g are left of one cup and 30 g of the other: no more can be begun from them, in one entry or in two, and what a
 * batch took is gone for the next. */
static void no_more_than_is_left(void **state)
{
    struct harness *h = *state;
    char one[16], other[16];
    mixed(h, one);
    mixed(h, other);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':72}", one);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':60}", other);
    const json_t *data = story_refused(h, "begin", -32005, "code", "have_left",
                                       "{'formula':'TS-1','grams':200,'have':[{'batch':'%s','grams':43}]}", one);
    story_number((json_t *)(uintptr_t)data, "args.left_g", 42);
    data = story_refused(h, "begin", -32005, "code", "have_left",
                         "{'formula':'TS-1','grams':200,'have':[{'batch':'%s','grams':30},{'batch':'%s','grams':13}]}",
                         one, one);
    story_number((json_t *)(uintptr_t)data, "args.left_g", 12);
    story_fault(h, "mix.plan", -32005, "{'formula':'TS-1','grams':200,'have':[{'batch':'%s','grams':43}]}", one);
    static const char odd[] = "{'formula':'TS-1','grams':200,'have':[{'batch':'%s','grams':'7'}]}";
    story_text(story_fault(h, "mix.plan", -32602, odd, one), "field", "grams"); /* a type, not a weight */
    story_act(
        h, "begin",
        "{'formula':'TS-1','grams':100,'reduce_pct':0,'have':[{'batch':'%s','grams':42},{'batch':'%s','grams':20}]}",
        one, other);
    harness_weigh(h, "bench", 92); /* the cup of 30 g with both in it */
    story_act(h, "accept", "{}");
    story_step(h, 0, "A", 50, 31, "now");
    story_number(story_call(h, "batch.get", "{'batch':'%s'}", one), "shelf.left_g", 0);
    story_number(story_call(h, "batch.get", "{'batch':'%s'}", other), "shelf.left_g", 10);
    story_pour(h, 19);
    story_pour(h, 11.4);
    story_pour(h, 7.6);
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    story_refused(h, "begin", -32005, "code", "have_used_up",
                  "{'formula':'TS-1','grams':100,'have':[{'batch':'%s','grams':1}]}", one);
    json_t *cups = story_call(h, "shelf.list", "{}");
    story_text(cups, "cups.0.batch", other);
    assert_int_equal(json_array_size(json_object_get(cups, "cups")), 1);
}

/* 42 g of it stand on shelf 2: a plan of 40 g says so, one of 50 g, of the darker variant or past the date does not. */
static void a_touch_up_before_a_remix(void **state)
{
    struct harness *h = *state;
    char id[16];
    mixed(h, id);
    json_t *p = story_call(h, "mix.plan", "{'formula':'TS-1','grams':40}");
    story_text(p, "touch_up", ""); /* it stands nowhere */
    story_call(h, "batch.shelve", "{'batch':'%s','place':'B 3'}", id);
    p = story_call(h, "mix.plan", "{'formula':'TS-1','grams':40}");
    story_text(p, "touch_up.said.code", "touch_up_unweighed");
    story_number(p, "touch_up.left_g", 100);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':72}", id);
    p = story_call(h, "mix.plan", "{'formula':'TS-1','grams':40}");
    story_text(p, "touch_up.batch", id);
    story_number(p, "touch_up.left_g", 42);
    story_text(p, "touch_up.said.code", "touch_up_at");
    story_call(h, "batch.shelve", "{'batch':'%s','place':'shelf 2'}", id);
    p = story_call(h, "mix.plan", "{'repeat':'%s','grams':40}", id);
    story_text(p, "touch_up.place", "shelf 2");
    story_text(p, "touch_up.said.code", "touch_up_at");
    story_text(story_call(h, "mix.plan", "{'formula':'TS-1','grams':50}"), "touch_up", "");
    story_text(story_call(h, "mix.plan", "{'formula':'TS-1','variant':'darker','grams':40}"), "touch_up", "");
    assert_true(json_is_true(story_at(story_call(h, "batch.find", "{}"), "batches.0.touch_up")));
    story_call(h, "batch.shelve", "{'batch':'%s','place':'shelf 2','use_by':'2020-01-31'}", id);
    story_text(story_call(h, "mix.plan", "{'formula':'TS-1','grams':40}"), "touch_up", "");
    assert_true(json_is_false(story_at(story_call(h, "batch.find", "{}"), "batches.0.touch_up")));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_cup_is_weighed_back_and_poured_from, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_record_is_taken_once, story_begin, story_end),
        cmocka_unit_test_setup_teardown(what_cannot_be_is_refused, story_begin, story_end),
        cmocka_unit_test_setup_teardown(no_more_than_is_left, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_touch_up_before_a_remix, story_begin, story_end),
        cmocka_unit_test_setup_teardown(the_round_finds_what_is_past_its_date, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
