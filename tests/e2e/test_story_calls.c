/* Requests, revisions, types, double taps, notifications, the record and the list. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

static json_t *accept_params(struct harness *h, const char *request)
{
    return json_pack("{s:s,s:f,s:s}", "station", "bench", "revision", harness_number(h, "bench", "revision"), "request",
                     request);
}

/* The first answer for ever, whatever else the request carries; for another method -32602. */
static void a_request_repeated(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_add(h, 50);
    json_t *params = accept_params(h, "once");
    json_t *first = json_deep_copy(harness_call(h, "batch.accept", json_incref(params)));
    assert_true(json_equal(first, harness_call(h, "batch.accept", params)));
    story_pour(h, 30);
    assert_true(json_equal(
        first, story_call(h, "batch.accept", "{'station':'bench','revision':0,'request':'once','really':'NOSUCH'}")));
    json_decref(first);
    story_now(h, "C", 20, 0);
    story_fault(h, "batch.undo", -32602, "{'station':'bench','revision':%g,'request':'once'}",
                harness_number(h, "bench", "revision"));
    /* A refused call leaves no trace: its request may be used again. */
    story_fault(h, "batch.accept", -32004, "{'station':'bench','revision':%g,'request':'twice'}",
                harness_number(h, "bench", "revision"));
    story_add(h, 20);
    story_call(h, "batch.accept", "{'station':'bench','revision':%g,'request':'twice'}",
               harness_number(h, "bench", "revision"));
    harness_wait_state(h, "bench", "done");
}

/* A begin needs no revision, so nothing about it is stale when it comes again to an idle bench: the store alone knows
 * that it was done. Neither a batch nor a number comes of it. */
static void a_begin_repeated_when_its_batch_has_ended(void **state)
{
    struct harness *h = *state;
    static const char early[] = "{'station':'bench','formula':'TS-1','grams':100,'request':'early'}";
    json_t *first = json_deep_copy(story_call(h, "batch.begin", early));
    int batch = atoi(json_string_value(json_object_get(first, "batch")));
    harness_wait_state(h, "bench", "cup");
    story_act(h, "scrap", "{'why':'only a try'}");
    double revision = harness_number(h, "bench", "revision");
    assert_true(json_equal(first, story_call(h, "batch.begin", early)));
    json_decref(first);
    story_is(h, "state", "idle");
    story_near(h, "revision", revision);
    json_t *next = story_call(h, "batch.begin", "{'station':'bench','formula':'TS-1','grams':100,'request':'late'}");
    assert_int_equal(atoi(json_string_value(json_object_get(next, "batch"))), batch + 1);
}

static void what_a_call_must_carry(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    double now = harness_number(h, "bench", "revision");
    static const struct {
        const char *field, *params;
    } bad[] = {
        {"revision", "{'station':'bench','request':'x1'}"},
        {"revision", "{'station':'bench','request':'x1','revision':'3'}"},
        {"request", "{'station':'bench','revision':%g}"},
        {"request", "{'station':'bench','revision':%g,'request':''}"},
        {"request", "{'station':'bench','revision':%g,'request':7}"},
        {"request", "{'station':'bench','revision':%g,'request':'"
                    "12345678901234567890123456789012345678901234567890123456789012345'}"},
        {"station", "{'revision':%g,'request':'x1'}"},
        {"station", "{'station':4,'revision':%g,'request':'x1'}"},
        {"tared", "{'station':'bench','revision':%g,'request':'x1','tared':'yes'}"},
        {"lot", "{'station':'bench','revision':%g,'request':'x1','lot':17}"},
        {"really", "{'station':'bench','revision':%g,'request':'x1','really':17}"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        char text[256];
        const char *at = strstr(bad[i].params, "%g");
        snprintf(text, sizeof text, "%.*s%s%s", at ? (int)(at - bad[i].params) : (int)strlen(bad[i].params),
                 bad[i].params, at ? "2" : "", at ? at + 2 : "");
        story_text(story_fault(h, "batch.accept", -32602, "%s", text), "field", bad[i].field);
    }
    story_text(story_fault(h, "batch.accept", -32001, "{'station':'nowhere','revision':%g,'request':'x2'}", now),
               "field", "station");
    json_t *stale = story_fault(h, "batch.accept", -32003, "{'station':'bench','revision':%g,'request':'x3'}", now - 1);
    assert_true(json_number_value(json_object_get(stale, "revision")) == now);
    assert_true(harness_number(h, "bench", "revision") == now);
}

/* Two accepts sent at once with the revision both saw: one counts, the other is stale; no step is skipped. */
static void a_double_tap(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_add(h, 50);
    double was = harness_number(h, "bench", "revision");
    int one = harness_send(h, "batch.accept", accept_params(h, "tap-1"));
    int two = harness_send(h, "batch.accept", accept_params(h, "tap-2"));
    json_t *first = json_deep_copy(harness_answer(h, one));
    json_t *second = harness_answer(h, two);
    story_number(first, "result.revision", was + 1);
    int code = (int)json_integer_value(story_at(second, "error.code"));
    if (code == -32003)
        story_number(second, "error.data.revision", was + 1);
    else
        story_text(second, "error.data.why", "busy");
    json_decref(first);
    story_look(h);
    story_near(h, "revision", was + 1);
    story_now(h, "B", 30, 0);
}

/* Every act raises the revision by 1, growth by itself included; screens reach a second watcher in rising order. */
static void revisions_rise_by_one(void **state)
{
    struct harness *h = *state;
    double was = harness_number(h, "bench", "revision");
    static const struct {
        const char *word, *params;
        double on_scale;
    } acts[] = {
        {"begin", "{'formula':'TS-1','grams':100,'reduce_pct':0}", 30},
        {"accept", "{}", 82},
        {"accept", "{}", 82}, /* grows by itself */
        {"undo", "{}", 82},
        {"note", "{'text':'n'}", 83},
        {"accept", "{}", 83}, /* over */
        {"remedy", "{'choice':'leave'}", 83},
        {"retare", "{}", 83},
        {"tint", "{'toner':'D'}", 84},
        {"accept", "{}", 84},
        {"hold", "{}", 84},
    };
    for (size_t i = 0; i < sizeof acts / sizeof *acts; i++) {
        json_t *s = story_act(h, acts[i].word, "%s", acts[i].params);
        if (json_number_value(json_object_get(s, "revision")) != was + 1)
            fail_msg("%s: revision %g after %g", acts[i].word, json_number_value(json_object_get(s, "revision")), was);
        was += 1;
        harness_weigh(h, "bench", acts[i].on_scale);
    }
    story_look(h);
    story_near(h, "revision", was);
}

static void weights_say_their_state(void **state)
{
    struct harness *h = *state;
    harness_weigh(h, "bench", 12.34);
    json_t *w = h->station[0].weight;
    story_text(w, "station", "bench");
    story_text(w, "state", "live");
    assert_true(json_number_value(json_object_get(w, "age_ms")) < 1000);
    fake_scale_show(harness_scale(h, "bench"), 20, false);
    int64_t deadline = harness_deadline();
    while (fabs(json_number_value(json_object_get(h->station[0].weight, "weight_g")) - 20) > 0.001)
        harness_step(h, deadline, "a moving weight");
    assert_true(json_is_false(json_object_get(h->station[0].weight, "stable")));
    json_t *s = story_at(story_call(h, "scale.list", "{}"), "scales.0");
    story_text(s, "station", "bench");
    story_text(s, "profile", "hdr2");
    story_text(s, "state", "live");
    story_text(s, "why", "");
    story_number(s, "weight_g", 20);
    story_number(s, "d_g", 0.01);
    story_number(s, "capacity_g", 3000);
    json_t *info = story_call(h, "daemon.info", "{}");
    story_text(info, "name", "poised");
    story_text(info, "version", "0.1.0");
    story_number(info, "protocol", 1);
    story_text(info, "stations.0", "bench");
}

/* Seven batches, three a page, newest first; and by order, painter, formula, text. */
static void the_list(void **state)
{
    struct harness *h = *state;
    for (int i = 0; i < 7; i++) {
        story_act(h, "begin", "{'formula':'%s','grams':100,'order':'RO-%d','painter':'%s'}", i % 2 ? "TS-3" : "TS-1",
                  100 + i, i < 3 ? "Ane" : "Bo");
        story_act(h, "scrap", "{'why':'only for the list'}");
    }
    char after[64] = "";
    int want = 7, pages = 0;
    for (json_t *page; want > 0; pages++) {
        page = after[0] ? story_call(h, "batch.find", "{'limit':3,'after':'%s'}", after)
                        : story_call(h, "batch.find", "{'limit':3}");
        json_t *row, *rows = json_object_get(page, "batches");
        size_t i;
        assert_true(json_array_size(rows) > 0 && json_array_size(rows) <= 3);
        json_array_foreach(rows, i, row)
        {
            char id[16];
            snprintf(id, sizeof id, "%d", want--);
            story_text(row, "batch", id);
        }
        const char *next = json_string_value(json_object_get(page, "next"));
        assert_true(want > 0 ? next != NULL : json_is_null(json_object_get(page, "next")));
        snprintf(after, sizeof after, "%s", next ? next : "");
    }
    assert_int_equal(pages, 3);
    static const struct {
        const char *params;
        size_t rows;
    } found[] = {
        {"{'order':'RO-103'}", 1},   {"{'painter':'Ane'}", 3},
        {"{'formula':'TS-3'}", 3},   {"{'text':'story shares'}", 3},
        {"{'to':'2001-01-01'}", 0},  {"{'from':'2001-01-01'}", 7},
        {"{'coat':'ground'}", 3},    {"{'text':'no such words'}", 0},
        {"{'variant':'darker'}", 0}, {"{'painter':'Bo','formula':'TS-1'}", 2},
    };
    for (size_t i = 0; i < sizeof found / sizeof *found; i++) {
        size_t rows = json_array_size(json_object_get(story_call(h, "batch.find", "%s", found[i].params), "batches"));
        if (rows != found[i].rows)
            fail_msg("%s: %zu rows, not %zu", found[i].params, rows, found[i].rows);
    }
    story_fault(h, "batch.find", -32005, "{'limit':0}");
    story_fault(h, "batch.find", -32005, "{'from':'tomorrow'}");
    story_fault(h, "batch.get", -32001, "{'batch':'99'}");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(a_request_repeated),
        STORY(a_begin_repeated_when_its_batch_has_ended),
        STORY(what_a_call_must_carry),
        STORY(a_double_tap),
        STORY(revisions_rise_by_one),
        STORY(weights_say_their_state),
        STORY(the_list),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
