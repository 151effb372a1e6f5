/* written.c - what a call is told when its write was not done. It must not know what was to be written. */
#include "rpc/written.h"

#include <string.h>

static void used(struct rpc_call *call, const struct store_outcome *outcome)
{
    struct fault fault;

    if (outcome->answer && outcome->method && strcmp(outcome->method, rpc_method_name(call)) == 0) {
        rpc_answer_text(call, outcome->answer);
        return;
    }
    fault_said(&fault, FAULT_PARAMS, "request", "used", "request_used method=%s",
               outcome->method ? outcome->method : "");
    rpc_fail(call, &fault);
}

void rpc_not_written(struct rpc_call *call, const struct store_outcome *outcome)
{
    struct fault fault;

    switch (outcome->result) {
    case STORE_REPEATED:
        used(call, outcome);
        return;
    case STORE_FULL:
        fault_said(&fault, FAULT_STORE, NULL, "full", "store_full");
        break;
    case STORE_READONLY:
        fault_said(&fault, FAULT_STORE, NULL, "readonly", "store_readonly");
        break;
    case STORE_REFUSED:
        fault_said(&fault, FAULT_STORE, NULL, "io", "store_refused");
        break;
    case STORE_DONE: /* the caller answers that itself */
    case STORE_DEAD:
        fault_said(&fault, FAULT_STORE, NULL, "io", "store_dead");
        break;
    }
    rpc_fail(call, &fault);
}
