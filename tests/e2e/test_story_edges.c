/* Edges: a pour exactly on its tolerance, aims so small that the tolerance is half of them, ids as people write them,
 * what may be left out of a call, days in the list. World and tolerances: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

/* A at 100 g: 50 with 0.25. 49.75 and 50.25 stand exactly on the edge and ask nothing; 0.01 beyond does. */
static void exactly_on_the_edge(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_add(h, 49.74);
    story_number(story_refused(h, "accept", -32004, "why", "short", "{}"), "short_g", 0.26);
    story_pour(h, 0.01);
    story_is(h, "state", "pour");
    story_near(h, "total_g", 100);
    story_now(h, "B", 30, 0);
    /* 30.15 are on B's edge: k_lo stays 100, aims follow what was really poured: (49.75 + 30.15)/0.8 is less. */
    story_pour(h, 30.15);
    story_is(h, "message", "");
    story_now(h, "C", 20, 0);
    story_pour(h, 20.1);
    story_is(h, "state", "done");
    story_near(h, "wanted_g", 100);
    story_clear(h);
    story_cup(h, plain);
    story_pour(h, 50.25); /* k_aim = 100.5, the most that 0.5 % allow */
    story_near(h, "total_g", 100.5);
    story_now(h, "B", 30.15, 0);
    story_clear(h);
    story_cup(h, plain);
    story_pour(h, 50.26); /* k = 50.26/0.5025 = 100.02: it grows, and says so */
    story_near(h, "total_g", 100.52);
    assert_true(strlen(harness_text(h, "bench", "message")) > 0);
}

/* TS-3, 5 g: C is 0.0578 g, its tolerance half an interval (5 % of it is less), never the 0.05 that would let nothing
 * or double pass. */
static void half_an_interval(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-3','grams':5,'reduce_pct':0}");
    story_near(h, "now.tolerance_g", 0.05); /* A 3.831 */
    story_pour(h, 3.83);
    story_pour(h, 1.11);
    story_is(h, "now.toner", "C");
    double aim = harness_number(h, "bench", "now.aim_g"), tolerance = harness_number(h, "bench", "now.tolerance_g");
    assert_true(fabs(aim - 3.2 / 276.7 * 5) < 0.0005);
    assert_true(fabs(tolerance - 0.005) < 1e-6);
    story_refused(h, "accept", -32004, "why", "short", "{}");
    story_pour(h, 0.06);
    story_is(h, "state", "done");
    story_clear(h);
    /* Twice the aim is over: 0.12 of 0.0578; k_i = 0.12 / (1.05 * 0.011565) = 9.88, or (0.12 - 0.005) / f = 9.94, or
     * (0.12 - 0.05) / f = 6.05: the wider of e and d/2, then the lesser of that and a: 9.88, far beyond 5 %. */
    story_cup(h, "{'formula':'TS-3','grams':5,'reduce_pct':0}");
    story_pour(h, 3.83);
    story_pour(h, 1.11);
    story_pour(h, 0.12);
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.total_g", 9.882);
}

static void ids_as_people_write_them(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_pour(h, 50);
    static const char *const before[] = {"", "#", "POISE:"};
    for (size_t i = 0; i < 3; i++) {
        char name[32];
        snprintf(name, sizeof name, "%s%s", before[i], id);
        story_text(story_call(h, "batch.get", "{'batch':'%s'}", name), "batch", id);
        story_act(h, "hold", "{}");
        story_act(h, "resume", "{'batch':'%s'}", name);
        story_is(h, "batch", id);
        story_act(h, "accept", "{}");
        story_now(h, "B", 30, 0);
    }
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "finish", "{}");
    story_act(h, "begin", "{'repeat':'#%s','as':'corrected','grams':15,'reduce_pct':0}", id);
    story_near(h, "wanted_g", 15);
    story_act(h, "scrap", "{'why':'only asked'}");
    story_act(h, "begin", "{'formula':'TS-1','grams':200,'have':[{'batch':'POISE:%s','grams':50}]}", id);
    story_near(h, "steps.0.poured_g", 25);
    story_act(h, "scrap", "{'why':'only asked'}");
    static const char *const bad[] = {"1042x", "-1", "POISE:", "99999999999999999999"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        story_fault(h, "batch.get", -32001, "{'batch':'%s'}", bad[i]);
    story_fault(h, "batch.get", -32602, "{'batch':%s}", id);
    story_fault(h, "batch.get", -32602, "{'batch':''}"); /* an empty text is a missing one */
    story_fault(h, "watch", -32001, "{'station':'nowhere'}");
}

/* Only begin and resume may leave the revision out; a request is 1 to 64 printable ASCII characters. */
static void what_may_be_left_out(void **state)
{
    struct harness *h = *state;
    static const char *const bad[] = {"\\u00e4", "a\\tb", ""};
    for (size_t i = 0; i < 3; i++)
        story_text(story_fault(h, "batch.begin", -32602,
                               "{'station':'bench','request':'%s','formula':'TS-1','grams':100}", bad[i]),
                   "field", "request");
    json_t *s = story_call(h, "batch.begin",
                           "{'station':'bench','formula':'TS-1','grams':100,'request':"
                           "'1234567890123456789012345678901234567890123456789012345678901234'}");
    story_text(s, "state", "cup");
    double revision = json_number_value(json_object_get(s, "revision"));
    char id[16];
    snprintf(id, sizeof id, "%s", json_string_value(json_object_get(s, "batch")));
    story_text(story_fault(h, "batch.hold", -32602, "{'station':'bench','request':'h0'}"), "field", "revision");
    story_call(h, "batch.hold", "{'station':'bench','request':'h1','revision':%g}", revision);
    s = story_call(h, "batch.resume", "{'station':'bench','request':'r1','batch':'%s'}", id);
    assert_true(json_number_value(json_object_get(s, "revision")) == revision + 2);
    story_fault(h, "batch.begin", -32003, "{'station':'bench','formula':'TS-1','grams':1,'request':'r2','revision':%g}",
                revision);
    story_look(h);
    story_clear(h);
    /* The days of the list are those of the beginning, both inclusive. */
    json_t *b = story_call(h, "batch.get", "{'batch':'%s'}", id);
    char day[11];
    snprintf(day, sizeof day, "%s", json_string_value(json_object_get(b, "begun")));
    json_incref(b); /* an answer lives until the next call */
    json_t *found = story_call(h, "batch.find", "{'from':'%s','to':'%s'}", day, day);
    assert_int_equal(json_array_size(json_object_get(found, "batches")), 1);
    json_t *event;
    size_t i;
    json_array_foreach(json_object_get(b, "events"), i, event)
    {
        if (strcmp(json_string_value(json_object_get(event, "what")), "held") == 0)
            assert_true(json_number_value(json_object_get(event, "revision")) == revision + 1);
    }
    json_decref(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(exactly_on_the_edge),
        STORY(half_an_interval),
        STORY(ids_as_people_write_them),
        STORY(what_may_be_left_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
