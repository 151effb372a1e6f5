/* scale_check.c - the call scale.check, and the empty pan watched. It must not know how a reading is journalled. */
#include "bench/bench_parts.h"

#include <math.h>
#include <string.h>

/* a reading waits so long for its weight */
enum { PATIENCE_MS = 3000 };
/* how long an empty pan is watched: left out, and the limits */
enum { WATCH_S = 60, WATCH_LEAST_S = 1, WATCH_MOST_S = 600 };

/* `drift` and `seconds`: a watch ends by itself, in seconds from now. */
static bool watch_read(const json_t *params, bool *drift, double *seconds, struct fault *f)
{
    *seconds = WATCH_S;
    if (!rpc_get_flag(params, "drift", drift, f) || !rpc_get_number(params, "seconds", seconds, f))
        return false;
    if (!(*seconds >= WATCH_LEAST_S && *seconds <= WATCH_MOST_S))
        return fault_said(f, FAULT_INVALID, "seconds", "range", "member_from_to field=%s least=%d most=%d", "seconds",
                          WATCH_LEAST_S, WATCH_MOST_S);
    return true;
}

/* Silence is counted from here, as if a reading had just come. */
static void watch_begin(struct bench *b, double seconds)
{
    int64_t now_ms = (int64_t)uv_now(b->daemon->loop);
    b->check.watching = true;
    b->check.seen_ms = now_ms;
    drift_begin(&b->check.drift, now_ms, (int64_t)(seconds * 1000));
}

/* What a call says. */
struct wish {
    const char *person, *request;
    bool begin, cancel, drift;
    double seconds, grams, tolerance_g;
};

/* One check at a time, and none beside a pour: each would move the other's base. True: it may go on. */
static bool refuse_state(const struct bench *b, const struct wish *w, struct fault *f)
{
    const struct bench_check *k = &b->check;
    if (!w->cancel && !bench_check_may(b))
        return fault_said(f, FAULT_STATE, NULL, "busy", "batch_poured_here") || bench_put_state(b, f);
    if (k->writing || (!w->cancel && (b->waiting || k->call)))
        return (k->call || k->writing ? fault_said(f, FAULT_STATE, NULL, "busy", "check_under_way")
                                      : fault_said(f, FAULT_STATE, NULL, "busy", "accept_waits")) ||
               bench_put_state(b, f);
    return true;
}

/* `painter` and `person` are the same here; where both are given `person` holds. */
static bool read_wish(const json_t *params, struct wish *w, struct fault *f)
{
    return rpc_get_text(params, "painter", &w->person, f) && rpc_get_text(params, "person", &w->person, f) &&
           rpc_get_text(params, "request", &w->request, f) && rpc_get_flag(params, "begin", &w->begin, f) &&
           rpc_get_flag(params, "cancel", &w->cancel, f) && watch_read(params, &w->drift, &w->seconds, f) &&
           rpc_get_number(params, "grams", &w->grams, f) && rpc_get_number(params, "tolerance_g", &w->tolerance_g, f);
}

/* A weight below 10 intervals could never show a fault; one above the capacity would be a load too many. */
static bool judge_grams(const struct bench *b, double grams, struct fault *f)
{
    if (!(grams > 0))
        return fault_said(f, FAULT_INVALID, "grams",
                          isnan(grams) ? "missing"
                          : grams < 0  ? "negative"
                                       : "zero",
                          "check_grams");
    if (grams < 10 * b->config->d_g)
        return fault_said(f, FAULT_INVALID, "grams", "small", "check_small");
    if (grams > b->config->capacity_g)
        return fault_said(f, FAULT_WOULD_NOT_FIT, "grams", "scale", "check_heavy capacity_g=%f", b->config->capacity_g);
    return true;
}

/* The weight and tolerance asked for; those of the check under way where they are left out. */
static bool judge_wish(const struct bench *b, struct wish *w, struct fault *f)
{
    const struct check *c = &b->check.check;
    bool running = bench_check_running(&b->check);
    if (w->person && strlen(w->person) >= sizeof b->check.person)
        return fault_said(f, FAULT_INVALID, "person", "long", "member_too_long field=%s most=%d", "person",
                          EVENT_NAME - 1);
    if (w->drift)
        return bench_check_scale_lives(b, f);
    if (isnan(w->grams) && running)
        w->grams = c->grams;
    if (isnan(w->tolerance_g))
        w->tolerance_g = running ? c->tolerance_g : b->config->tolerance_g;
    if (!judge_grams(b, w->grams, f))
        return false;
    if (!(w->tolerance_g >= bench_check_d_g(b, (int64_t)llround(w->grams * 1e6)) / 2 - 1e-9))
        return fault_said(f, FAULT_INVALID, "tolerance_g", "small", "check_tolerance");
    return bench_check_scale_lives(b, f);
}

/* Gives up what is under way; a call that still waits is told. */
static void cancel(struct bench *b)
{
    struct rpc_call *call = b->check.call;
    struct fault f = {0};
    b->check.call = NULL;
    b->check.before = b->check.check;
    b->check.check.next = CHECK_NONE;
    b->check.watching = false;
    if (!call)
        return;
    uv_timer_stop(&b->check.timer);
    fault_said(&f, FAULT_STATE, NULL, "cancelled", "check_cancelled");
    bench_put_state(b, &f);
    rpc_fail(call, &f);
}

/* Begins where the weight asked for is another one, else goes on; answers now or when the reading is there. */
static void take(struct bench *b, struct rpc_call *call, const struct wish *w)
{
    struct bench_check *k = &b->check;
    int64_t now_ms = (int64_t)uv_now(b->daemon->loop);
    k->call = call;
    k->before = k->check;
    k->touched_ms = now_ms;
    bench_look_soon(b);
    if (w->drift) {
        watch_begin(b, w->seconds);
        uv_timer_start(&k->timer, bench_check_patience_over, (uint64_t)(w->seconds * 1000), 0);
        bench_publish_screen(b);
        return;
    }
    if (w->begin || !bench_check_running(k) || k->check.grams != w->grams || k->check.tolerance_g != w->tolerance_g) {
        check_begin(&k->check, w->grams, w->tolerance_g);
        memset(k->raw, 0, sizeof k->raw);
        k->seen_ms = now_ms;
        snprintf(k->person, sizeof k->person, "%s", b->batch ? b->batch->painter : "");
    }
    if (w->person)
        snprintf(k->person, sizeof k->person, "%s", w->person);
    if (w->begin) {
        bench_check_keep(b, false);
    } else if (!bench_check_try(b)) {
        uv_timer_start(&k->timer, bench_check_patience_over, PATIENCE_MS, 0);
        bench_publish_screen(b); /* it may have begun with this call: the hand is to know what is waited for */
    }
}

/* A cancel is taken in any state of the bench, but not while the last reading is being written. */
void bench_check(struct bench *b, struct rpc_call *call, const json_t *params)
{
    struct bench_check *k = &b->check;
    struct wish w = {.grams = NAN, .tolerance_g = NAN};
    struct fault f = {0};
    if (rpc_answered_before(call))
        return;
    if (!read_wish(params, &w, &f) || !refuse_state(b, &w, &f) || (!w.cancel && !judge_wish(b, &w, &f))) {
        rpc_fail(call, &f);
        return;
    }
    if (w.cancel)
        cancel(b);
    snprintf(k->request, sizeof k->request, "%s", w.request ? w.request : "");
    if (w.cancel) {
        k->call = call;
        bench_check_keep(b, false);
    } else {
        take(b, call, &w);
    }
}
