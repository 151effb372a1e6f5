/* SIGKILL at many moments of a whole pour: started again the daemon shows the same screen, nothing that was
 * acknowledged is missing, nothing is there twice, and a call that got no answer, sent again, has one effect. */
#include "tests/e2e/harness.h"

#include <math.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

enum { KILLS = 40, SEED = 20261125 };

/* The whole pour: what stands on the scale, then the call. Reducer is left out so that the colour's aims are plain. */
static const struct {
    double on_scale_g;
    const char *method, *params;
} story[] = {
    {0, "batch.begin", "{\"formula\":\"TI-207\",\"coat\":\"ground\",\"grams\":276.7,\"reduce_pct\":0}"},
    {31.2, "batch.accept", "{}"},
    {243.2, "batch.accept", "{\"lot\":\"A17\"}"},
    {243.2, "batch.note", "{\"text\":\"the light is poor\"}"},
    {304.5, "batch.accept", "{}"},
    {304.5, "batch.undo", "{}"},
    {304.7, "batch.accept", "{}"},
    {304.7, "batch.hold", "{}"},
    {304.7, "batch.resume", NULL},
    {304.7, "batch.accept", "{}"},
    {310.4, "batch.accept", "{}"},
    {310.4, "batch.remedy", "{\"choice\":\"leave\"}"},
    {310.4, "batch.finish", "{}"},
};
enum { ACTS = sizeof story / sizeof *story };

struct told {
    json_t *screen[ACTS + 1]; /* after so many acts, without what is not compared */
    char batch[24];
    json_int_t revision; /* before the first act */
    json_t *record;
    int kills;
    double slowest_s; /* from exec to the first answer */
};

/* What differs from run to run, and what moves with the weight alone. */
static json_t *comparable(const json_t *screen)
{
    static const char *const varies[] = {"scale", "batch", "revision", "trouble", "next", "moves", "pot_life"};
    static const char *const moves[] = {"in_cup_g", "to_go_g", "cue"};
    json_t *copy = json_deep_copy(screen), *now = json_object_get(copy, "now");
    for (size_t i = 0; i < sizeof varies / sizeof *varies; i++)
        json_object_del(copy, varies[i]);
    for (size_t i = 0; i < 3 && json_is_object(now); i++)
        json_object_del(now, moves[i]);
    return copy;
}

static bool same(const json_t *screen, const json_t *want)
{
    json_t *is = comparable(screen);
    bool equal = json_equal(is, want);
    json_decref(is);
    return equal;
}

static void differs(const char *what, int act, const json_t *screen, const json_t *want)
{
    json_t *plain = comparable(screen);
    char *is = json_dumps(plain, JSON_SORT_KEYS), *wanted = json_dumps(want, JSON_SORT_KEYS);
    print_error("%s, act %d (%s):\n is  %s\n want %s\n", what, act, story[act].method, is, wanted);
    json_decref(plain);
    free(is);
    free(wanted);
    fail();
}

/* The call of an act, always with the same request and revision. */
static json_t *call_of(const struct told *t, int act, int telling)
{
    json_t *params = story[act].params ? json_loads(story[act].params, 0, NULL) : json_pack("{s:s}", "batch", t->batch);
    json_object_set_new(params, "station", json_string("bench"));
    json_object_set_new(params, "revision", json_integer(t->revision + act));
    json_object_set_new(params, "request", json_sprintf("telling-%d-act-%d", telling, act));
    return params;
}

static void done(struct told *t, int act, json_t *answer)
{
    json_t *screen = json_object_get(answer, "result");
    if (!screen) {
        char *text = json_dumps(answer, 0);
        fail_msg("act %d (%s): %s", act, story[act].method, text);
    }
    assert_int_equal(json_integer_value(json_object_get(screen, "revision")), t->revision + act + 1);
    if (!t->screen[act + 1])
        t->screen[act + 1] = comparable(screen);
    else if (!same(screen, t->screen[act + 1]))
        differs("the answer", act, screen, t->screen[act + 1]);
    const char *batch = json_string_value(json_object_get(screen, "batch"));
    if (batch)
        snprintf(t->batch, sizeof t->batch, "%s", batch);
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

/* Kills and starts again; what it then shows was shown before the act or after it. Whether it was after. */
static bool killed(struct harness *h, struct told *t, int act, bool acknowledged)
{
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    double from = now_s();
    harness_start(h);
    double took = now_s() - from;
    t->slowest_s = took > t->slowest_s ? took : t->slowest_s;
    t->kills++;
    json_int_t acts = json_integer_value(json_object_get(harness_screen(h, "bench"), "revision")) - t->revision;
    assert_in_range(acts, acknowledged ? act + 1 : act, act + 1);
    if (!same(harness_screen(h, "bench"), t->screen[acts]))
        differs("started again", act, harness_screen(h, "bench"), t->screen[acts]);
    return acts == act + 1;
}

/* Lets the daemon work on what was sent for up to so many microseconds, or until it has answered. */
static void let_work(struct harness *h, long us)
{
    struct pollfd p = {.fd = h->client, .events = POLLIN};
    (void)ppoll(&p, 1, &(struct timespec){.tv_nsec = us * 1000}, NULL);
}

/* One act with a kill at one moment of it: before it is sent, on its way, or after its answer. */
static void act_and_kill(struct harness *h, struct told *t, int act, int telling, long moment)
{
    if (moment % 4 == 0)
        killed(h, t, act - 1, true);
    harness_weigh(h, "bench", story[act].on_scale_g);
    int id = harness_send(h, story[act].method, call_of(t, act, telling));
    if (moment % 4 == 1 || moment % 4 == 2) {
        let_work(h, moment % 4 == 1 ? 0 : moment / 4 % 4000);
        killed(h, t, act, false);
        harness_weigh(h, "bench", story[act].on_scale_g);
        done(t, act, harness_ask(h, story[act].method, call_of(t, act, telling)));
        return;
    }
    done(t, act, harness_answer(h, id));
    if (moment % 4 != 3)
        return;
    killed(h, t, act, true);
    harness_weigh(h, "bench", story[act].on_scale_g);
    done(t, act, harness_ask(h, story[act].method, call_of(t, act, telling))); /* the first answer again */
}

/* Kinds of the events that somebody did, in order, and the parts of the record. */
static json_t *record_of(struct harness *h, const char *batch)
{
    json_t *record = harness_call(h, "batch.get", json_pack("{s:s}", "batch", batch));
    json_t *acts = json_array(), *event;
    json_int_t seq = 0;
    size_t i;
    json_array_foreach(json_object_get(record, "events"), i, event)
    {
        const char *what = json_string_value(json_object_get(event, "what"));
        assert_true(json_integer_value(json_object_get(event, "seq")) > seq);
        seq = json_integer_value(json_object_get(event, "seq"));
        if (strcmp(what, "kept") != 0 && strcmp(what, "lifted") != 0)
            json_array_append_new(acts, json_string(what));
    }
    return json_pack("{s:o,s:O,s:O,s:O}", "acts", acts, "parts", json_object_get(record, "parts"), "state",
                     json_object_get(record, "state"), "total_g", json_object_get(record, "total_g"));
}

static void tell(struct harness *h, struct told *t, int telling)
{
    harness_wait_scale(h, "bench", "live");
    t->revision = json_integer_value(json_object_get(harness_screen(h, "bench"), "revision"));
    if (!t->screen[0])
        t->screen[0] = comparable(harness_screen(h, "bench"));
    for (int act = 0; act < ACTS; act++) {
        long moment = t->kills < KILLS && telling > 0 ? random() : -1;
        if (moment >= 0 && (act > 0 || moment % 4 != 0)) {
            act_and_kill(h, t, act, telling, moment);
            continue;
        }
        harness_weigh(h, "bench", story[act].on_scale_g);
        done(t, act, harness_ask(h, story[act].method, call_of(t, act, telling)));
    }
    json_t *record = record_of(h, t->batch);
    if (t->record && !json_equal(t->record, record))
        fail_msg("telling %d left another record:\n%s\n%s", telling, json_dumps(record, 0), json_dumps(t->record, 0));
    json_decref(t->record);
    t->record = record;
}

static void a_pour_goes_on_after_every_kill(void **state)
{
    struct told t = {.kills = 0};
    srandom(SEED);
    for (int telling = 0; t.kills < KILLS; telling++)
        tell(*state, &t, telling);
    assert_int_equal(json_array_size(json_object_get(t.record, "acts")), ACTS);
    print_message("%d kills, at most %.3f s from start to screen\n", t.kills, t.slowest_s);
    for (int i = 0; i <= ACTS; i++)
        json_decref(t.screen[i]);
    json_decref(t.record);
}

/* A number out of the store, as it is on disk. */
static int64_t in_store(struct harness *h, const char *sql)
{
    char path[HARNESS_PATH + 32];
    sqlite3 *db;
    sqlite3_stmt *stmt;
    snprintf(path, sizeof path, "%s/state/poise.db", h->dir);
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    int64_t number = sqlite3_step(stmt) == SQLITE_ROW ? sqlite3_column_int64(stmt, 0) : -1;
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    return number;
}

static const char kept_ug[] = "SELECT json_extract(body, '$.weight_ug') FROM kept";

/* That weight stands on the scale until the store has kept it. */
static void weigh_until_kept(struct harness *h, double grams)
{
    harness_weigh(h, "bench", grams);
    for (int64_t deadline = harness_deadline(); in_store(h, kept_ug) != llround(grams * 1e6);)
        harness_step(h, deadline, "the reading in the store");
}

/* A batch whose first step is poured. */
static void begin_pour(struct harness *h)
{
    harness_weigh(h, "bench", 0);
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:f,s:i}", "formula", "TI-207", "coat", "ground", "grams", 276.7, "reduce_pct", 0));
    harness_weigh(h, "bench", 31.2);
    harness_act(h, "bench", "batch.accept", NULL);
    harness_weigh(h, "bench", 243.2);
    harness_act(h, "bench", "batch.accept", NULL);
}

/* The scale stays dark after the start: what was in the cup comes from the store alone. */
static void the_last_steady_reading_of_an_open_step_survives(void **state)
{
    struct harness *h = *state;
    struct fake_scale *scale = harness_scale(h, "bench");
    begin_pour(h);
    weigh_until_kept(h, 263.7);
    weigh_until_kept(h, 263.8); /* less than the tolerance, so it was kept because it stood */
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    fake_scale_unplug(scale);
    harness_start(h);
    assert_true(fabs(harness_number(h, "bench", "now.in_cup_g") - 20.6) < 1e-6);
    assert_true(fabs(harness_number(h, "bench", "now.to_go_g") - 40.9) < 1e-6);
    assert_true(fake_scale_plug(scale));
    harness_weigh(h, "bench", 243.2 + 61.5);
    harness_act(h, "bench", "batch.accept", NULL);
    assert_float_equal(harness_number(h, "bench", "steps.1.poured_g"), 61.5, 1e-6);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
}

/* What is kept is one row, however long the pour, and no event of the journal; a cup that then stands and flickers by
 * 1 d leaves it alone (test_keep.c does so for a day). */
static void what_is_kept_is_one_row_outside_the_journal(void **state)
{
    struct harness *h = *state;
    struct fake_scale *scale = harness_scale(h, "bench");
    begin_pour(h);
    int64_t events = in_store(h, "SELECT count(*) FROM event");
    for (int i = 1; i <= 3; i++)
        weigh_until_kept(h, 243.2 + 7.5 * i);
    for (int i = 0; i < 40; i++)
        harness_weigh(h, "bench", 243.2 + 22.5 + (i % 2 ? 0.01 : 0));
    assert_int_equal(in_store(h, kept_ug), 265700000);
    assert_int_equal(in_store(h, "SELECT count(*) FROM kept"), 1);
    assert_int_equal(in_store(h, "SELECT count(*) FROM event"), events);
    assert_int_equal(in_store(h, "SELECT count(*) FROM event WHERE kind = 'kept'"), 0);
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    fake_scale_unplug(scale);
    harness_start(h);
    assert_true(fabs(harness_number(h, "bench", "now.in_cup_g") - 22.5) < 1e-6);
    assert_true(fake_scale_plug(scale));
    harness_weigh(h, "bench", 265.7);
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pour_goes_on_after_every_kill),
        cmocka_unit_test(the_last_steady_reading_of_an_open_step_survives),
        cmocka_unit_test(what_is_kept_is_one_row_outside_the_journal),
    };
    return cmocka_run_group_tests(tests, begin, harness_end);
}
