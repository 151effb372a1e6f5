/* `accept_after_s` and `pour_order`: a station that accepts on aim by itself after a count that all see, and what stops
 * the count; and colour poured onto a bed of the largest toner. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static int begin(void **state)
{
    return harness_begin(state, &(struct harness_setup){.data = "tests/data/story",
                                                        .shop_lines = "pour_order = bed\n",
                                                        .station_lines = "d_g = 0.01\ncapacity_g = 3000\n"
                                                                         "tolerance_g = 0.05\naccept_after_s = 2\n"});
}

static bool counts(json_t *screen, const void *with)
{
    json_t *next = json_object_get(screen, "next");
    (void)with;
    return json_integer_value(json_object_get(next, "in_s")) > 0;
}

static bool counts_not(json_t *screen, const void *with)
{
    return !counts(screen, with);
}

/* The step that is open, from 1. */
static bool at_step(json_t *screen, const void *with)
{
    return json_integer_value(json_object_get(screen, "step")) == *(const int *)with;
}

/* The newest `accepted` of a batch. */
static json_t *last_accept(json_t *record)
{
    json_t *found = NULL, *e;
    size_t i;
    json_array_foreach(json_object_get(record, "events"), i, e)
    {
        if (strcmp(json_string_value(json_object_get(e, "what")), "accepted") == 0)
            found = e;
    }
    assert_non_null(found);
    return found;
}

/* A 50, B 30, C 20: 15 of A first, then C, B, and the other 35 of A. The first is accepted by nobody. */
static void accepted_by_the_station(void **state)
{
    struct harness *h = *state;
    const int second = 2;
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_step(h, 0, "A", 15, 0, "now");
    story_step(h, 1, "C", 20, 0, "next");
    story_step(h, 2, "B", 30, 0, "next");
    story_step(h, 3, "A", 35, 0, "next");
    int64_t before = (int64_t)harness_number(h, "bench", "revision");
    story_add(h, 15);
    harness_wait_screen(h, "bench", counts, NULL);
    story_is(h, "next.kind", "key");
    story_is(h, "next.act.method", "batch.accept");
    harness_wait_screen(h, "bench", at_step, &second);
    story_step(h, 0, "A", 15, 15, "done");
    assert_int_equal((int64_t)harness_number(h, "bench", "revision"), before + 1);
    json_t *record = story_call(h, "batch.get", "{'batch':'%s'}", harness_text(h, "bench", "batch"));
    json_t *event = last_accept(record);
    story_text(event, "who.user", "station");
    story_number(event, "counted_g", 15);
    story_clear(h);
}

/* A key says no: nothing is accepted until the weight has moved by more than the tolerance; then a new count runs. */
static void a_key_stops_it(void **state)
{
    struct harness *h = *state;
    const int second = 2;
    story_cup(h, "{'formula':'TS-1','grams':100}");
    story_add(h, 14.94);
    harness_wait_screen(h, "bench", counts, NULL);
    json_t *screen = story_call(h, "batch.wait", "{'station':'bench'}");
    story_text(screen, "next.in_s", "");
    story_text(screen, "next.kind", "key"); /* Enter still takes it */
    harness_wait_screen(h, "bench", counts_not, NULL);
    story_add(h, 0.1); /* more than the tolerance, 0.5 % of 15 g, and still on aim */
    harness_wait_screen(h, "bench", counts, NULL);
    harness_wait_screen(h, "bench", at_step, &second);
    story_step(h, 0, "A", 15, 15.04, "done");
    story_clear(h);
}

/* What is short, or past its aim, a person judges; and the weight that leaves the aim ends the count. */
static void only_on_aim(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-1','grams':100,'pour_order':'formula'}");
    story_step(h, 0, "A", 50, 0, "now");
    story_add(h, 50);
    harness_wait_screen(h, "bench", counts, NULL);
    story_add(h, 3);
    harness_wait_screen(h, "bench", counts_not, NULL);
    story_is(h, "now.cue", "over");
    story_clear(h);
}

static void other_orders_are_refused(void **state)
{
    struct harness *h = *state;
    story_fault(h, "batch.begin", -32005,
                "{'station':'bench','request':'odd','formula':'TS-1','grams':100,'pour_order':'random'}");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(accepted_by_the_station),
        cmocka_unit_test(a_key_stops_it),
        cmocka_unit_test(only_on_aim),
        cmocka_unit_test(other_orders_are_refused),
    };
    return cmocka_run_group_tests(tests, begin, story_end);
}
