/* dispatch.h - one message of a client: checked, taken apart, its methods run.
 *
 * JSON-RPC 2.0. A message is a call or a list of 1 to RPC_BATCH_MAX calls; a call without id is a notification and gets
 * no answer, whatever becomes of it. What is no call at all is answered with its id where that can be told, else null.
 */
#pragma once

#include "rpc/call.h"

#define RPC_BATCH_MAX 16

/* The caller may be gone when this returns. */
void rpc_dispatch(struct rpc_caller *caller, const char *text, size_t len);
/* Answers with an error and id null, for a message that a transport could not even take whole. */
void rpc_refuse(struct rpc_caller *caller, const struct fault *fault);
