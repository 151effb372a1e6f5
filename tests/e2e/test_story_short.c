/* A tin runs empty, or another tin was poured: short, lots, less, really. TS-1, 100 g, no reducer; see story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const char plain[] = "{'formula':'TS-1','grams':100,'reduce_pct':0}";

static void two_tins_two_lots(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_refused(h, "accept", -32004, "why", "short", "{}"); /* nothing poured */
    story_add(h, 20);
    json_t *data = story_refused(h, "accept", -32004, "why", "short", "{}");
    story_number(data, "short_g", 30);
    story_text(data, "state", "pour");
    story_act(h, "accept", "{'short':true,'lot':'A17'}");
    story_now(h, "A", 50, 20);
    story_step(h, 0, "A", 50, 20, "again");
    story_add(h, 30);
    story_act(h, "accept", "{'lot':'A18'}");
    story_step(h, 0, "A", 50, 50, "done");
    story_now(h, "B", 30, 0);
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", id), "parts.0.lot", "A17, A18");
    /* The same lot twice is one lot. B short with nothing poured at all: it is left out, and never asked again. */
    story_act(h, "accept", "{'short':true}");
    story_step(h, 1, "B", 30, 0, "done");
    story_now(h, "C", 20, 0);
    story_pour(h, 20);
    story_is(h, "state", "done");
    json_t *b = story_call(h, "batch.get", "{'batch':'#%s'}", id);
    story_number(b, "parts.1.poured_g", 0);
    story_number(b, "total_g", 70);
    story_text(b, "state", "open");
}

/* 20 of 50 A, then short once more with nothing poured since: left short. Then C 20.5: k = 20.5/0.201 = 101.99 grows
 * by itself, since B at 30 lacks 0.597 > 0.15 it would need a top-up: it asks, but A is never asked again. */
static void left_short_is_never_asked_again(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_add(h, 20);
    story_act(h, "accept", "{'short':true}");
    story_act(h, "accept", "{'short':true}");
    story_step(h, 0, "A", 50, 20, "done");
    story_now(h, "B", 30, 0);
    story_pour(h, 30);
    story_pour(h, 20.5);
    story_is(h, "state", "over");
    story_act(h, "remedy", "{'choice':'grow'}");
    story_now(h, "B", 30.597, 30);
    story_pour(h, 0.6);
    story_is(h, "state", "done");
    story_act(h, "undo", "{}");
    story_is(h, "state", "pour");
    story_now(h, "B", 30.597, 30.6);
}

/* less: 40 of 50 A makes 80 g, where nothing else is poured. */
static void less_is_made(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_add(h, 40);
    story_act(h, "accept", "{'short':'less','lot':'A19'}");
    story_near(h, "total_g", 80);
    story_near(h, "wanted_g", 80);
    story_now(h, "B", 24, 0);
    story_pour(h, 24);
    /* C 10 would make 50 g, but A alone holds up to k = 40/0.5025 = 79.6: refused, and nothing is counted. */
    story_add(h, 10);
    story_refused(h, "accept", -32004, "why", "less", "{'short':'less'}");
    story_now(h, "C", 16, 10);
    story_step(h, 2, "C", 16, 0, "now");
    story_refused(h, "accept", -32005, "field", "short", "{'short':'some'}");
    story_refused(h, "accept", -32602, "field", "short", "{'short':7}");
    story_pour(h, 5.95);
    story_is(h, "state", "done");
    story_near(h, "wanted_g", 80);
}

/* 10 g for B were poured while A was open: B is counted and asks for the rest, A is still open. */
static void really_an_own_component(void **state)
{
    struct harness *h = *state;
    story_cup(h, plain);
    story_add(h, 10);
    story_refused(h, "accept", -32001, "field", "really", "{'really':'NOSUCH'}");
    story_act(h, "accept", "{'really':'B','lot':'B3'}");
    story_now(h, "A", 50, 0);
    story_near(h, "step", 1);
    story_near(h, "steps.1.poured_g", 10);
    story_near(h, "now.scale_shows_g", 90); /* 30 + 10 + 50 */
    story_pour(h, 50);
    story_now(h, "B", 30, 10);
    story_pour(h, 20);
    story_now(h, "C", 20, 0);
    /* B once more in place of C: 1 g more makes k = 31/0.3015 = 102.819; A lacks 1.41 g: over, C is open after. */
    story_add(h, 1);
    story_act(h, "accept", "{'really':'B'}");
    story_is(h, "state", "over");
    story_near(h, "remedies.grow.add_g.0", 1.41);
    story_near(h, "remedies.grow.add_g.2", 20.564);
    story_act(h, "undo", "{}");
    story_now(h, "C", 20, 1);
    story_step(h, 1, "B", 30, 30, "done");
}

/* 0.04 g of D is within the tolerance of 0.05 and asks nothing; 3 g more is a foreign toner, named and left. */
static void really_a_foreign_toner(void **state)
{
    struct harness *h = *state;
    char id[16];
    story_cup(h, plain);
    story_batch(h, id);
    story_add(h, 0.04);
    story_act(h, "accept", "{'really':'D'}");
    story_is(h, "state", "pour");
    story_now(h, "A", 50, 0);
    story_near(h, "steps.3.poured_g", 0.04);
    story_is(h, "steps.3.toner", "D");
    story_add(h, 3);
    story_act(h, "accept", "{'really':'D','lot':'D1'}");
    story_is(h, "state", "over");
    assert_true(json_is_null(story_at(harness_screen(h, "bench"), "remedies.grow")));
    story_near(h, "remedies.dip.take_g", 2.99); /* 3.04 - 0.05 */
    story_near(h, "remedies.leave.foreign_pct", 100);
    story_act(h, "remedy", "{'choice':'leave'}");
    story_now(h, "A", 50, 0);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_is(h, "state", "done");
    json_t *b = story_call(h, "batch.get", "{'batch':'POISE:%s'}", id);
    story_number(b, "total_g", 103.04);
    story_number(b, "total_ml", 102.04);
    story_number(b, "parts.3.poured_g", 3.04);
    story_text(b, "parts.3.lot", "D1");
    assert_true(json_is_null(story_at(b, "parts.3.deviation_pct")));
}

/* TS-2: A 100, B 50, A 100. The first A's tin runs empty at 40: it stays open for the next tin, the last A keeps its
 * own 100. Left short at 70, the last takes what A lacks as a whole: 130. */
static void short_in_the_first_of_two(void **state)
{
    struct harness *h = *state;
    story_cup(h, "{'formula':'TS-2','grams':250,'reduce_pct':0}");
    story_add(h, 40);
    story_act(h, "accept", "{'short':true}");
    story_now(h, "A", 100, 40);
    story_near(h, "step", 1);
    story_step(h, 0, "A", 100, 40, "again");
    story_step(h, 2, "A", 100, 0, "next");
    story_add(h, 30);
    story_refused(h, "accept", -32004, "why", "short", "{}");
    story_act(h, "accept", "{'short':true}");
    story_now(h, "A", 100, 70);
    story_act(h, "accept", "{'short':true}");
    story_now(h, "B", 50, 0);
    story_step(h, 2, "A", 130, 0, "next");
    story_act(h, "undo", "{}");
    story_now(h, "A", 100, 70);
    story_pour(h, 30);
    story_now(h, "B", 50, 0);
    story_step(h, 2, "A", 100, 0, "next");
    story_pour(h, 50);
    story_pour(h, 100);
    story_is(h, "state", "done");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#define STORY(f) cmocka_unit_test_setup_teardown(f, story_begin, story_end)
        STORY(two_tins_two_lots),       STORY(left_short_is_never_asked_again), STORY(less_is_made),
        STORY(really_an_own_component), STORY(really_a_foreign_toner),          STORY(short_in_the_first_of_two),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
