#include "bench/bench_parts.h"

#include "clock.h"
#include "rpc/written.h"
#include "station/words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PATIENCE_MS = 3000, LAPSE_MS = 300000, WATCH_S = 60, WATCH_LEAST_S = 1, WATCH_MOST_S = 600 };
#define DAY_MS INT64_C(86400000)

static bool may_check(const struct bench *b)
{
    return !b->batch || b->batch->state == BATCH_CUP;
}

static bool running(const struct bench_check *k)
{
    return k->check.next > CHECK_NONE && k->check.next < CHECK_DONE;
}

static double d_at(const struct bench *b, int64_t ug)
{
    return config_station_d_g(b->config, (double)ug / 1e6);
}

/* ---- what is known of the scale ---- */

static void take_last(void *arg, const struct store_event *e)
{
    struct bench_check *k = arg;
    json_t *body = json_loads(e->body ? e->body : "{}", 0, NULL);
    json_decref(k->last);
    k->last = body;
    k->has_last = body != NULL;
    k->last_passed = json_is_true(json_object_get(body, "passed"));
    k->last_ms = e->time ? clock_parse(e->time) : 0;
}

void bench_check_init(struct bench *b)
{
    struct bench_check *k = &b->check;
    char *begun = store_begun(b->daemon->store);
    k->since_ms = begun ? clock_parse(begun) : -1;
    free(begun);
    if (k->since_ms < 0)
        k->since_ms = clock_wall_ms();
    store_last_weight_check(b->daemon->store, b->config->name, 0, take_last, k);
}

/* Whole days since the last one, where that is at least check_days; else 0. */
static int days_overdue(const struct bench *b)
{
    const struct bench_check *k = &b->check;
    int64_t days = (clock_wall_ms() - (k->has_last ? k->last_ms : k->since_ms)) / DAY_MS;
    return days >= b->config->check_days ? (int)(days < 99999 ? days : 99999) : 0;
}

const char *bench_check_due(const struct bench *b, char *out, size_t size)
{
    int days = days_overdue(b);
    if (days == 0 || !may_check(b))
        return NULL;
    snprintf(out, size, "no check weight for %d day%s", days, days == 1 ? "" : "s");
    return out;
}

const char *bench_check_failed(const struct bench *b, char *out, size_t size)
{
    if (!b->check.has_last || b->check.last_passed)
        return NULL;
    bench_check_words(b->check.last, b->check.last_ms, b->daemon->config.decimal_comma, out, size);
    return out;
}

/* `the last check weight failed: 200 g read 0.52 g (52 d) off on 2026-11-25 14:03` */
void bench_check_words(const json_t *body, int64_t wall_ms, bool comma, char *out, size_t size)
{
    char when[CLOCK_TEXT], off[WORDS_WEIGHT], zero[WORDS_WEIGHT];
    double d = json_number_value(json_object_get(body, "d_g"));
    double error = json_number_value(json_object_get(body, "error_g"));
    double zero_g = json_number_value(json_object_get(body, "zero_g"));
    double tolerance = json_number_value(json_object_get(body, "tolerance_g"));
    clock_text(wall_ms, when);
    when[10] = ' ';
    words_weight(error, d, comma, off);
    words_weight(zero_g, d, comma, zero);
    if (fabs(error) > tolerance + 1e-6)
        snprintf(out, size, "the last check weight failed: %g g read %s%s g (%.0f d) off on %.16s",
                 json_number_value(json_object_get(body, "grams")), error > 0 ? "+" : "", off, error / d, when);
    else
        snprintf(out, size, "the last check weight failed: the empty pan came back at %s%s g (%.0f d) on %.16s",
                 zero_g > 0 ? "+" : "", zero, zero_g / d, when);
}

const char *bench_check_message(const struct bench *b, char *out, size_t size)
{
    const struct bench_check *k = &b->check;
    if (k->watching)
        snprintf(out, size, "watching the empty pan: hands off, air off");
    else if (!running(k) || !may_check(b))
        return NULL;
    else if (k->check.next == CHECK_EMPTY)
        snprintf(out, size, "check weight: leave it off the pan first");
    else
        snprintf(out, size,
                 k->check.next == CHECK_LOADED ? "put the check weight of %g g on" : "take the %g g off again",
                 k->check.grams);
    return out;
}

/* ---- answers ---- */

static json_t *gram_or_null(int64_t ug, bool taken)
{
    return taken ? rpc_number_ug(ug) : json_null();
}

static json_t *answer_of(const struct bench *b)
{
    const struct check *c = &b->check.check;
    struct check_outcome out;
    char text[200];
    bool done = c->next == CHECK_DONE;
    json_t *o =
        json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o}", "station", b->config->name, "next", check_next_name(c->next),
                  "grams", rpc_number(c->grams), "tolerance_g", rpc_number(c->tolerance_g), "empty_g",
                  gram_or_null(c->empty_ug, c->next > CHECK_EMPTY), "loaded_g",
                  gram_or_null(c->loaded_ug, c->next > CHECK_LOADED), "again_g", gram_or_null(c->again_ug, done));
    if (done) {
        check_judge(c, d_at(b, c->loaded_ug), &out);
        json_t *judged =
            json_pack("{s:o, s:o, s:o, s:o, s:o, s:b}", "error_g", rpc_number(out.error_g), "error_d",
                      rpc_number(out.error_d), "zero_g", rpc_number(out.zero_g), "zero_d", rpc_number(out.zero_d),
                      "d_g", rpc_number(d_at(b, c->loaded_ug)), "passed", out.passed);
        json_object_update(o, judged);
        json_decref(judged);
        if (out.passed)
            snprintf(text, sizeof text, "the scale is right within %g g", c->tolerance_g);
        else
            bench_check_words(o, clock_wall_ms(), b->daemon->config.decimal_comma, text, sizeof text);
        json_object_set_new(o, "message", json_string(text));
        return o;
    }
    static const char *const unknown[] = {"error_g", "error_d", "zero_g", "zero_d", "d_g", "passed"};
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++)
        json_object_set_new(o, unknown[i], json_null());
    json_object_set_new(o, "message", view_text(bench_check_message(b, text, sizeof text)));
    return o;
}

static void fail_call(struct bench *b, const char *why, const char *help, const char *message)
{
    struct rpc_call *call = b->check.call;
    struct fault f;
    fault_set(&f, FAULT_STATE, NULL, why, help, "%s", message);
    snprintf(f.state, sizeof f.state, "%s", b->batch ? screen_state_names[b->batch->state] : "idle");
    b->check.call = NULL;
    rpc_fail(call, &f);
    bench_publish_screen(b);
}

/* ---- taking a reading ---- */

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
        if (k->check.next == CHECK_DONE) {
            k->last_ms = clock_wall_ms();
            k->last_passed = json_is_true(json_object_get(answer, "passed"));
            k->has_last = true;
            json_decref(k->last);
            k->last = json_incref(answer);
        }
        rpc_answer(call, answer);
    }
    if (!b->closing)
        bench_publish_screen(b);
    bench_back(b);
}

/* The first two readings are written only where a request must find its answer again; the third always. */
static void keep(struct bench *b, bool done)
{
    struct bench_check *k = &b->check;
    char time[CLOCK_TEXT], boot[40];
    json_t *answer = answer_of(b);
    if (!done && !k->request[0]) {
        struct rpc_call *call = k->call;
        k->call = NULL;
        rpc_answer(call, answer);
        bench_publish_screen(b);
        return;
    }
    json_t *body = json_copy(answer), *raw = json_array();
    for (size_t i = 0; i < 3; i++)
        json_array_append_new(raw, json_string(k->raw[i]));
    json_object_set_new(body, "raw", raw);
    json_object_set_new(body, "profile", json_string(b->profile));
    json_object_set_new(body, "port", json_string(b->config->port));
    char *text = json_dumps(body, JSON_COMPACT | JSON_REAL_PRECISION(15));
    char *again = json_dumps(answer, JSON_COMPACT | JSON_REAL_PRECISION(15));
    json_decref(body);
    json_decref(answer);
    clock_text(clock_wall_ms(), time);
    clock_boot_id(boot);
    struct store_event e = {.kind = "checked",
                            .station = b->config->name,
                            .revision = b->revision,
                            .time = time,
                            .mono_ns = clock_mono_ns(),
                            .boot = boot,
                            .person = k->person[0] ? k->person : NULL,
                            .client = rpc_client(k->call),
                            .version = POISE_VERSION,
                            .body = text ? text : "{}"};
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

/* True: the call is over, answered or being written. */
static bool try_take(struct bench *b)
{
    struct bench_check *k = &b->check;
    if (!may_check(b)) {
        k->check.next = CHECK_NONE;
        uv_timer_stop(&k->timer);
        fail_call(b, "busy", "Finish, hold or scrap the batch first.", "a batch is being poured here");
        return true;
    }
    if (b->scale != PORT_LIVE || b->trouble[0] || !b->track.has_now || !b->track.now_stable ||
        !check_fits(&k->check, b->track.now_ug))
        return false;
    uv_timer_stop(&k->timer);
    k->before = k->check;
    bench_frame_hex(b, k->raw[k->check.next - CHECK_EMPTY]);
    keep(b, check_take(&k->check, b->track.now_ug));
    return true;
}

static void watch_over(struct bench *b)
{
    struct bench_check *k = &b->check;
    struct rpc_call *call = k->call;
    struct drift_outcome out;
    k->watching = false;
    if (!drift_judge(&k->drift, d_at(b, b->track.now_ug), &out)) {
        fail_call(b, "unsteady", "Look at the cable and that the scale is on, then watch it again.",
                  "too few readings came to say anything");
        return;
    }
    k->call = NULL;
    rpc_answer(call, json_pack("{s:s, s:s, s:o, s:o, s:o, s:o}", "station", b->config->name, "drift",
                               drift_kind_name(out.kind), "d_per_min", rpc_number(out.d_per_min), "span_d",
                               rpc_number(out.span_d), "d_g", rpc_number(d_at(b, b->track.now_ug)), "seconds",
                               rpc_number((double)k->drift.for_ms / 1000)));
    bench_publish_screen(b);
}

static void patience_over(uv_timer_t *timer)
{
    struct bench *b = timer->data;
    const struct check *c = &b->check.check;
    if (!b->check.call || b->check.writing)
        return;
    if (b->check.watching)
        watch_over(b);
    else if (!b->track.now_stable)
        fail_call(b, "unsteady", "Let the weight settle, keep draught and hands off, then go on.",
                  "the weight did not come to rest");
    else if (c->next == CHECK_LOADED)
        fail_call(b, "nothing", "Put the check weight on, then go on.", "the check weight is not on the pan");
    else
        fail_call(b, "loaded", "Take the check weight off, then go on.", "the check weight is still on the pan");
}

__attribute__((hot)) void bench_check_reading(struct bench *b)
{
    struct bench_check *k = &b->check;
    if (k->watching)
        drift_add(&k->drift, b->track.now_ms, (double)b->track.now_ug / 1e6);
    else if (k->call && !k->writing)
        try_take(b);
}

void bench_check_tick(struct bench *b)
{
    struct bench_check *k = &b->check;
    int days = may_check(b) ? days_overdue(b) : 0;
    bool lapsed = running(k) && !k->call && (int64_t)uv_now(b->daemon->loop) - k->touched_ms > LAPSE_MS;
    if (lapsed || (running(k) && !k->call && !may_check(b)))
        k->check.next = CHECK_NONE;
    if (lapsed || days != k->shown_days)
        bench_publish_screen(b);
    k->shown_days = days;
}

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

/* ---- the call ---- */

static bool refuse_state(const struct bench *b, struct fault *f)
{
    const char *state = b->batch ? screen_state_names[b->batch->state] : "idle";
    if (!may_check(b))
        fault_set(f, FAULT_STATE, NULL, "busy", "Finish, hold or scrap the batch first; or check in state cup.",
                  "a batch is being poured here");
    else if (b->waiting || b->check.call)
        fault_set(f, FAULT_STATE, NULL, "busy", "Wait for the call that is under way.",
                  "another call is waiting for the scale");
    else
        return true;
    snprintf(f->state, sizeof f->state, "%s", state);
    return false;
}

static bool read_watch(const json_t *params, bool *drift, double *seconds, struct fault *f)
{
    *seconds = WATCH_S;
    if (!rpc_get_flag(params, "drift", drift, f) || !rpc_get_number(params, "seconds", seconds, f))
        return false;
    if (!(*seconds >= WATCH_LEAST_S && *seconds <= WATCH_MOST_S))
        return fault_set(f, FAULT_INVALID, "seconds", "range", "Give 1 to 600 seconds; 60 is usual.",
                         "no such time to watch");
    return true;
}

/* The weight and tolerance asked for; those of the check under way where they are left out. */
static bool read_weight(const struct bench *b, const json_t *params, double *grams, double *tolerance, struct fault *f)
{
    const struct check *c = &b->check.check;
    *grams = running(&b->check) ? c->grams : NAN;
    *tolerance = running(&b->check) ? c->tolerance_g : b->config->tolerance_g;
    if (!rpc_get_number(params, "grams", grams, f) || !rpc_get_number(params, "tolerance_g", tolerance, f))
        return false;
    if (!(*grams > 0))
        return fault_set(f, FAULT_INVALID, "grams",
                         isnan(*grams) ? "missing"
                         : *grams < 0  ? "negative"
                                       : "zero",
                         "Give what the check weight weighs, above 0 g.", "no such check weight");
    if (*grams < 10 * b->config->d_g)
        return fault_set(f, FAULT_INVALID, "grams", "small", "Take one near the weight of your cups.",
                         "a check weight of less than 10 d says nothing");
    if (*grams > b->config->capacity_g)
        return fault_set(f, FAULT_WOULD_NOT_FIT, "grams", "scale", "Take a lighter check weight.",
                         "the scale bears only %g g", b->config->capacity_g);
    if (!(*tolerance >= d_at(b, (int64_t)llround(*grams * 1e6)) / 2 - 1e-9))
        return fault_set(f, FAULT_INVALID, "tolerance_g", "small", "Give at least half of the scale's interval.",
                         "no reading could meet that tolerance");
    return true;
}

static bool scale_lives(const struct bench *b, struct fault *f)
{
    if (b->scale == PORT_LIVE && b->track.has_now && !b->trouble[0])
        return true;
    return fault_set(f, FAULT_SCALE, NULL, port_state_name(b->scale),
                     "Look at the cable between scale and box, and that the scale is on.", "the scale is %s: %s",
                     port_state_name(b->scale),
                     b->trouble[0]     ? b->trouble
                     : b->scale_why[0] ? b->scale_why
                                       : "no weight yet");
}

static void cancel(struct bench *b, struct rpc_call *call)
{
    b->check.check.next = CHECK_NONE;
    rpc_answer(call, answer_of(b));
    bench_publish_screen(b);
}

void bench_check(struct bench *b, struct rpc_call *call, const json_t *params)
{
    struct bench_check *k = &b->check;
    const char *person = NULL, *request = NULL;
    bool drift = false, give_up = false;
    double seconds, grams = NAN, tolerance;
    struct fault f;
    if (rpc_answered_before(call))
        return;
    bool ok = rpc_get_text(params, "person", &person, &f) && rpc_get_text(params, "request", &request, &f) &&
              rpc_get_flag(params, "cancel", &give_up, &f) && read_watch(params, &drift, &seconds, &f) &&
              refuse_state(b, &f);
    if (ok && give_up) {
        cancel(b, call);
        return;
    }
    ok = ok && (drift || read_weight(b, params, &grams, &tolerance, &f)) && scale_lives(b, &f);
    if (!ok) {
        rpc_fail(call, &f);
        return;
    }
    k->call = call;
    k->touched_ms = (int64_t)uv_now(b->daemon->loop);
    snprintf(k->request, sizeof k->request, "%s", request ? request : "");
    if (drift) {
        k->watching = true;
        drift_begin(&k->drift, b->track.now_ms, (int64_t)(seconds * 1000));
        uv_timer_start(&k->timer, patience_over, (uint64_t)(seconds * 1000), 0);
        bench_publish_screen(b);
        return;
    }
    if (!running(k) || k->check.grams != grams || k->check.tolerance_g != tolerance)
        check_begin(&k->check, grams, tolerance);
    if (person || k->check.next == CHECK_EMPTY)
        snprintf(k->person, sizeof k->person, "%s", person ? person : b->batch ? b->batch->painter : "");
    if (!try_take(b))
        uv_timer_start(&k->timer, patience_over, PATIENCE_MS, 0);
}

json_t *bench_check_row(const struct bench *b)
{
    char when[CLOCK_TEXT];
    if (!b->check.has_last)
        return json_null();
    clock_text(b->check.last_ms, when);
    return json_pack("{s:s, s:O?, s:O?, s:O?, s:b}", "time", when, "grams", json_object_get(b->check.last, "grams"),
                     "error_g", json_object_get(b->check.last, "error_g"), "error_d",
                     json_object_get(b->check.last, "error_d"), "passed", b->check.last_passed);
}
