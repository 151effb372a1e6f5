#include "rpc/written.h"

#include <string.h>

static void used(struct rpc_call *call, const struct store_outcome *outcome)
{
    struct fault fault;

    if (outcome->answer && outcome->method && strcmp(outcome->method, rpc_method_name(call)) == 0) {
        rpc_answer_text(call, outcome->answer);
        return;
    }
    fault_set(&fault, FAULT_PARAMS, "request", "used", "Make a new request for each call.",
              "this request was answered before, to %.60s", outcome->method ? outcome->method : "another method");
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
        fault_set(&fault, FAULT_STORE, NULL, "full", "Make room on the disk, then send it again; weights go on.",
                  "the disk is full: this was not written down");
        break;
    case STORE_READONLY:
        fault_set(&fault, FAULT_STORE, NULL, "readonly",
                  "Make the state directory writable again, then send it again; weights go on.",
                  "the state directory cannot be written: this was not written down");
        break;
    case STORE_REFUSED:
        fault_said(&fault, FAULT_STORE, NULL, "io", "store_refused");
        break;
    case STORE_DONE: /* the caller answers that itself */
    case STORE_DEAD:
        fault_set(&fault, FAULT_STORE, NULL, "io",
                  "Poise stops: look at the disk, start it again, then send the same request again.",
                  "the disk failed: it is not known whether this was written down");
        break;
    }
    rpc_fail(call, &fault);
}
