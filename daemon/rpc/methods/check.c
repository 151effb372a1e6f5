/* check.c - scale.seek and scale.check: what a port speaks, and is the scale right. */
#include "bench/bench.h"
#include "bench/search.h"
#include "rpc/methods/methods.h"

void method_scale_check(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *station = json_string_value(json_object_get(params, "station"));
    struct bench *b = daemon_bench(d, station);
    struct fault f;
    if (b) {
        bench_check(b, call, params);
        return;
    }
    fault_said(&f, FAULT_UNKNOWN, "station", "unknown", "no_station station=%s", station);
    rpc_fail(call, &f);
}

void method_scale_seek(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    search_begin(d, call, params);
}
