/* Practice at a bench that is none: a simulated scale and hand, the batch calls, and nothing that stays. World:
 * story.h.
 */
#include "tests/e2e/story.h"

#include <math.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static char station[32];

static void start(struct harness *h, const char *scenario)
{
    json_t *r = story_call(h, "learn.start", "{'painter':'Ines','scenario':'%s'}", scenario);
    snprintf(station, sizeof station, "%s", json_string_value(json_object_get(r, "station")));
}

static json_t *look(struct harness *h)
{
    return story_call(h, "watch", "{'station':'%s'}", station);
}

static json_t *hand(struct harness *h, const char *act, double grams)
{
    if (isnan(grams))
        return story_call(h, "learn.hand", "{'station':'%s','act':'%s'}", station, act);
    return story_call(h, "learn.hand", "{'station':'%s','act':'%s','grams':%.2f}", station, act, grams);
}

/* batch.WORD there, with more members; its answer whole. */
static json_t *ask(struct harness *h, const char *word, const char *more)
{
    static int n;
    char params[512], method[32];
    int revision = (int)json_integer_value(json_object_get(look(h), "revision"));
    snprintf(params, sizeof params, "{\"station\":\"%s\",\"revision\":%d,\"request\":\"learn-%d\"%s}", station,
             revision, ++n, more);
    snprintf(method, sizeof method, "batch.%s", word);
    return harness_ask(h, method, json_loads(params, 0, NULL));
}

static json_t *act(struct harness *h, const char *word, const char *more)
{
    json_t *answer = ask(h, word, more), *result = json_object_get(answer, "result");
    if (!result)
        fail_msg("batch.%s: %s", word, json_dumps(answer, JSON_COMPACT));
    return result;
}

/* Until the hand is done and the weight stands: the weight that the practice's screen would accept. */
static void settle(struct harness *h)
{
    int64_t deadline = harness_deadline();
    for (;;) {
        json_t *next = json_object_get(look(h), "next");
        const char *code = json_string_value(story_at(next, "said.code"));
        if (code && strcmp(json_string_value(json_object_get(next, "kind")), "key") == 0)
            return;
        harness_step(h, deadline, "a weight that stands");
    }
}

static void begin(struct harness *h)
{
    act(h, "begin", ",\"formula\":\"TS-1\",\"grams\":100,\"reduce_pct\":0");
    hand(h, "cup", 30);
    settle(h);
    act(h, "accept", "");
}

/* Reads a connection of its own until a line of it holds the text. */
static void heard(struct harness *h, int fd, const char *text)
{
    static char line[65536];
    size_t len = 0;
    int64_t deadline = harness_deadline();
    for (;;) {
        struct pollfd ready = {.fd = fd, .events = POLLIN};
        if (poll(&ready, 1, 0) > 0) {
            ssize_t n = read(fd, line + len, sizeof line - 1 - len);
            if (n <= 0)
                fail_msg("the connection ended before %s", text);
            line[len += (size_t)n] = '\0';
            if (strstr(line, text))
                return;
            char *end = strrchr(line, '\n');
            len = end ? strlen(end + 1) : len;
            if (end)
                memmove(line, end + 1, len + 1);
        } else {
            harness_step(h, deadline, text);
        }
    }
}

static bool holds(json_t *list, const char *code)
{
    json_t *said;
    size_t i;
    json_array_foreach(list, i, said)
    {
        if (strcmp(json_string_value(json_object_get(said, "code")), code) == 0)
            return true;
    }
    return false;
}

static void verdict(struct harness *h, const char *well, const char *next_time)
{
    char batch[24];
    const char *open = json_string_value(json_object_get(look(h), "batch"));
    snprintf(batch, sizeof batch, "%s", open ? open : "L1");
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", batch), "batch", batch);
    json_t *r = json_incref(story_call(h, "learn.end", "{'station':'%s'}", station));
    if (well && !holds(json_object_get(r, "well"), well))
        fail_msg("not well %s: %s", well, json_dumps(r, JSON_COMPACT));
    if (next_time && !holds(json_object_get(r, "next_time"), next_time))
        fail_msg("not next time %s: %s", next_time, json_dumps(r, JSON_COMPACT));
    json_decref(r);
    story_text(story_fault(h, "watch", -32001, "{'station':'%s'}", station), "field", "station");
    story_text(story_fault(h, "batch.get", -32001, "{'batch':'%s'}", batch), "field", "batch");
}

/* By the hand's own mishap: too much of the first toner, answered by more of the rest. Of all this the shop's books
 * hold nothing. */
static void an_overpour_is_practised(void **state)
{
    struct harness *h = *state;
    start(h, "overpour");
    assert_string_equal(station, "learn-1");
    begin(h);
    story_text(look(h), "batch", "L1");
    story_text(look(h), "painter", "Ines");
    story_text(hand(h, "pour", NAN), "said.code", "practice_over");
    int64_t deadline = harness_deadline();
    while (strcmp(json_string_value(story_at(look(h), "now.cue")), "over") != 0)
        harness_step(h, deadline, "an overpour");
    settle(h);
    json_t *screen = act(h, "accept", "");
    story_text(screen, "state", "over");
    act(h, "remedy", ",\"choice\":\"grow\"");
    for (int i = 0; i < 2; i++) {
        hand(h, "pour", NAN);
        settle(h);
        screen = act(h, "accept", "");
    }
    story_text(screen, "state", "done");
    act(h, "finish", "");
    /* While the practice lasts its record can be read, with its story; it is in no list. */
    json_t *record = story_call(h, "batch.get", "{'batch':'L1'}");
    story_text(record, "state", "finished");
    story_text(record, "events.0.what", "begun");
    story_text(record, "events.2.toner", "A");
    story_text(record, "events.3.choice", "grow");
    assert_true(json_number_value(json_object_get(record, "total_g")) > 110);
    assert_int_equal(json_array_size(json_object_get(story_call(h, "batch.find", "{}"), "batches")), 0);
    verdict(h, "learn_over_answered", NULL);
    assert_int_equal(json_array_size(json_object_get(story_call(h, "batch.find", "{}"), "batches")), 0);
    story_number(story_at(story_call(h, "stock.list", "{'toner':'A'}"), "stock.0"), "grams", (double)NAN);
    /* The shop's own number is not used up by it. */
    story_act(h, "begin", "{'formula':'TS-1','grams':100}");
    story_is(h, "batch", "1");
}

/* The hand pours what it is told, the cup is lifted and put back, the tin runs empty, another tin is named. */
static void the_other_mishaps(void **state)
{
    struct harness *h = *state;
    start(h, "lifted");
    begin(h);
    hand(h, "pour", 20);
    int64_t deadline = harness_deadline();
    while (json_number_value(story_at(look(h), "now.in_cup_g")) < 19.9)
        harness_step(h, deadline, "20 g in the cup");
    hand(h, "lift", NAN);
    deadline = harness_deadline();
    while (!json_is_true(json_object_get(look(h), "lifted")))
        harness_step(h, deadline, "a lifted cup");
    story_text(json_object_get(ask(h, "accept", ""), "error"), "data.why", "lifted");
    story_text(story_fault(h, "learn.hand", -32004, "{'station':'%s','act':'pour','grams':1}", station), "why",
               "lifted");
    hand(h, "put", NAN);
    deadline = harness_deadline();
    while (json_is_true(json_object_get(look(h), "lifted")))
        harness_step(h, deadline, "the cup back");
    hand(h, "pour", 30);
    settle(h);
    act(h, "accept", "");
    verdict(h, "learn_put_back", "learn_lifted_accept");

    start(h, "empty_tin");
    begin(h);
    story_text(hand(h, "pour", NAN), "said.code", "practice_empty");
    deadline = harness_deadline();
    while (json_number_value(story_at(look(h), "now.in_cup_g")) < 29.9)
        harness_step(h, deadline, "60 % of it");
    act(h, "accept", ",\"short\":true");
    hand(h, "pour", NAN);
    settle(h);
    act(h, "accept", "");
    act(h, "hold", "");
    act(h, "resume", ",\"batch\":\"L2\"");
    verdict(h, "learn_tin_empty", "learn_finished_next");

    start(h, "wrong_tin");
    begin(h);
    story_text(hand(h, "pour", NAN), "said.args.toner", "B");
    verdict(h, NULL, "learn_nothing");
}

/* One place of the hand on the screen: open or shut. */
static bool hand_open(struct harness *h, int place)
{
    json_t *move = json_array_get(story_at(look(h), "practice.hand"), (size_t)place - 1);
    return json_is_true(json_object_get(move, "open"));
}

/* The screen says what the hand may do, at places that never move, and that nothing is kept; what is taken out without
 * a figure is what the dip asks. Another who watches is told when it ends, and of no later practice of that name. */
static void the_screen_leads_the_hand(void **state)
{
    struct harness *h = *state;
    story_text(story_call(h, "learn.start", "{'painter':'Ines','scenario':'overpour','station':'bench'}"), "station",
               "learn-1");
    snprintf(station, sizeof station, "learn-1");
    story_text(look(h), "practice.said.code", "practice_mark");
    story_text(look(h), "practice.hand.1.act.params.act", "pour");
    story_text(look(h), "practice.hand.4.asks.0", "grams");
    assert_true(json_is_null(json_object_get(story_call(h, "watch", "{'station':'bench'}"), "practice")));
    assert_true(hand_open(h, 1) && !hand_open(h, 2) && !hand_open(h, 3) && !hand_open(h, 4));
    story_text(story_fault(h, "learn.hand", -32004, "{'station':'learn-1','act':'put'}"), "why", "no_cup");
    begin(h);
    assert_true(hand_open(h, 2) && hand_open(h, 3) && !hand_open(h, 4) && hand_open(h, 6));
    hand(h, "lift", NAN);
    assert_true(!hand_open(h, 2) && hand_open(h, 4) && !hand_open(h, 6));
    hand(h, "put", NAN);
    int64_t deadline = harness_deadline();
    while (json_is_true(json_object_get(look(h), "lifted")))
        harness_step(h, deadline, "the cup back");
    story_text(story_fault(h, "learn.hand", -32005, "{'station':'learn-1','act':'remove'}"), "field", "grams");
    hand(h, "pour", NAN);
    settle(h);
    story_text(act(h, "accept", ""), "state", "over");
    double take_g = json_number_value(story_at(look(h), "remedies.dip.take_g"));
    act(h, "remedy", ",\"choice\":\"dip\"");
    hand(h, "remove", NAN);
    settle(h);
    assert_true(fabs(json_number_value(story_at(look(h), "now.in_cup_g")) + take_g) < 0.02);
    act(h, "accept", "");
    int other = harness_connect(h);
    static const char watch[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":"
                                "{\"station\":\"learn-1\"}}\n";
    assert_int_equal(write(other, watch, sizeof watch - 1), sizeof watch - 1);
    heard(h, other, "\"result\"");
    story_call(h, "learn.end", "{'station':'learn-1'}");
    heard(h, other, "\"over\":true");
    start(h, "lifted");
    assert_string_equal(station, "learn-1");
    hand(h, "cup", NAN);
    assert_int_equal(close(other), 0);
}

/* Limits, and what is refused. */
static void practice_has_its_bounds(void **state)
{
    struct harness *h = *state;
    story_text(story_fault(h, "learn.start", -32005, "{'painter':'Ines','scenario':'fire'}"), "field", "scenario");
    story_text(story_fault(h, "learn.start", -32602, "{'scenario':'lifted'}"), "field", "painter");
    story_text(story_fault(h, "learn.hand", -32001, "{'station':'bench','act':'lift'}"), "field", "station");
    story_text(story_fault(h, "learn.end", -32001, "{'station':'bench'}"), "field", "station");
    story_text(story_fault(h, "learn.start", -32001, "{'painter':'Ines','scenario':'lifted','station':'bench 9'}"),
               "field", "station");
    for (int i = 0; i < 64; i++)
        start(h, "lifted");
    assert_string_equal(station, "learn-64");
    story_text(story_fault(h, "learn.start", -32004, "{'painter':'Ines','scenario':'lifted'}"), "why", "busy");
    story_text(story_fault(h, "learn.hand", -32005, "{'station':'learn-8','act':'dance'}"), "field", "act");
    story_text(story_fault(h, "learn.hand", -32005, "{'station':'learn-8','act':'pour','grams':-1}"), "field", "grams");
    story_text(story_fault(h, "scale.check", -32001, "{'station':'learn-8','grams':100}"), "field", "station");
    assert_int_equal(json_array_size(json_object_get(story_call(h, "scale.list", "{}"), "scales")), 1);
    json_t *first = json_deep_copy(harness_ask(h, "batch.begin",
                                               json_loads("{\"station\":\"learn-8\",\"request\":\"r1\","
                                                          "\"formula\":\"TS-1\",\"grams\":100}",
                                                          0, NULL)));
    json_t *again = harness_ask(h, "batch.begin",
                                json_loads("{\"station\":\"learn-8\",\"request\":\"r1\","
                                           "\"formula\":\"TS-1\",\"grams\":100}",
                                           0, NULL));
    if (!json_object_get(first, "result") || !json_object_get(again, "result"))
        fail_msg("%.300s then %.300s", json_dumps(first, JSON_COMPACT), json_dumps(again, JSON_COMPACT));
    assert_true(json_equal(story_at(first, "result.batch"), story_at(again, "result.batch")));
    json_decref(first);
    /* The daemon ends though people practise, and no practice is there at the next start. */
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    harness_start(h);
    story_text(story_fault(h, "watch", -32001, "{'station':'learn-8'}"), "field", "station");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_overpour_is_practised, story_begin, story_end),
        cmocka_unit_test_setup_teardown(the_other_mishaps, story_begin, story_end),
        cmocka_unit_test_setup_teardown(the_screen_leads_the_hand, story_begin, story_end),
        cmocka_unit_test_setup_teardown(practice_has_its_bounds, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
