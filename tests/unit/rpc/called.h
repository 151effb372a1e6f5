/* called.h - the methods of a server on socket.h: one that answers, one that watches, one whose answer is made later.
 */
#pragma once

#include "rpc/call.h"

static struct rpc_call *parked; /* the call that `later` keeps; of its test alone */

static void run_echo(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    rpc_answer(call, json_incref(json_object_get(params, "n")));
}

static void run_watch(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    (void)params;
    rpc_watch(call, "bench");
    rpc_answer(call, json_true());
}

static void run_later(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    (void)params;
    parked = call;
}

/* Rows of rpc_methods. */
#define CALLED                                                                                                         \
    {.name = "echo", .run = run_echo}, {.name = "watch", .run = run_watch},                                            \
    {                                                                                                                  \
        .name = "later", .run = run_later                                                                              \
    }
