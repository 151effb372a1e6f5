/* Acts in any order that a bench can come to, hundreds of them, against what must always be true: what the station
 * counts and what stands uncounted on the scale are the paint that really is in the cup; the record's parts sum up to
 * its total; a daemon killed and started again shows the same screen; a refusal is one of the documented ones.
 * World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { STORIES = 24, ACTS = 30 };

struct bench_now {
    struct harness *h;
    uint64_t seed;
    double cup, paint; /* what really stands on the pan */
    char did[96];      /* the last act, for a fault's text */
};

/* xorshift64, from memory; a fixed seed, so that a fault comes back. */
static double draw(struct bench_now *b)
{
    b->seed ^= b->seed << 13;
    b->seed ^= b->seed >> 7;
    b->seed ^= b->seed << 17;
    return (double)(b->seed >> 11) / 9007199254740992.0;
}

static double number(struct bench_now *b, const char *path)
{
    return harness_number(b->h, "bench", path);
}

static bool state_is(struct bench_now *b, const char *state)
{
    return strcmp(harness_text(b->h, "bench", "state"), state) == 0;
}

static void weigh(struct bench_now *b)
{
    harness_weigh(b->h, "bench", round((b->cup + b->paint) * 100) / 100);
    story_look(b->h);
}

static void add(struct bench_now *b, double grams)
{
    b->paint = fmax(0, round((b->paint + grams) * 100) / 100);
    weigh(b);
}

/* Does it, or is refused with a code of the contract; whether it was done. */
__attribute__((format(printf, 3, 4))) static bool act(struct bench_now *b, const char *word, const char *format, ...)
{
    char method[32];
    va_list args;
    va_start(args, format);
    json_t *params = story_json(format, args);
    va_end(args);
    static int requests;
    snprintf(method, sizeof method, "batch.%s", word);
    snprintf(b->did, sizeof b->did, "%s %.60s", word, format);
    char request[32];
    snprintf(request, sizeof request, "any-%d", ++requests);
    json_object_set_new(params, "station", json_string("bench"));
    json_object_set_new(params, "request", json_string(request));
    json_object_set_new(params, "revision", json_real(number(b, "revision")));
    json_t *answer = harness_ask(b->h, method, params);
    int code = (int)json_integer_value(story_at(answer, "error.code"));
    if (code && code != -32004 && code != -32005 && code != -32008)
        fail_msg("%s: %s", b->did, json_dumps(answer, JSON_COMPACT));
    story_look(b->h);
    return code == 0;
}

static void check(struct bench_now *b)
{
    char id[16];
    story_batch(b->h, id);
    if (state_is(b, "idle"))
        return;
    json_t *record = story_call(b->h, "batch.get", "{'batch':'%s'}", id), *part;
    double total = json_number_value(json_object_get(record, "total_g")), sum = 0, loose = 0;
    size_t i;
    json_array_foreach(json_object_get(record, "parts"), i, part) sum +=
        json_number_value(json_object_get(part, "poured_g"));
    sum += json_number_value(story_at(record, "reducer.poured_g"));
    if (json_is_object(json_object_get(harness_screen(b->h, "bench"), "now")) && state_is(b, "pour")) {
        loose = number(b, "now.in_cup_g");
        char path[48];
        double at = number(b, "step");
        snprintf(path, sizeof path, "steps.%d.poured_g", isnan(at) ? 0 : (int)at - 1);
        json_t *tint = story_at(harness_screen(b->h, "bench"), "now.toner"), *step;
        if (!isnan(at))
            loose -= number(b, path);
        else if (json_is_string(tint)) /* a tint begins with what is in the cup of its toner */
            json_array_foreach(json_object_get(harness_screen(b->h, "bench"), "steps"), i,
                               step) if (json_equal(json_object_get(step, "toner"), tint)) loose -=
                json_number_value(json_object_get(step, "poured_g"));
    }
    if (state_is(b, "cup")) { /* undone back to the cup: it is taken as it then stands */
        b->cup += b->paint - total;
        b->paint = total;
    }
    if (fabs(sum - total) > 0.02 || fabs(total + loose - b->paint) > 0.05)
        fail_msg("after %s: parts %.3f, total %.3f, uncounted %.3f, really %.3f; %s", b->did, sum, total, loose,
                 b->paint, json_dumps(harness_screen(b->h, "bench"), JSON_COMPACT));
}

static json_t *still(struct bench_now *b)
{
    json_t *screen = json_deep_copy(harness_screen(b->h, "bench"));
    static const char *const live[] = {"scale", "trouble", "next", "moves", "pot_life"};
    for (size_t i = 0; i < sizeof live / sizeof *live; i++)
        json_object_del(screen, live[i]);
    json_object_del(json_object_get(screen, "now"), "cue");
    return screen;
}

static void kill_and_start(struct bench_now *b)
{
    json_t *before = still(b);
    harness_stop(b->h, SIGKILL);
    harness_start(b->h);
    weigh(b);
    json_t *after = still(b);
    if (!json_equal(before, after))
        fail_msg("after a kill: %s, before %s", json_dumps(after, JSON_COMPACT), json_dumps(before, JSON_COMPACT));
    json_decref(before);
    json_decref(after);
}

static void pour_something(struct bench_now *b)
{
    double to_go = number(b, "now.to_go_g"), kind = draw(b);
    if (isnan(to_go)) {
        add(b, 1 + round(draw(b) * 300) / 100);
        act(b, "accept", "{}");
    } else if (json_is_null(story_at(harness_screen(b->h, "bench"), "now.toner"))) { /* take out */
        add(b, round(to_go * (0.7 + 0.6 * draw(b)) * 100) / 100 - 0.02);
        act(b, "accept", "{}");
    } else {
        add(b, fmax(0, round(to_go * (kind < 0.5 ? 100 : kind < 0.8 ? 103 : 120)) / 100));
        act(b, "accept", kind > 0.9 ? "{'lot':'L1'}" : "{}");
    }
}

static void in_pour(struct bench_now *b)
{
    bool take_out = json_is_null(story_at(harness_screen(b->h, "bench"), "now.toner"));
    double which = take_out ? fmod(draw(b) * 0.78 + 0.72, 1) : draw(b); /* nobody pours on while taking out */
    static const char *const others[] = {"A", "B", "C", "D"};
    if (which >= 0.8 && draw(b) < 0.5) /* some of it stands there uncounted when trouble comes */
        add(b, (take_out ? -0.3 : 1) * (0.1 + round(draw(b) * 300) / 100));
    if (which < 0.5) {
        pour_something(b);
    } else if (which < 0.58) {
        add(b, round(draw(b) * 500) / 100);
        act(b, "accept", draw(b) < 0.3 ? "{'short':'less'}" : "{'short':true}");
    } else if (which < 0.66) {
        add(b, round(draw(b) * 300) / 100);
        act(b, "accept", "{'really':'%s'}", others[(int)(draw(b) * 4)]);
    } else if (which < 0.72) {
        act(b, "tint", "{'toner':'%s'}", others[(int)(draw(b) * 4)]);
    } else if (which < 0.80) {
        act(b, "undo", "{}");
    } else if (which < 0.88) {
        if (!take_out) { /* lifted, and set down with a saucer under it; in a dip that would look like paint */
            b->cup += 1 + round(draw(b) * 1000) / 100;
            harness_weigh(b->h, "bench", 0);
            weigh(b);
        }
        act(b, "retare", "{}");
    } else if (which < 0.94) {
        kill_and_start(b);
    } else {
        char id[16];
        story_batch(b->h, id);
        if (act(b, "hold", "{}") && act(b, "resume", "{'batch':'%s'}", id))
            act(b, "accept", "{}");
    }
}

static void in_over(struct bench_now *b)
{
    static const char *const choices[] = {"grow", "dip", "leave", "leave", "dip", "grow"};
    if (draw(b) < 0.15)
        act(b, "undo", "{}");
    else if (draw(b) < 0.1)
        kill_and_start(b);
    else
        act(b, "remedy", "{'choice':'%s'}", choices[(int)(draw(b) * 6)]);
}

static void in_done(struct bench_now *b)
{
    double which = draw(b);
    if (which < 0.2)
        act(b, "undo", "{}");
    else if (which < 0.4)
        act(b, "tint", "{'toner':'D'}");
    else if (which < 0.6)
        kill_and_start(b);
    else
        act(b, "finish", "{}");
}

static void in_any_order(void **state)
{
    struct bench_now b = {.h = *state, .seed = 1711};
    static const char *const begins[] = {"{'formula':'TS-1','grams':120}", "{'formula':'TS-2','grams':250}",
                                         "{'formula':'TS-3','grams':300,'reduce_pct':0}",
                                         "{'formula':'TS-4','grams':150}", "{'product':'CLEAR-A','ml':300}"};
    for (int i = 0; i < STORIES; i++) {
        b.cup = 30;
        b.paint = 0;
        act(&b, "begin", "%s", begins[i % 5]);
        for (int acts = 0; acts < ACTS && !state_is(&b, "idle"); acts++) {
            weigh(&b);
            if (state_is(&b, "cup"))
                act(&b, "accept", "{}");
            else
                (state_is(&b, "pour") ? in_pour : state_is(&b, "over") ? in_over : in_done)(&b);
            check(&b);
        }
        if (!state_is(&b, "idle"))
            assert_true(act(&b, "scrap", "{'why':'enough'}"));
        harness_weigh(b.h, "bench", 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test_setup_teardown(in_any_order, story_begin, story_end)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
