/* test_record.c - batch.get by pages: whole, in order, each event once; its cost is that of the page, not of the batch.
 *
 * Cost is counted in what the daemon reads and folds, as CPU time of the process over many calls: a ratio of two runs
 * on the same machine, which waiting does not change. */
#include "tests/e2e/story.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

enum { LONG_NOTES = 590, SHORT_NOTES = 4 };

static void notes(struct harness *h, int count)
{
    for (int i = 0; i < count; i++)
        story_act(h, "note", "{'text':'note %d'}", i);
}

/* A batch with a cup, a pour and so many notes; its number. */
static void told(struct harness *h, int count, char id[16])
{
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_pour(h, 50);
    story_batch(h, id);
    notes(h, count);
    story_clear(h);
}

static void pages_hold_each_event_once(void **state)
{
    struct harness *h = *state;
    char id[16];
    long before = 0;
    size_t seen = 0;
    json_int_t last = INT64_MAX;
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_pour(h, 50);
    story_batch(h, id);
    notes(h, 20);
    json_t *all = json_deep_copy(json_object_get(story_call(h, "batch.get", "{'batch':'%s'}", id), "events"));
    assert_true(json_array_size(all) >= 23); /* begun, cup, accepted, the notes */
    do {
        json_t *page = before ? story_call(h, "batch.get", "{'batch':'%s','events':7,'before':%ld}", id, before)
                              : story_call(h, "batch.get", "{'batch':'%s','events':7}", id);
        json_t *events = json_object_get(page, "events"), *more = json_object_get(page, "events_before");
        size_t n = json_array_size(events);
        assert_true(n >= 1 && n <= 7);
        for (size_t i = n; i-- > 0; seen++) {
            json_t *line = json_array_get(events, i);
            json_int_t seq = json_integer_value(json_object_get(line, "seq"));
            assert_true(seq < last);
            last = seq;
            assert_true(json_equal(line, json_array_get(all, json_array_size(all) - 1 - seen)));
        }
        before = json_is_integer(more) ? (long)json_integer_value(more) : 0;
        assert_true(before == 0 || before == last);
    } while (before);
    assert_int_equal(seen, json_array_size(all));
    story_text(json_array_get(all, 0), "what", "begun");
    story_text(json_array_get(all, 2), "toner", "A"); /* what an accept counted for is told on any page */
    story_number(json_array_get(all, 2), "aim_g", 50);
    json_decref(all);
}

static void an_open_batch_is_told_as_it_is_now(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_batch(h, id);
    story_number(story_call(h, "batch.get", "{'batch':'%s'}", id), "total_g", 0);
    story_pour(h, 50);
    json_t *r = story_call(h, "batch.get", "{'batch':'#%s'}", id);
    story_number(r, "total_g", 50);
    story_number(r, "parts.0.poured_g", 50);
    story_text(r, "state", "open");
    story_act(h, "undo", "{}");
    story_number(story_call(h, "batch.get", "{'batch':'POISE:%s'}", id), "total_g", 0);
    story_act(h, "scrap", "{'why':'test'}");
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", id), "state", "scrapped");
}

/* The journal names a scale once; who reads an event is told of it at each, on any page and after a start. */
static void each_weight_tells_its_scale(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_pour(h, 50);
    story_act(h, "undo", "{}");
    story_pour(h, 0);
    story_pour(h, 30);
    story_batch(h, id);
    for (int start = 0; start < 2; start++) {
        json_t *page = story_call(h, "batch.get", "{'batch':'%s','events':4}", id); /* behind the cup, which names it */
        json_t *events = json_object_get(page, "events");
        assert_int_equal(json_array_size(events), 4);
        story_text(events, "0.what", "accepted");
        for (size_t i = 0; i < 4; i++)
            if (json_object_get(json_array_get(events, i), "weight_g")) {
                story_text(json_array_get(events, i), "profile", "hdr2");
                story_number(json_array_get(events, i), "d_g", 0.01);
            }
        assert_int_equal(harness_stop(h, SIGTERM), 0);
        harness_start(h);
    }
}

static void each_record_bears_the_shops_own_id(void **state)
{
    struct harness *h = *state;
    char one[16], other[16], shop[40];
    told(h, 0, one);
    told(h, 0, other);
    snprintf(shop, sizeof shop, "%s",
             json_string_value(json_object_get(story_call(h, "batch.get", "{'batch':'%s'}", one), "shop")));
    assert_int_equal(strlen(shop), 32);
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", other), "shop", shop);
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    harness_start(h);
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", one), "shop", shop);
}

static void what_makes_no_sense_is_refused(void **state)
{
    struct harness *h = *state;
    static const char *const events[] = {"0", "-1", "1.5", "1001"};
    char id[16];
    told(h, 0, id);
    for (size_t i = 0; i < sizeof events / sizeof *events; i++)
        story_text(story_fault(h, "batch.get", -32005, "{'batch':'%s','events':%s}", id, events[i]), "field", "events");
    story_text(story_fault(h, "batch.get", -32005, "{'batch':'%s','before':0}", id), "field", "before");
    story_text(story_fault(h, "batch.get", -32001, "{'batch':'999'}"), "field", "batch");
    story_text(story_fault(h, "batch.get", -32001, "{'batch':'%s x'}", id), "field", "batch");
    story_text(story_fault(h, "batch.find", -32005, "{'limit':0}"), "field", "limit");
    story_text(story_fault(h, "batch.find", -32005, "{'from':'2026-02-30'}"), "field", "from");
}

/* Ticks of CPU that the daemon has used, by its stat line. */
static long ticks(pid_t pid)
{
    char path[64], line[1024];
    long user, system;
    snprintf(path, sizeof path, "/proc/%d/stat", (int)pid);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    assert_non_null(fgets(line, sizeof line, f));
    fclose(f);
    assert_int_equal(
        sscanf(strrchr(line, ')') + 2, "%*c %*d %*d %*d %*d %*d %*u %*u %*u %*u %*u %ld %ld", &user, &system), 2);
    return user + system;
}

static long cost(struct harness *h, const char *id, int calls)
{
    story_call(h, "batch.get", "{'batch':'%s','events':10}", id); /* folds it once */
    long from = ticks(h->poised);
    for (int i = 0; i < calls; i++)
        story_call(h, "batch.get", "{'batch':'%s','events':10}", id);
    return ticks(h->poised) - from;
}

static void a_page_costs_what_the_page_holds(void **state)
{
    struct harness *h = *state;
    char few[16], many[16];
    int calls = 200;
    told(h, SHORT_NOTES, few);
    told(h, LONG_NOTES, many);
    long of_few = cost(h, few, calls);
    while (of_few < 20 && calls < 20000) { /* enough ticks to compare */
        calls *= 2;
        of_few = cost(h, few, calls);
    }
    long of_many = cost(h, many, calls);
    if (of_many > 4 * of_few)
        fail_msg("%d looks at a page of 10: %ld ticks with 10 events, %ld with 600", calls, of_few, of_many);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(pages_hold_each_event_once, story_begin, story_end),
        cmocka_unit_test_setup_teardown(an_open_batch_is_told_as_it_is_now, story_begin, story_end),
        cmocka_unit_test_setup_teardown(each_weight_tells_its_scale, story_begin, story_end),
        cmocka_unit_test_setup_teardown(each_record_bears_the_shops_own_id, story_begin, story_end),
        cmocka_unit_test_setup_teardown(what_makes_no_sense_is_refused, story_begin, story_end),
        cmocka_unit_test_setup_teardown(a_page_costs_what_the_page_holds, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
