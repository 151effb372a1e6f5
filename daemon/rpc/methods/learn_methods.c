/* learn_methods.c - learn.start, learn.hand, learn.end: a bench to practise at, and the records of what is poured
 * there, which no list and no journal holds. It is moved by the batch calls, as at any bench; this file must not know
 * how (bench/practice.h).
 */
#include "bench/bench.h"
#include "bench/practice.h"
#include "clock.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/record_words.h"
#include "station/batch_record.h"
#include "station/event.h"
#include "text/number.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The place of a word in a list that ends with NULL; that NULL's: it is none of them. */
static int place_of(const char *const words[], const char *word)
{
    int i = 0;
    while (words[i] && (!word || strcmp(words[i], word) != 0))
        i++;
    return i;
}

/* Only a practice is moved by a hand of ours. NULL: answered. */
static struct bench *practice_of(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *station = json_string_value(json_object_get(params, "station"));
    struct bench *b = daemon_practice(d, station);
    struct fault f = {0};
    if (b)
        return b;
    fault_said(&f, FAULT_UNKNOWN, "station", "unknown", "no_practice station=%s", station);
    rpc_fail(call, &f);
    return NULL;
}

void method_learn_start(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *painter = json_string_value(json_object_get(params, "painter"));
    const char *given = json_string_value(json_object_get(params, "scenario"));
    const char *station = json_string_value(json_object_get(params, "station"));
    const struct config_station *as = station ? config_station_find(&d->config, station) : NULL;
    int scenario = place_of(practice_scenarios, given);
    struct fault f = {0};
    struct bench *b = NULL;
    if (scenario == PRACTICE_SCENARIOS)
        fault_said(&f, FAULT_INVALID, "scenario", "unknown", "member_choice field=%s given=%s choices=%s", "scenario",
                   given, "overpour, lifted, empty_tin, wrong_tin");
    else if (utf8_count(painter) > EVENT_NAME_CHARACTERS)
        fault_said(&f, FAULT_INVALID, "painter", "long", "name_too_long field=%s most=%d", "painter",
                   EVENT_NAME_CHARACTERS);
    else if (station && !as)
        fault_said(&f, FAULT_UNKNOWN, "station", "unknown", "no_station station=%s", station);
    else
        b = practice_begin(d, (enum practice_scenario)scenario, painter, as, &f);
    if (b)
        rpc_answer(call, json_pack("{s:s}", "station", bench_config(b)->name));
    else
        rpc_fail(call, &f);
}

void method_learn_hand(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const struct number_style style = {.point = '.'};
    struct bench *b = practice_of(d, call, params);
    const char *given = json_string_value(json_object_get(params, "act"));
    int act = place_of(practice_acts, given);
    double grams = NAN;
    struct said said;
    struct fault f = {0};
    if (!b)
        return;
    bool good = rpc_get_number(params, "grams", &grams, &f);
    if (good && act == HAND_ACTS)
        good = fault_said(&f, FAULT_INVALID, "act", "unknown", "member_choice field=%s given=%s choices=%s", "act",
                          given, "cup, pour, lift, put, remove");
    if (good && !isnan(grams) && !(grams >= 0 && grams <= 1e5))
        good = fault_said(&f, FAULT_INVALID, "grams", "range", "member_from_to field=%s least=%f most=%f", "grams", 0.0,
                          1e5);
    if (good && practice_hand(b, (enum practice_act)act, grams, &said, &f))
        rpc_answer(call, json_pack("{s:s, s:s, s:o}", "station", bench_config(b)->name, "act", given, "said",
                                   said_json(&said, &style)));
    else
        rpc_fail(call, &f);
}

static json_t *saids(const struct said list[], size_t count)
{
    const struct number_style style = {.point = '.'};
    json_t *out = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(out, said_json(&list[i], &style));
    return out;
}

void method_learn_end(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct practice_verdict v;
    struct bench *b = practice_of(d, call, params);
    if (!b)
        return;
    practice_end(b, &v);
    rpc_answer(call,
               json_pack("{s:o, s:o}", "well", saids(v.well, v.wells), "next_time", saids(v.next_time, v.next_times)));
}

/* ---- batch.get ---- */

/* The toner that an accept counts for, as the batch stands before it; "": its event names one, or it is none. */
static const char *counts_for(const struct batch *b, const struct event *e)
{
    bool pours = e->kind == EVENT_ACCEPTED && !e->toner[0] && !e->cup[0] && b->open >= 0;
    return pours ? b->recipe.part[b->recipe.step[b->open].part].toner : e->toner;
}

/* One act as the journal would tell it; it is chained to nothing, so its hash is empty. */
static json_t *line_of(const struct batch *before, const struct event *e, size_t number)
{
    const struct number_style style = batch_number_style(before);
    char time[CLOCK_TEXT];
    clock_text(e->wall_ms, time);
    json_t *line = json_pack("{s:I, s:I, s:s, s:{s:n, s:o}, s:s, s:s}", "seq", (json_int_t)number, "revision",
                             (json_int_t)e->revision, "time", time, "who", "user", "painter", view_text(e->person),
                             "what", event_names[e->kind], "hash", "");
    record_members(line, e, &style);
    if (counts_for(before, e)[0])
        json_object_set_new(line, "toner", json_string(counts_for(before, e)));
    return line;
}

/* Oldest first; the batch is folded once more beside, for what was open then. A practice is short: all are told. */
static json_t *story_of(const struct batch *b)
{
    json_t *list = json_array();
    struct batch *fold = malloc(sizeof *fold);
    if (!fold)
        return list;
    batch_init(fold);
    for (size_t i = 0; i < b->events; i++) {
        json_array_append_new(list, line_of(fold, b->history[i], i + 1));
        if (!batch_fold(fold, NULL, b->history[i]))
            break;
    }
    batch_finish(fold);
    free(fold);
    return list;
}

bool learn_record(struct daemon *d, struct rpc_call *call, const char *batch)
{
    const struct bench *at;
    const struct batch *b = practice_batch(d, batch, &at);
    char shop[STORE_SHOP];
    if (!b)
        return false;
    json_t *whole = record_words(b, d->config.currency);
    json_object_set_new(whole, "shop", json_string(store_shop(d->store, shop) == STORE_FOUND ? shop : ""));
    json_object_set_new(whole, "shelf", json_null());
    json_object_set_new(whole, "events", story_of(b));
    json_object_set_new(whole, "events_before", json_null());
    rpc_answer(call, whole);
    return true;
}
