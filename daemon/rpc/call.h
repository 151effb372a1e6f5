/* call.h - one call from the moment it is known to be one until it is answered, and who made it.
 *
 * A transport embeds struct rpc_caller in its connection, hands each message to rpc_dispatch (dispatch.h), and gets
 * answers through send, in any order. When the connection goes it says rpc_caller_gone; calls that are still open live
 * on and their answers go nowhere.
 * Owner   The transport owns the caller and keeps its memory until no dispatch is running on it.
 * Thread  The loop's.
 */
#pragma once

#include "rpc/rpc.h"

struct rpc_caller {
    struct daemon *daemon;
    const char *client; /* `unix`, `http`: a text that lives for ever */
    bool may_change;    /* methods that write are permitted */
    bool gone;          /* set by rpc_caller_gone */
    /* One answer, a whole line with its newline. The text is the dispatcher's. */
    void (*send)(struct rpc_caller *c, const char *text, size_t len);
    /* A call is done: open is less than it was, what it had to send was sent. */
    void (*done)(struct rpc_caller *c);
    /* rpc_watch was called. NULL: this transport has no notifications. */
    void (*watch)(struct rpc_caller *c, const char *station);
    struct rpc_call *first; /* calls not answered yet */
    size_t open;
};

/* A JSON-RPC batch that waits for its answers. */
struct rpc_batch;

/* A new call of that caller. id: NULL for a notification (nothing is sent), else a reference is kept. batch NULL:
 * answered by itself. NULL: no memory. */
struct rpc_call *rpc_call_new(struct rpc_caller *caller, json_t *id, struct rpc_batch *batch, size_t place);
/* What is called. Of one that changes something the `request` is kept, so that a refusal can look it up. */
void rpc_call_set_method(struct rpc_call *call, const struct rpc_method *table, const struct rpc_method *method,
                         const json_t *params);
/* Goes away by itself once `count` calls that name it are answered. NULL: no memory. */
struct rpc_batch *rpc_batch_new(size_t count);
/* For a call of a batch that could not be made. */
void rpc_batch_skip(struct rpc_batch *batch);

void rpc_caller_gone(struct rpc_caller *caller);

/* A fault as the error object of an answer: {"code","message","data":{"field","why","help",...}}. Parts that it leaves
 * empty are left out; help is always there. NULL: no memory. */
json_t *rpc_fault_json(const struct fault *fault);
