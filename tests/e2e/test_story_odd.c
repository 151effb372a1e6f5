/* Sentences of the contract that stand between the stories: undo after a loss, a cup or scale too small, a formula with
 * another product, what a record holds, a second watcher. World: story.h. */
#include "tests/e2e/raw_client.h"
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

static int small_scale(void **state)
{
    return harness_begin(state, &(struct harness_setup){.data = "tests/data/story",
                                                        .station_lines = "d_g = 0.01\ncapacity_g = 134\n"
                                                                         "tolerance_g = 0.05\n"});
}

/* A retare in between does not hinder an undo: B's 30 g and the 5 of C on top of it belong to B again. But once 8 of
 * 80 g are lost, no accept before it can be taken back as if it were all there. */
static void undo_after_a_loss(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 50);
    story_pour(h, 30);
    harness_weigh(h, "bench", 115);
    story_act(h, "retare", "{'uncounted_g':5}");
    story_now(h, "C", 20, 5);
    story_refused(h, "undo", -32004, "why", "uncounted", "{}"); /* they would be counted as B */
    story_act(h, "retare", "{'uncounted_g':0}");
    story_act(h, "undo", "{}");
    story_now(h, "B", 30, 30);
    story_act(h, "retare", "{'uncounted_g':30}");
    story_act(h, "accept", "{}");
    story_now(h, "C", 20, 0);
    story_act(h, "retare", "{'lost_g':8,'uncounted_g':0}");
    story_near(h, "steps.0.poured_g", 45);
    story_refused(h, "undo", -32004, "why", "nothing", "{}");
    story_refused(h, "remedy", -32004, "state", "pour", "{'choice':'leave'}");
}

/* less, taken back: 100 g once more. Short for another tin, taken back: nothing counted. */
static void undo_of_a_short_tin(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_add(h, 40);
    story_act(h, "accept", "{'short':'less'}");
    story_near(h, "wanted_g", 80);
    story_act(h, "undo", "{}");
    story_near(h, "wanted_g", 100);
    story_now(h, "A", 50, 40);
    story_act(h, "accept", "{'short':true,'lot':'A1'}");
    story_step(h, 0, "A", 50, 40, "again");
    story_act(h, "undo", "{}");
    story_step(h, 0, "A", 50, 0, "now");
    story_now(h, "A", 50, 40);
    story_pour(h, 10);
    story_now(h, "B", 30, 0);
    /* A short asked where nothing lacks is an accept like others. */
    story_add(h, 30);
    story_act(h, "accept", "{'short':true}");
    story_now(h, "C", 20, 0);
}

/* The scale holds 134 g with the cup of 30: 104 g. A 52.2 ends at 104.04 or so with its 52.2 + 31.16 + 20.78. */
static void a_scale_too_small(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 52.3);
    /* k = 52.3/0.5025 = 104.08 */
    story_is(h, "state", "over");
    assert_true(json_is_false(story_at(harness_screen(h, "bench"), "remedies.grow.fits")));
    story_refused(h, "remedy", -32008, "why", "scale", "{'choice':'grow'}");
    story_act(h, "remedy", "{'choice':'leave'}");
    story_now(h, "B", 30, 0);
}

/* TS-4 with SINGLE-W, 3:1 by weight and no reducer: 90 g of colour take 30 of hardener. Also by its name alone with ml:
 * 1 g of colour is 0.92 mL and 1/3 g of hardener 0.27778: 119.778 mL are 100 g. */
static void a_formula_with_a_product(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-4','product':'SINGLE-W','grams':90}");
    story_batch(h, id);
    story_step(h, 0, "P", 54, 0, "now");
    story_step(h, 1, "Q", 36, 0, "next");
    story_step(h, 2, "H", 30, 0, "next");
    assert_int_equal(json_array_size(json_object_get(harness_screen(h, "bench"), "steps")), 3);
    story_pour(h, 54);
    story_pour(h, 36);
    story_pour(h, 30);
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(b, "total_g", 120);
    assert_true(json_is_null(json_object_get(b, "reducer")));
    harness_weigh(h, "bench", 0);
    story_cup(h, "{'formula':'TS-4','product':'SINGLE-W','ml':119.778}");
    story_near(h, "wanted_g", 100);
    story_clear(h);
    story_refused(h, "begin", -32005, NULL, NULL, "{'formula':'TS-4','grams':100,'have':[{'batch':'%s','grams':10}]}",
                  id);
}

/* A 50, B 30, C 20, reducer 7.92: VOC 25 + 12 + 12 + 7.92 = 56.92 g in 108.9 mL: 522.7 g/L. Cost 1.90 + 0.04. */
static void the_record(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-1','grams':100,'order':'RO-1','painter':'Ane'}");
    story_batch(h, id);
    story_pour(h, 50.1);
    story_pour(h, 30);
    story_pour(h, 20);
    story_pour(h, 7.92);
    story_act(h, "finish", "{}");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    const char *const texts[][2] = {{"state", "finished"}, {"formula", "TS-1"},  {"variant", "standard"},
                                    {"coat", "base"},      {"finish", "solid"},  {"order", "RO-1"},
                                    {"painter", "Ane"},    {"station", "bench"}, {"repeat_of", ""},
                                    {"currency", "EUR"},   {"batch", id}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        story_text(b, texts[i][0], texts[i][1]);
    story_number(b, "parts.0.poured_g", 50.1);
    story_number(b, "parts.0.share", 0.5);
    assert_true(fabs(json_number_value(story_at(b, "parts.0.deviation_pct"))) < 0.25);
    story_number(b, "total_g", 108.02);
    story_number(b, "total_ml", 109);
    story_number(b, "voc.voc_g", 56.97);
    story_number(b, "voc.actual_g_per_l", 56.97 / 0.109);
    story_number(b, "voc.regulatory_g_per_l", 56.97 / 0.109);
    story_number(b, "cost", 1.94);
    story_number(b, "formula_revision", 1);
    assert_true(json_string_length(json_object_get(b, "begun")) > 20 &&
                json_string_length(json_object_get(b, "finished")) > 20);
    json_t *row = story_at(story_call(h, "batch.find", "{'order':'RO-1'}"), "batches.0");
    story_text(row, "batch", id);
    story_text(row, "name", "Story one");
    story_number(row, "total_g", 108.02);
    assert_non_null(json_object_get(row, "left_g"));
    assert_non_null(json_object_get(row, "place"));
    assert_non_null(json_object_get(row, "finished"));
}

/* All that a second watcher gets: no screen is older than one before it, and the last has the last revision. */
static void a_second_watcher(void **state)
{
    struct harness *h = *state;
    struct raw_client *c = raw_client_open(h);
    assert_true(
        raw_client_say(c, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":{\"station\":\"bench\"}}"));
    json_decref(raw_client_answer(c));
    story_cup(h, plain);
    story_pour(h, 52);
    story_act(h, "undo", "{}");
    story_act(h, "hold", "{}");
    double last = harness_number(h, "bench", "revision"), seen = -1;
    for (int lines = 0; seen < last && lines < 5000; lines++) {
        json_t *note = raw_client_answer(c);
        assert_non_null(note);
        if (strcmp(json_string_value(json_object_get(note, "method")), "screen") == 0) {
            double revision = json_number_value(story_at(note, "params.revision"));
            assert_true(revision >= seen);
            assert_true(revision <= seen + 1 || seen < 0); /* each one is delivered */
            seen = revision;
        }
        json_decref(note);
    }
    assert_true(seen == last);
    raw_client_close(c);
}

/* Zero pressed by hand between two steps, with the cup on: the step to 0 and, when the cup is lifted and put back, the
 * same difference again. What is poured after is counted from there. */
static void zeroed_between_steps(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 50);
    harness_weigh(h, "bench", 0);
    harness_weigh(h, "bench", -80);
    harness_weigh(h, "bench", 0);
    story_look(h);
    assert_true(json_is_false(json_object_get(harness_screen(h, "bench"), "lifted")));
    story_now(h, "B", 30, 0);
    story_near(h, "now.scale_shows_g", 30);
    story_pour(h, 30);
    story_step(h, 1, "B", 30, 30, "done");
    story_now(h, "C", 20, 0);
    const char *not_now[] = {"finish", "begin", "resume"};
    const char *params[] = {"{}", plain, "{'batch':'1'}"};
    for (size_t i = 0; i < 3; i++)
        story_refused(h, not_now[i], -32004, "state", "pour", "%s", params[i]);
}

/* A coat may name one toner 64 times; what a leftover brings beside it must find its room, or be refused. */
static void one_toner_named_64_times_with_have(void **state)
{
    struct harness *h = *state;
    json_t *parts = json_array();
    for (int i = 0; i < 64; i++)
        json_array_append_new(parts, json_pack("{s:s, s:i}", "toner", "A", "parts", 1));
    char *text = json_dumps(parts, JSON_COMPACT);
    for (char *p = text; *p; p++)
        *p = *p == '"' ? '\'' : *p;
    json_decref(parts);
    story_call(h, "formula.put",
               "{'code':'TS-64','name':'Many','finish':'solid','line':'solvent','coats':[{'coat':'base',"
               "'variant':'standard','parts':%s}]}",
               text);
    free(text);
    json_t *screen = story_act(h, "begin",
                               "{'formula':'TS-64','grams':640,'reduce_pct':0,'have':[{'toner':'B','grams':1},{'toner':"
                               "'C','grams':1},{'toner':'D','grams':1}]}");
    assert_int_equal(json_array_size(json_object_get(screen, "steps")), 67);
}

/* 45 g is no cup of the list (25 and 30), nor is a cup onto which 12 g came; who is sure says so. */
static void a_doubtful_cup_asks(void **state)
{
    struct harness *h = *state;
    story_act(h, "begin", "%s", plain);
    harness_weigh(h, "bench", 45);
    story_refused(h, "accept", -32004, "why", "doubtful_cup", "{}");
    story_look(h);
    story_is(h, "next.said.code", "cup_unlike");
    harness_weigh(h, "bench", 0);
    harness_weigh(h, "bench", 13);
    story_look(h);
    harness_weigh(h, "bench", 25); /* a cup of the list, but 12 g of it came later */
    story_refused(h, "accept", -32004, "why", "doubtful_cup", "{}");
    story_look(h);
    story_is(h, "next.said.code", "cup_added");
    story_act(h, "accept", "{'sure':true}");
    story_now(h, "A", 50, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_doubtful_cup_asks, story_begin, story_end),
        cmocka_unit_test_setup_teardown(one_toner_named_64_times_with_have, story_begin, story_end),
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(undo_after_a_loss),
        STORY(undo_of_a_short_tin),
        cmocka_unit_test_setup_teardown(a_scale_too_small, small_scale, story_end),
        STORY(a_formula_with_a_product),
        STORY(the_record),
        STORY(a_second_watcher),
        STORY(zeroed_between_steps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
