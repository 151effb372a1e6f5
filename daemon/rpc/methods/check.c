/* check.c - scale.seek and scale.check: what a port speaks, and is the scale right. */
#include "bench/bench.h"
#include "bench/search.h"
#include "rpc/methods/methods.h"

const struct rpc_member members_scale_check[] = {
    {"station", RPC_TEXT, true},  {"grams", RPC_NUMBER, false}, {"tolerance_g", RPC_NUMBER, false},
    {"painter", RPC_TEXT, false}, {"person", RPC_TEXT, false},  {"begin", RPC_FLAG, false},
    {"cancel", RPC_FLAG, false},  {"drift", RPC_FLAG, false},   {"seconds", RPC_NUMBER, false},
    {"request", RPC_TEXT, false}, {NULL, RPC_ANY, false},
};
void method_scale_check(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *station = json_string_value(json_object_get(params, "station"));
    struct bench *b = daemon_bench(d, station);
    struct fault f;
    if (b) {
        bench_check(b, call, params);
        return;
    }
    fault_set(&f, FAULT_UNKNOWN, "station", "unknown", "Name one that poise scales lists.", "no station %.40s",
              station);
    rpc_fail(call, &f);
}

const struct rpc_member members_scale_seek[] = {
    {"port", RPC_TEXT, true},   {"ask", RPC_FLAG, false},     {"speed", RPC_NUMBER, false},
    {"frame", RPC_TEXT, false}, {"profile", RPC_TEXT, false}, {"passes", RPC_NUMBER, false},
    {"name", RPC_TEXT, false},  {"request", RPC_TEXT, false}, {NULL, RPC_ANY, false},
};
void method_scale_seek(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    search_begin(d, call, params);
}
