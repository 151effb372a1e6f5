/* A second person's look at a pour: for a painter's first batches, and for hardener. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static int begin_hardener(void **state)
{
    return harness_begin(state,
                         &(struct harness_setup){.data = "tests/data/story",
                                                 .station_lines = "d_g = 0.01\ncapacity_g = 3000\n"
                                                                  "tolerance_g = 0.05\nglance_hardener = yes\n"});
}

static void people(struct harness *h, int glances)
{
    story_call(h, "people.put", "{'painter':'Ines','glance':%d}", glances);
    story_call(h, "people.put", "{'painter':'Tom'}");
    story_call(h, "people.put", "{'painter':'Ada','retired':true}");
}

static int owed(struct harness *h)
{
    json_t *list = json_object_get(story_call(h, "people.list", "{}"), "people"), *one;
    size_t i;
    json_array_foreach(list, i, one)
    {
        if (strcmp(json_string_value(json_object_get(one, "painter")), "Ines") == 0)
            return (int)json_integer_value(json_object_get(one, "glance"));
    }
    return -1;
}

/* The accept in `moves`: does it ask for a second person? */
static bool asks(struct harness *h)
{
    json_t *moves = json_object_get(harness_screen(h, "bench"), "moves"), *move;
    size_t i;
    json_array_foreach(moves, i, move)
    {
        if (strcmp(json_string_value(story_at(move, "said.code")), "move_accept") == 0)
            return json_array_size(json_object_get(move, "asks")) == 1;
    }
    return false;
}

/* Two batches of Ines's are looked at: one pour of each, by anybody but her who works here. The third is hers. */
static void the_first_batches_are_looked_at(void **state)
{
    struct harness *h = *state;
    char id[16];
    people(h, 2);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0,'painter':'Ines'}");
    story_batch(h, id);
    story_add(h, 20);
    story_refused(h, "accept", -32004, "why", "short", "{}"); /* what is too little is told first */
    story_is(h, "next.second.said.code", "next_empty_tin");
    story_is(h, "next.second.asks.0", "glance");
    story_refused(h, "accept", -32004, "why", "glance", "{'short':true}");
    story_add(h, 30);
    assert_true(asks(h));
    story_is(h, "next.said.code", "next_accept_seen");
    story_is(h, "next.asks.0", "glance");
    story_refused(h, "accept", -32004, "why", "glance", "{}");
    story_refused(h, "accept", -32005, "why", "glance", "{'glance':'ines'}");
    story_refused(h, "accept", -32001, "field", "glance", "{'glance':'Otto'}");
    story_refused(h, "accept", -32005, "field", "glance", "{'glance':'Ada'}");
    assert_int_equal(owed(h), 2);
    story_act(h, "accept", "{'glance':'Tom'}");
    assert_int_equal(owed(h), 1);
    story_act(h, "undo", "{}");
    assert_int_equal(owed(h), 2);
    story_look(h);
    assert_true(asks(h));
    harness_stop(h, SIGKILL); /* what is owed is in the same write as the accept */
    harness_start(h);
    harness_weigh(h, "bench", 80);
    story_look(h);
    assert_true(asks(h));
    story_act(h, "accept", "{'glance':'Tom'}");
    story_look(h);
    assert_false(asks(h));
    story_pour(h, 30);
    story_pour(h, 20);
    story_act(h, "finish", "{}");
    assert_int_equal(owed(h), 1);
    json_t *r = story_call(h, "batch.get", "{'batch':'%s'}", id), *e;
    size_t i, seen = 0;
    json_array_foreach(json_object_get(r, "events"), i, e)
    {
        const char *glance = json_string_value(json_object_get(e, "glance"));
        seen += glance && strcmp(glance, "Tom") == 0;
    }
    assert_int_equal(seen, 2); /* the one that was undone stands there too */
    harness_weigh(h, "bench", 0);
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0,'painter':'Ines'}");
    story_add(h, 50);
    story_call(h, "people.put", "{'painter':'Ines','glance':0}"); /* the master says that is enough */
    story_act(h, "accept", "{}");
    story_clear(h);
}

/* By the station's setting, whoever pours, and each time. */
static void hardener_is_looked_at(void **state)
{
    struct harness *h = *state;
    people(h, 0);
    story_cup(h, "{'product':'PRIME-A','grams':100,'painter':'Ines'}");
    story_add(h, 100);
    assert_false(asks(h));
    story_act(h, "accept", "{}");
    double aim = json_number_value(story_at(harness_screen(h, "bench"), "now.aim_g"));
    story_add(h, round(aim * 100) / 100);
    assert_true(asks(h));
    story_refused(h, "accept", -32004, "why", "glance", "{}");
    story_act(h, "accept", "{'glance':'Tom'}");
    assert_int_equal(owed(h), 0);
    story_clear(h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(the_first_batches_are_looked_at, story_begin, story_end),
        cmocka_unit_test_setup_teardown(hardener_is_looked_at, begin_hardener, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
