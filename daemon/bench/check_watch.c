#include "bench/bench_parts.h"

enum { WATCH_S = 60, WATCH_LEAST_S = 1, WATCH_MOST_S = 600 };

bool bench_watch_read(const json_t *params, bool *drift, double *seconds, struct fault *f)
{
    *seconds = WATCH_S;
    if (!rpc_get_flag(params, "drift", drift, f) || !rpc_get_number(params, "seconds", seconds, f))
        return false;
    if (!(*seconds >= WATCH_LEAST_S && *seconds <= WATCH_MOST_S))
        return fault_said(f, FAULT_INVALID, "seconds", "range", "member_from_to field=%s least=%d most=%d", "seconds",
                          WATCH_LEAST_S, WATCH_MOST_S);
    return true;
}

void bench_watch_begin(struct bench *b, double seconds)
{
    int64_t now_ms = (int64_t)uv_now(b->daemon->loop);
    b->check.watching = true;
    b->check.seen_ms = now_ms;
    drift_begin(&b->check.drift, now_ms, (int64_t)(seconds * 1000));
}

void bench_watch_over(struct bench *b)
{
    struct bench_check *k = &b->check;
    struct rpc_call *call = k->call;
    struct drift_outcome out;
    double d_g = bench_check_d_g(b, b->track.now_ug);
    k->watching = false;
    if (!drift_judge(&k->drift, d_g, &out)) {
        struct fault f;
        fault_said(&f, FAULT_STATE, NULL, "unsteady", "watch_few");
        bench_check_refuse(b, &f);
        return;
    }
    k->call = NULL;
    rpc_answer(call, json_pack("{s:s, s:s, s:o, s:o, s:o, s:o}", "station", b->config->name, "drift",
                               drift_kind_name(out.kind), "d_per_min", number_json(out.d_per_min), "span_d",
                               number_json(out.span_d), "d_g", number_json(d_g), "seconds",
                               number_json((double)k->drift.for_ms / 1000)));
    bench_publish_screen(b);
}
