/* Two benches that act in the same moment, before what either does is on disk: what one takes the other does not get.
 * World: story.h. */
#include "tests/e2e/story.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* Sends the call of one of two benches that ask in one breath. */
static int asks_for(struct harness *h, const char *station, const char *id)
{
    json_int_t revision = json_integer_value(json_object_get(harness_screen(h, station), "revision"));
    return harness_send(
        h, "batch.resume",
        json_pack("{s:s,s:I,s:s,s:s}", "station", station, "revision", revision, "request", station, "batch", id));
}

/* Held, and asked for at two benches before either write is on disk: one has it, the other is told where it is, and the
 * journal holds one taking up. */
static void held_batch_asked_for_at_two_benches(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_batch(h, id);
    story_act(h, "hold", "{}");
    int first = asks_for(h, "bench", id), second = asks_for(h, "second", id);
    assert_non_null(json_object_get(harness_answer(h, first), "result"));
    json_t *refusal = harness_answer(h, second);
    story_number(refusal, "error.code", -32004);
    story_text(refusal, "error.data.why", "not_held");
    story_text(refusal, "error.data.field", "batch");
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", id), "state", "open");
    harness_stop(h, SIGKILL);
    harness_start(h);
    story_is(h, "batch", id);
    assert_string_equal(harness_text(h, "second", "state"), "idle");
}

/* Sends the beginning of the first coat of order 4418. */
static int begins_coat(struct harness *h, const char *station)
{
    return harness_send(
        h, "batch.begin",
        json_pack("{s:s,s:s,s:s,s:i}", "station", station, "request", station, "order", "4418", "coat_n", 1));
}

/* One mixes the edges, the other the outsides, though neither is on disk when the other begins. */
static void two_benches_begin_the_halves_of_a_coat(void **state)
{
    struct harness *h = *state;
    story_call(h, "toner.put", "{'id':'CX','role':'clear','line':'two-pack','density_g_per_ml':1,'solids_vol_pct':45}");
    story_call(h, "toner.put",
               "{'id':'HX','role':'hardener','line':'two-pack','density_g_per_ml':1.2,'solids_vol_pct':60}");
    story_call(h, "product.put",
               "{'id':'CP','role':'clear','line':'two-pack','ratio':'2:1','basis':'volume','film_um':55,"
               "'parts':['CX','HX']}");
    story_call(
        h, "order.put",
        "{'order':'4418','coats':[{'coat':'clear','product':'CP','panels':[{'name':'door','area_m2':1,'coats':2},"
        "{'name':'jamb','area_m2':0.2,'edges':true}]}]}");
    int first = begins_coat(h, "bench"), second = begins_coat(h, "second");
    story_text(harness_answer(h, first), "result.said.code", "begun_edges");
    story_text(harness_answer(h, second), "result.said.code", "begun_outsides");
}

/* A premix of PX-1, poured to its end: B 3.5, C 1.4, A 11.43 (test_story_premix.c). */
static void pour_premix(struct harness *h, const char *station)
{
    static const double on_scale_g[] = {30, 33.5, 34.9, 46.33};
    story_act_at(h, station, "begin", "{'premix':{'formula':'PX-1','variant':'standard','coat':'base','grams':30.42}}");
    for (size_t i = 0; i < sizeof on_scale_g / sizeof *on_scale_g; i++) {
        harness_weigh(h, station, on_scale_g[i]);
        story_act_at(h, station, "accept", "{}");
    }
}

static int keeps_as(struct harness *h, const char *station, const char *id)
{
    json_int_t revision = json_integer_value(json_object_get(harness_screen(h, station), "revision"));
    return harness_send(h, "batch.finish",
                        json_pack("{s:s,s:I,s:s,s:{s:s}}", "station", station, "revision", revision, "request", station,
                                  "keep", "id", id));
}

/* The second would have written over the first one's composition. */
static void two_premixes_kept_under_one_name(void **state)
{
    struct harness *h = *state;
    story_call(h, "formula.put",
               "{'code':'PX-1','finish':'solid','line':'solvent','coats':[{'coat':'base','variant':'standard',"
               "'parts':[{'toner':'A','parts':30},{'toner':'B','parts':0.3},{'toner':'C','parts':0.12}]}]}");
    pour_premix(h, "bench");
    pour_premix(h, "second");
    int first = keeps_as(h, "bench", "PM"), second = keeps_as(h, "second", "pm");
    assert_non_null(json_object_get(harness_answer(h, first), "result"));
    json_t *refusal = harness_answer(h, second);
    story_number(refusal, "error.code", -32005);
    story_text(refusal, "error.data.why", "used");
    story_number(story_call(h, "toner.get", "{'toner':'PM'}"), "revision", 1);
}

/* 100 g stand in cup 1 by the scale; 80 of them go into a beginning that is not on disk yet. */
static int takes_80_of_cup_1(struct harness *h)
{
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "finish", "{}");
    story_call(h, "batch.weigh_back", "{'batch':'1','gross_g':130}");
    return harness_send(h, "batch.begin",
                        json_pack("{s:s,s:s,s:s,s:i,s:i,s:[{s:s,s:i}]}", "station", "second", "request", "takes",
                                  "formula", "TS-1", "grams", 200, "reduce_pct", 0, "have", "batch", "1", "grams", 80));
}

/* What says where a cup stands writes its row whole, and must not put back what was just taken. */
static void a_cup_is_shelved_while_it_is_poured_from(void **state)
{
    struct harness *h = *state;
    int begin = takes_80_of_cup_1(h);
    int shelve = harness_send(h, "batch.shelve", json_pack("{s:s,s:s}", "batch", "1", "place", "rack 2"));
    assert_non_null(json_object_get(harness_answer(h, begin), "result"));
    story_number(harness_answer(h, shelve), "result.shelf.left_g", 20);
    story_number(story_call(h, "shelf.list", "{}"), "cups.0.left_g", 20);
}

/* Only what is left is waste. */
static void a_cup_is_thrown_away_while_it_is_poured_from(void **state)
{
    struct harness *h = *state;
    int begin = takes_80_of_cup_1(h);
    int discard = harness_send(h, "batch.discard", json_pack("{s:s}", "batch", "1"));
    assert_non_null(json_object_get(harness_answer(h, begin), "result"));
    story_number(harness_answer(h, discard), "result.waste_g", 20);
    assert_int_equal(json_array_size(json_object_get(story_call(h, "shelf.list", "{}"), "cups")), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define TWO(f) cmocka_unit_test_setup_teardown(f, story_begin_two, story_end)
        TWO(held_batch_asked_for_at_two_benches),      TWO(two_benches_begin_the_halves_of_a_coat),
        TWO(a_cup_is_shelved_while_it_is_poured_from), TWO(a_cup_is_thrown_away_while_it_is_poured_from),
        TWO(two_premixes_kept_under_one_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
