/* scale_check_reading.c - the three readings of a check weight, taken, judged and journalled. It must not know what a
 * call may ask for. */
#include "bench/bench_parts.h"

#include "clock.h"
#include "rpc/rpc.h"
#include "text/json_write.h"
#include "text/version.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* LAPSE_MS: one that nobody goes on with is forgotten. SILENT_MS: longer than a scale that speaks once a second pauses.
 */
enum { LAPSE_MS = 300000, SILENT_MS = 1400 };

/* An overloaded scale is alive: what it says is waited for like a weight in motion. */
bool bench_check_scale_lives(const struct bench *b, struct fault *f)
{
    return (b->scale == PORT_LIVE && (b->track.has_now || b->limit)) || bench_not_live(b, f);
}

/* ---- answers ---- */

/* A reading that is not taken yet is null, never 0, which an empty pan reads. */
static json_t *gram_or_null(int64_t ug, bool taken)
{
    return taken ? number_json_ug(ug) : json_null();
}

/* error and zero in grams and in intervals (station/weight_check.h). The interval is that at the load for the error,
 * that at 0 for the zero. */
static void add_outcome(const struct bench *b, json_t *o)
{
    const struct check *c = &b->check.check;
    struct check_outcome out;
    char text[SAID_TEXT_MAX];
    double d_g = bench_check_d_g(b, c->loaded_ug);
    check_judge(c, d_g, bench_check_d_g(b, c->empty_ug), &out);
    json_t *judged = json_pack("{s:o, s:o, s:o, s:o, s:o, s:b}", "error_g", number_json(out.error_g), "error_d",
                               number_json(out.error_d), "zero_g", number_json(out.zero_g), "zero_d",
                               number_json(out.zero_d), "d_g", number_json(d_g), "passed", out.passed);
    json_object_update(o, judged);
    json_decref(judged);
    struct said said = bench_check_verdict(o);
    struct number_style style = {.point = b->daemon->config.decimal_comma ? ',' : '.', .d_g = d_g};
    json_object_set_new(o, "message", json_string(said_text(&said, WORDS_EN, &style, text, sizeof text)));
    json_object_set_new(o, "said", said_json(&said, &style));
}

/* What the call answers: all members always, null till they are known. New reference. */
static json_t *answer_of(const struct bench *b)
{
    static const char *const unknown[] = {"error_g", "error_d", "zero_g", "zero_d", "d_g", "passed"};
    const struct check *c = &b->check.check;
    char text[SAID_TEXT_MAX];
    bool done = c->next == CHECK_DONE;
    json_t *o =
        json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o}", "station", b->config->name, "next", check_next_name(c->next),
                  "grams", number_json(c->grams), "tolerance_g", number_json(c->tolerance_g), "empty_g",
                  gram_or_null(c->empty_ug, c->next > CHECK_EMPTY), "loaded_g",
                  gram_or_null(c->loaded_ug, c->next > CHECK_LOADED), "again_g", gram_or_null(c->again_ug, done));
    if (done) {
        add_outcome(b, o);
        return o;
    }
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++)
        json_object_set_new(o, unknown[i], json_null());
    struct said lead = bench_check_lead(b);
    struct number_style style = {.point = b->daemon->config.decimal_comma ? ',' : '.',
                                 .d_g = bench_check_d_g(b, c->empty_ug)};
    json_object_set_new(
        o, "message", lead.code[0] ? json_string(said_text(&lead, WORDS_EN, &style, text, sizeof text)) : json_null());
    json_object_set_new(o, "said", said_json(&lead, &style));
    return o;
}

/* The check itself stays where it was: the same call may be sent again once the pan is as it should be. */
static void bench_check_refuse(struct bench *b, struct fault *f)
{
    struct rpc_call *call = b->check.call;
    if (f->kind == FAULT_STATE)
        bench_put_state(b, f);
    b->check.call = NULL;
    uv_timer_stop(&b->check.timer);
    rpc_fail(call, f);
    bench_publish_screen(b);
}

/* ---- taking a reading ---- */

/* On disk, or refused: then the check stands where it stood before this reading. */
static void written(void *arg, const struct store_outcome *o)
{
    struct bench *b = arg;
    struct bench_check *k = &b->check;
    struct rpc_call *call = k->call;
    k->writing = false;
    k->call = NULL;
    if (o->result != STORE_DONE) {
        k->check = k->before;
        rpc_not_written(call, o);
    } else {
        json_t *answer = answer_of(b);
        if (k->check.next == CHECK_DONE && !b->closing)
            bench_check_made(b, answer);
        rpc_answer(call, answer);
    }
    if (!b->closing)
        bench_publish_screen(b);
    bench_back(b);
}

/* What the journal keeps: the figures of the answer, and what they were made of. The sentence is left out: it follows
 * from the figures, in any language (bench_check_words). Bodies of before hold it, and nobody reads it there. */
static char *body_of(const struct bench *b, const json_t *answer)
{
    json_t *body = json_copy((json_t *)(uintptr_t)answer), *raw = json_array();
    json_object_del(body, "message");
    json_object_del(body, "said");
    for (size_t i = 0; i < 3; i++)
        json_array_append_new(raw, json_string(b->check.raw[i]));
    json_object_set_new(body, "raw", raw);
    json_object_set_new(body, "profile", json_string(b->profile));
    json_object_set_new(body, "port", json_string(b->config->port));
    char *text = json_write(body, JSON_COMPACT | JSON_REAL_PRECISION(15));
    json_decref(body);
    return text;
}

/* One event where the check is done. A reading before the last writes no event, only its answer, and that only where a
 * request must find it again. */
static void write_answer(struct bench *b, const json_t *answer, bool done)
{
    struct bench_check *k = &b->check;
    char time[CLOCK_TEXT];
    char *text = body_of(b, answer), *again = json_write(answer, JSON_COMPACT | JSON_REAL_PRECISION(15));
    clock_text(clock_wall_ms(), time);
    struct store_event e = {.kind = "checked",
                            .station = b->config->name,
                            .revision = b->revision,
                            .time = time,
                            .mono_ns = clock_mono_ns(),
                            .boot = b->daemon->boot,
                            .person = k->person[0] ? k->person : NULL,
                            .client = rpc_client(k->call),
                            .version = POISE_VERSION,
                            .body = text};
    struct store_write w = {.events = &e,
                            .event_count = done ? 1 : 0,
                            .request = k->request[0] ? k->request : NULL,
                            .method = rpc_method_name(k->call),
                            .answer = again};
    k->writing = true;
    b->open_handles++;
    store_submit(b->daemon->store, &w, written, b);
    free(text);
    free(again);
}

/* done: this was the third reading. */
void bench_check_keep(struct bench *b, bool done)
{
    struct bench_check *k = &b->check;
    json_t *answer = answer_of(b);
    if (done || k->request[0]) {
        write_answer(b, answer, done);
        json_decref(answer);
        return;
    }
    struct rpc_call *call = k->call;
    k->call = NULL;
    rpc_answer(call, answer);
    bench_publish_screen(b);
}

/* Gives the check up; a call that waits is told why. */
static void drop(struct bench *b, struct fault *f)
{
    b->check.check.next = CHECK_NONE;
    b->check.watching = false;
    if (b->check.call)
        bench_check_refuse(b, f);
    else
        bench_publish_screen(b);
}

/* What the scale was zeroed to meanwhile nobody knows, so the readings before the silence are worthless. */
static void drop_for_silence(struct bench *b)
{
    struct fault f = {0};
    if (bench_check_scale_lives(b, &f)) /* back already: what it was zeroed to meanwhile nobody knows */
        fault_said(&f, FAULT_SCALE, NULL, "stale", "check_silent");
    drop(b, &f);
}

/* A pour has begun: its cup stands where the weight should. */
static void drop_for_batch(struct bench *b)
{
    struct fault f = {0};
    fault_said(&f, FAULT_STATE, NULL, "busy", "batch_poured_here");
    drop(b, &f);
}

/* Whoever led it is gone, and nobody else can know what lies on the pan. */
static void drop_for_caller(struct bench *b)
{
    struct fault f = {0};
    fault_said(&f, FAULT_STATE, NULL, "gone", "check_left");
    drop(b, &f);
}

/* CHECK_EMPTIED: something had stood on the pan, so what it shows now is the zero to start from. */
bool bench_check_try(struct bench *b)
{
    struct bench_check *k = &b->check;
    if (!bench_check_may(b)) {
        drop_for_batch(b);
        return true;
    }
    if (b->scale != PORT_LIVE || b->limit || !b->track.has_now || !b->track.now_stable)
        return false;
    enum check_sight sight = check_look(&k->check, b->track.now_ug);
    if (sight == CHECK_EMPTIED) {
        check_rebase(&k->check, b->track.now_ug);
        bench_frame_hex(b, k->raw[0]);
        bench_publish_screen(b);
    }
    if (sight != CHECK_FITS)
        return false;
    uv_timer_stop(&k->timer);
    k->before = k->check;
    bench_frame_hex(b, k->raw[k->check.next - CHECK_EMPTY]);
    bench_check_keep(b, check_take(&k->check, b->track.now_ug));
    return true;
}

/* Why the reading wanted did not come in time, as something to do. */
static void not_there(const struct bench *b, struct fault *f)
{
    struct front front;
    struct front_trouble trouble;
    if (b->limit && b->limit != FRONT_MOVING) {
        bench_front(b, &front);
        front_scale_trouble(&front, &trouble);
        bench_fault_said(f, "trouble", &trouble.said, &trouble.fix);
        return;
    }
    switch (b->track.now_stable ? check_look(&b->check.check, b->track.now_ug) : CHECK_FITS) {
    case CHECK_FITS:
        fault_said(f, FAULT_STATE, NULL, "unsteady", "weight_unsteady");
        break;
    case CHECK_ON_ALREADY:
        fault_said(f, FAULT_STATE, NULL, "loaded", "check_on_already");
        break;
    case CHECK_STILL_ON:
        fault_said(f, FAULT_STATE, NULL, "loaded", "check_still_on");
        break;
    case CHECK_BELOW:
        fault_said(f, FAULT_STATE, NULL, "lighter", "check_below");
        break;
    default:
        fault_said(f, FAULT_STATE, NULL, "nothing", "check_not_on");
        break;
    }
}

/* After a silence a scale may have been restarted and its zero be elsewhere: the readings before it say nothing. One a
 * second is no silence yet. */
static bool silent(const struct bench *b, int64_t now_ms)
{
    int64_t most = b->config->poll_len && 2 * b->config->poll_ms > SILENT_MS ? 2 * b->config->poll_ms : SILENT_MS;
    return b->scale == PORT_ABSENT || now_ms - b->check.seen_ms > most;
}

/* The time of a watch is up: what the empty pan did. */
static void watch_over(struct bench *b)
{
    struct bench_check *k = &b->check;
    struct rpc_call *call = k->call;
    struct drift_outcome out;
    double d_g = bench_check_d_g(b, b->track.now_ug);
    k->watching = false;
    if (!drift_judge(&k->drift, d_g, &out)) {
        struct fault f = {0};
        fault_said(&f, FAULT_STATE, NULL, "unsteady", "watch_few");
        bench_check_refuse(b, &f);
        return;
    }
    k->call = NULL;
    bench_doubt_watched(b, out.kind == DRIFT_DRIFTS ? out.d_per_min * d_g : 0);
    rpc_answer(call, json_pack("{s:s, s:s, s:o, s:o, s:o, s:o}", "station", b->config->name, "drift",
                               drift_kind_name(out.kind), "d_per_min", number_json(out.d_per_min), "span_d",
                               number_json(out.span_d), "d_g", number_json(d_g), "seconds",
                               number_json((double)k->drift.for_ms / 1000)));
    bench_publish_screen(b);
}

/* Of a watch this is its proper end; of a reading it means that the weight never came. */
void bench_check_patience_over(uv_timer_t *timer)
{
    struct bench *b = timer->data;
    struct fault f = {0};
    if (!b->check.call || b->check.writing)
        return;
    if (b->check.watching) {
        watch_over(b);
    } else if (silent(b, (int64_t)uv_now(b->daemon->loop)) && !b->limit) {
        drop_for_silence(b);
    } else {
        not_there(b, &f);
        bench_check_refuse(b, &f);
    }
}

/* Most benches lead no check: it costs them two look-ups a reading. */
__attribute__((hot)) void bench_check_reading(struct bench *b)
{
    struct bench_check *k = &b->check;
    if (!k->call && !bench_check_running(k))
        return;
    if (!k->writing && (k->watching || bench_check_running(k)) && silent(b, b->track.now_ms)) {
        drop_for_silence(b);
        return;
    }
    k->seen_ms = b->track.now_ms;
    if (k->watching)
        drift_add(&k->drift, b->track.now_ms, (double)b->track.now_ug / 1e6);
    else if (k->call && !k->writing)
        bench_check_try(b);
}

/* What no reading tells: a caller that hung up, a scale that fell silent, a check that was left standing for five
 * minutes, a day that has passed. */
void bench_check_tick(struct bench *b)
{
    struct bench_check *k = &b->check;
    int64_t now_ms = (int64_t)uv_now(b->daemon->loop);
    bool under_way = !k->writing && (k->watching || bench_check_running(k));
    if (b->limit)
        k->seen_ms = now_ms; /* it speaks, though no weight */
    if (under_way && k->call && rpc_is_gone(k->call))
        drop_for_caller(b); /* killed; Ctrl-C takes it back itself */
    else if (under_way && silent(b, now_ms))
        drop_for_silence(b);
    else if (under_way && !bench_check_may(b))
        drop_for_batch(b);
    else if (under_way && !k->call && now_ms - k->touched_ms > LAPSE_MS)
        drop(b, NULL);
    int days = bench_check_may(b) ? bench_check_days(b) : 0;
    if (days != k->shown_days)
        bench_publish_screen(b);
    k->shown_days = days;
}

/* One that is being written is answered by its write. */
void bench_check_stop(struct bench *b, const struct fault *why)
{
    struct bench_check *k = &b->check;
    if (k->call && !k->writing) {
        rpc_fail(k->call, why);
        k->call = NULL;
    }
    k->watching = false;
    json_decref(k->last);
    k->last = NULL;
    k->has_last = false;
}
