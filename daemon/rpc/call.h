/* call.h - who makes calls, one message of theirs taken apart (dispatch.c), and each call until it is answered
 * (call.c).
 *
 * A transport embeds struct rpc_caller in its connection, hands each message to rpc_dispatch, and gets
 * answers through send, in any order. When the connection goes it says rpc_caller_gone; calls that are still open live
 * on and their answers go nowhere.
 * Owner   The transport owns the caller and keeps its memory until no dispatch is running on it.
 * Thread  The loop's.
 */
#pragma once

#include "rpc/rpc.h"

struct rpc_caller {
    struct daemon *daemon;
    const char *client; /* `unix`, `http` */
    const char *user;   /* as the kernel tells it; NULL or "": not known */
    enum right right;   /* what it may call */
    bool may_change;    /* methods that write are permitted: its token came with the call */
    bool gone;          /* set by rpc_caller_gone */
    /* One answer, a whole line with its newline. The text is the dispatcher's. */
    void (*send)(struct rpc_caller *c, const char *text, size_t len);
    /* The same, and the text is taken: a list of all toners is 20 MB, and was copied. NULL: send does. */
    void (*give)(struct rpc_caller *c, char *text, size_t len);
    /* There was no memory for an answer. One without an id was sent in its place; ends the connection, so that nobody
     * waits for the other. NULL: the transport has one call a connection. */
    void (*lost)(struct rpc_caller *c);
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
void rpc_batch_skip(struct rpc_batch *batch, struct rpc_caller *caller);
/* For a message that could not be answered for want of memory: says so without asking for any, and ends the connection.
 * The caller may be gone when this returns. */
void rpc_lost(struct rpc_caller *caller);

void rpc_caller_gone(struct rpc_caller *caller);

/* A fault as the error object of an answer: {"code","message","data":{"field","why","help",...}}. Parts that it leaves
 * empty are left out; help is always there. NULL: no memory. */
json_t *rpc_fault_json(const struct fault *fault);

/* ---- dispatch.c: a message checked, taken apart, its methods run ----
 *
 * JSON-RPC 2.0. A message is a call or a list of 1 to RPC_BATCH_MAX calls; a call without id is a notification and gets
 * no answer, whatever becomes of it. What is no call at all is answered with its id where that can be told, else null.
 */

#define RPC_BATCH_MAX 16
#define RPC_DEPTH_MAX 16 /* levels of a message; deeper is FAULT_REQUEST */

/* The caller may be gone when this returns. */
void rpc_dispatch(struct rpc_caller *caller, const char *text, size_t len);
/* Answers with an error and id null, for a message that a transport could not even take whole. */
void rpc_refuse(struct rpc_caller *caller, const struct fault *fault);
