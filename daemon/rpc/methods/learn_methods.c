/* learn_methods.c - learn.start, learn.hand, learn.end: a bench to practise at. What is poured there is moved by the
 * batch calls, as at any bench; it must not know how (bench/practice.h).
 */
#include "bench/bench.h"
#include "bench/practice.h"
#include "rpc/methods/methods.h"
#include "station/event.h"
#include "text/number.h"
#include "text/utf8.h"

#include <math.h>
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
    struct fault f;
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
    int scenario = place_of(practice_scenarios, given);
    struct fault f;
    struct bench *b = NULL;
    if (scenario == PRACTICE_SCENARIOS)
        fault_said(&f, FAULT_INVALID, "scenario", "unknown", "member_choice field=%s given=%s choices=%s", "scenario",
                   given, "overpour, lifted, empty_tin, wrong_tin");
    else if (utf8_count(painter) > EVENT_NAME_CHARACTERS)
        fault_said(&f, FAULT_INVALID, "painter", "long", "name_too_long field=%s most=%d", "painter",
                   EVENT_NAME_CHARACTERS);
    else
        b = practice_begin(d, (enum practice_scenario)scenario, painter, &f);
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
    struct fault f;
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
