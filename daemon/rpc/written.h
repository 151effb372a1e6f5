/* written.h - what a call is told when its write came back from the store without being done.
 *
 * Shared by all that write: the benches and the catalogue's methods, so that a full disk or a repeated request reads
 * the same everywhere.
 */
#pragma once

#include "rpc/rpc.h"
#include "store/store.h"

/* Answers a call whose write is not STORE_DONE, which ends the call. A repeated request gets its first answer, or
 * -32602 where that was of another method; a store that refused is -32007 with why `full`, `readonly` or `io`. */
void rpc_not_written(struct rpc_call *call, const struct store_outcome *outcome);
