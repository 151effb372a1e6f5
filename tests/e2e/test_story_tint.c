/* A toner added by eye re-bases the recipe; a toner named twice is one; a note, a scrap. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";
static const double nul = (double)NAN;

/* 50 A and 30 B are counted, 12 of 20 C stand on the scale when 5 D are added by eye. C is still to come whole, so the
 * batch becomes 105 g; the interrupted C goes on where it stood. */
static void tint_in_pour(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_refused(h, "tint", -32001, "field", "toner", "{'toner':'NOSUCH'}");
    story_refused(h, "tint", -32602, "field", "toner", "{}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_add(h, 12);
    story_act(h, "tint", "{'toner':'D'}");
    story_is(h, "state", "pour");
    story_is(h, "now.toner", "D");
    story_near(h, "now.aim_g", nul);
    story_near(h, "now.to_go_g", nul);
    story_near(h, "now.tolerance_g", nul);
    story_refused(h, "accept", -32004, "why", "short", "{}"); /* nothing yet */
    story_add(h, 5);
    story_near(h, "now.in_cup_g", 5);
    story_act(h, "accept", "{'lot':'D9'}");
    story_is(h, "state", "pour");
    story_near(h, "wanted_g", 105);
    story_now(h, "C", 20, 12);
    story_act(h, "undo", "{}");
    story_is(h, "now.toner", "D");
    story_near(h, "wanted_g", 100);
    story_near(h, "now.in_cup_g", 5);
    story_act(h, "accept", "{}");
    story_now(h, "C", 20, 12);
    story_pour(h, 8);
    story_is(h, "state", "done");
    story_step(h, 2, "C", 20, 20, "done");
    story_near(h, "total_g", 105);
}

/* D was to be added by eye, 4 g of the wrong tin came: they count for the toner that it was, and D is still to come. A
 * stranger that comes this way asks once the tint is given up, and is taken in by a tint that is kept. */
static void the_wrong_tin_by_eye(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    story_act(h, "tint", "{'toner':'D'}");
    story_refused(h, "accept", -32004, "why", "short", "{'really':'B'}");
    story_add(h, 4);
    story_refused(h, "accept", -32004, "why", "less", "{'short':'less'}");
    story_act(h, "accept", "{'really':'B'}");
    story_is(h, "now.toner", "D");
    story_near(h, "now.in_cup_g", 0);
    story_near(h, "steps.1.poured_g", 4);
    story_near(h, "wanted_g", 100);
    story_act(h, "undo", "{}");
    story_near(h, "steps.1.poured_g", 0);
    story_near(h, "now.in_cup_g", 4);
    story_act(h, "accept", "{'really':'P'}");
    story_is(h, "facts.0.args.toner", "P");
    story_act(h, "accept", "{'short':true}"); /* no tint after all */
    story_is(h, "state", "over");
    story_is(h, "now.toner", "P");
    story_act(h, "remedy", "{'choice':'leave'}");
    story_now(h, "B", 30, 0);
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_text(b, "foreign.0.toner", "P");
    story_number(b, "foreign.0.grams", 4);
    assert_int_equal(json_array_size(story_at(b, "tinted")), 0);
}

static void a_kept_tint_takes_the_wrong_tin_in(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_pour(h, 50);
    story_act(h, "tint", "{'toner':'D'}");
    story_add(h, 4);
    story_act(h, "accept", "{'really':'P'}");
    story_pour(h, 5);
    story_is(h, "state", "pour");
    story_near(h, "wanted_g", 109);
    story_now(h, "B", 30, 0);
}

/* All poured, then 5 D: 105 g, shares 50/105 and so on, wanted_g the sum. Then B once more by eye, 4 g: 109 g. */
static void tint_when_done(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "tint", "{'toner':'D'}");
    story_pour(h, 5);
    story_is(h, "state", "done");
    story_near(h, "wanted_g", 105);
    story_near(h, "total_g", 105);
    story_act(h, "tint", "{'toner':'B'}");
    story_pour(h, 4);
    story_is(h, "state", "done");
    story_near(h, "wanted_g", 109);
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(b, "parts.0.share", 50 / 109.0);
    story_number(b, "parts.1.share", 34 / 109.0);
    story_number(b, "parts.1.poured_g", 34);
    story_number(b, "parts.1.deviation_pct", 0);
    story_number(b, "parts.3.share", 5 / 109.0);
    /* The wrong key: the 4 g are the tint's again. */
    story_act(h, "undo", "{}");
    story_is(h, "state", "pour");
    story_is(h, "now.toner", "B");
    story_near(h, "now.aim_g", nul);
    story_act(h, "accept", "{}");
    story_is(h, "state", "done");
    story_near(h, "wanted_g", 109);
}

/* 100 g of colour with 7.92 g of reducer in it, then 5 g of D: shares are of the colour alone, and the reducer for
 * 105 g (50 + 24 + 25 + 5 = 104 mL, a tenth of it, at 0.8) is 8.32 g: 0.4 lacks, 5 % of 8.32 is 0.416: nothing asked.
 * 5 g more: 109 mL, 8.72, tolerance 0.436, 0.8 lacks: asked anew. */
static void tint_on_a_reduced_sample(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_pour(h, 7.92);
    story_act(h, "tint", "{'toner':'D'}");
    story_pour(h, 5);
    story_is(h, "state", "done");
    story_near(h, "wanted_g", 105);
    story_act(h, "tint", "{'toner':'D'}");
    story_pour(h, 5);
    story_is(h, "state", "pour");
    story_near(h, "wanted_g", 110);
    story_now(h, "RS", 8.72, 7.92);
    story_pour(h, 0.8);
    story_is(h, "state", "done");
}

/* 100/50/100 of A, B, A: 110 in the first are 90 in the last. In both together A is 0.8 of 250. */
static void a_toner_named_twice(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-2','grams':250,'reduce_pct':0}");
    story_batch(h, id);
    story_step(h, 0, "A", 100, 0, "now");
    story_step(h, 2, "A", 100, 0, "next");
    story_pour(h, 110);
    story_is(h, "state", "pour");
    story_now(h, "B", 50, 0);
    story_step(h, 2, "A", 90, 0, "next");
    story_pour(h, 50);
    story_now(h, "A", 90, 0);
    story_near(h, "step", 3);
    /* 12 too much in the last: A 212, k = 212/0.804 = 263.682 > 5 %: over, B lacks 2.736, all at A's first step. */
    story_pour(h, 102);
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.total_g", 263.682);
    story_near(h, "remedies.grow.add_g.0", 0);
    story_near(h, "remedies.grow.add_g.1", 2.736);
    story_near(h, "remedies.grow.add_g.2", 0);
    story_near(h, "remedies.leave.deviation_pct.0", 6);
    story_number(json_object_get(harness_screen(h, "bench"), "remedies"), "leave.deviation_pct.1", 0);
    /* dip: s = 201/212, 262 (1 - s) = 13.594; A is then 201, B 47.406. */
    story_near(h, "remedies.dip.take_g", 13.594);
    story_near(h, "remedies.dip.add_g.1", 2.594);
    story_act(h, "remedy", "{'choice':'grow'}");
    story_now(h, "B", 53, 50); /* A stands for 212/0.8 = 265 */
    story_pour(h, 2.74);
    story_is(h, "state", "done");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_number(b, "total_g", 264.74);
}

static void notes_and_waste(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_refused(h, "note", -32004, "state", "idle", "{'text':'too early'}");
    story_refused(h, "finish", -32004, "state", "idle", "{}");
    story_refused(h, "accept", -32004, "state", "idle", "{}");
    story_act(h, "begin", "%s", plain);
    story_batch(h, id);
    story_act(h, "note", "{'text':'in the cup state'}");
    story_refused(h, "note", -32602, "field", "text", "{}");
    harness_weigh(h, "bench", 30);
    story_act(h, "accept", "{}");
    story_refused(h, "finish", -32004, "state", "pour", "{}");
    story_pour(h, 50);
    story_act(h, "note", "{'text':'in mid-pour'}");
    story_is(h, "state", "pour");
    story_refused(h, "scrap", -32602, "field", "why", "{}");
    story_act(h, "scrap", "{'why':'dust'}");
    story_is(h, "state", "idle");
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    story_text(b, "state", "scrapped");
    json_t *event;
    size_t i, notes = 0;
    double last = 0;
    json_array_foreach(json_object_get(b, "events"), i, event)
    {
        notes += json_object_get(event, "text") && strstr(json_string_value(json_object_get(event, "text")), "in ");
        double revision = json_number_value(json_object_get(event, "revision"));
        assert_true(revision >= last);
        last = revision;
        story_at(event, "time");
        assert_true(json_is_string(json_object_get(event, "time")) && json_is_string(json_object_get(event, "what")));
    }
    assert_int_equal(notes, 2);
    story_refused(h, "resume", -32004, NULL, NULL, "{'batch':'%s'}", id);
}

/* 200 g unreduced on the shelf; 20 g of it, reduced, are tinted till they match; that tint is carried to the rest. */
static void a_tint_on_a_sample_is_carried_to_the_rest(void **state)
{
    struct harness *h = *state;
    char whole[16], sample[16];
    story_cup(h, "{'formula':'TS-1','grams':200,'reduce_pct':0}");
    story_batch(h, whole);
    story_pour(h, 100);
    story_pour(h, 60);
    story_pour(h, 40);
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    story_call(h, "batch.weigh_back", "{'batch':'%s','gross_g':230}", whole);
    /* 20 g in the sample's cup, a tenth of reducer: 19.8 mL, 1.98 mL of it at 0.8. */
    story_act(h, "begin", "{'formula':'TS-1','grams':20,'reduce_pct':10,'have':[{'batch':'%s','grams':20}]}", whole);
    story_batch(h, sample);
    harness_weigh(h, "bench", 30 + 20);
    story_act(h, "accept", "{}");
    story_now(h, "RS", 1.584, 0);
    story_pour(h, 1.584);
    story_act(h, "tint", "{'toner':'D'}");
    story_is(h, "said.code", "tint_for_good");
    story_pour(h, 1);
    story_is(h, "state", "pour"); /* reducer for the gram more */
    story_act(h, "tint", "{'toner':'B'}");
    story_is(h, "said.code", "tint_back");
    story_near(h, "said.args.more_g", 21 / 6.0);
    story_act(h, "accept", "{'short':true}"); /* thought better of */
    story_act(h, "accept", "{'short':true}");
    story_is(h, "state", "done");
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    story_number(story_call(h, "batch.get", "{'batch':'%s'}", sample), "tinted.0.grams", 1);
    /* 180 g are left of the whole: its colour to 20 : 1 of D, no reducer asked. */
    story_act(h, "begin",
              "{'repeat':'%s','as':'poured','reduce_pct':0,'grams':189,'have':[{'batch':'%s','grams':180}]}", sample,
              whole);
    harness_weigh(h, "bench", 30 + 180);
    story_act(h, "accept", "{}");
    story_now(h, "D", 9, 0);
    story_pour(h, 9);
    story_is(h, "state", "done");
    story_near(h, "total_g", 189);
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
}

/* A tinted batch as a variant of the shop's own: mixed again by its formula it comes out the same. */
static void a_tinted_batch_becomes_a_variant(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    story_pour(h, 30);
    story_text(story_fault(h, "formula.keep", -32004, "{'batch':'%s'}", id), "state", "open");
    story_pour(h, 20);
    story_act(h, "tint", "{'toner':'D'}");
    story_pour(h, 5);
    story_act(h, "finish", "{}");
    harness_weigh(h, "bench", 0);
    json_t *f = story_call(h, "formula.keep", "{'batch':'%s','request':'keep-1','reason':'matched the van'}", id);
    story_number(f, "formula_revision", 2);
    story_text(f, "reason", "matched the van");
    f = story_call(h, "formula.keep", "{'batch':'%s','request':'keep-1'}", id); /* once only */
    story_number(f, "formula_revision", 2);
    json_t *p = story_call(h, "mix.plan", "{'formula':'TS-1','variant':'tinted %s','grams':210,'reduce_pct':0}", id);
    story_number(p, "components.0.aim_g", 100);
    story_number(p, "components.3.aim_g", 10);
    story_call(h, "formula.keep", "{'batch':'%s','variant':'van 3'}", id);
    story_text(story_fault(h, "formula.keep", -32005, "{'batch':'%s','variant':'standard'}", id), "why", "used");
    story_fault(h, "formula.keep", -32001, "{'batch':'999'}");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(tint_in_pour),
        STORY(tint_when_done),
        STORY(the_wrong_tin_by_eye),
        STORY(a_kept_tint_takes_the_wrong_tin_in),
        STORY(tint_on_a_reduced_sample),
        STORY(a_toner_named_twice),
        STORY(notes_and_waste),
        STORY(a_tint_on_a_sample_is_carried_to_the_rest),
        STORY(a_tinted_batch_becomes_a_variant),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
