/* store_methods.c - store.backup and store.verify: a copy of all that was acknowledged, and whether it is whole. Both
 * work on the lane for what reads the whole file; pours go on meanwhile. It must not know what an event says.
 */
#include "rpc/methods/methods.h"

#include "daemon.h"
#include "text/number.h"

#include <stdlib.h>
#include <string.h>

/* Names the last event and its hash: kept elsewhere, they show later that no tail was cut off. */
static void copied(void *arg, const struct fault *fault, int64_t seq, const char *head)
{
    struct rpc_call *call = arg;
    if (fault)
        rpc_fail(call, fault);
    else
        rpc_answer(call, json_pack("{s:I, s:s}", "events", (json_int_t)seq, "head", head));
}

/* The file is a whole path: the daemon stands in another folder than whoever asks. */
void method_store_backup(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault = {0};
    const char *file = json_string_value(json_object_get(params, "file"));
    if (!store_backup(d->store, file, copied, call, &fault))
        rpc_fail(call, &fault);
}

/* A chain that is not whole is an answer, not a refusal: the shop asked for it. */
static void checked(void *arg, bool whole, int64_t bad_seq, int64_t seq, const char *head)
{
    struct rpc_call *call = arg;
    struct fault fault = {0};
    if (!whole && bad_seq < 0) {
        fault_said(&fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
        rpc_fail(call, &fault);
        return;
    }
    json_t *bad = whole || bad_seq == 0 ? json_null() : json_integer((json_int_t)bad_seq);
    rpc_answer(call,
               json_pack("{s:b, s:I, s:s, s:o}", "whole", whole, "events", (json_int_t)seq, "head", head, "bad", bad));
}

/* Every event is hashed anew, so a journal of years takes its time. */
void method_store_verify(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault = {0};
    (void)params;
    if (store_check(d->store, checked, call))
        return;
    fault_said(&fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    rpc_fail(call, &fault);
}
