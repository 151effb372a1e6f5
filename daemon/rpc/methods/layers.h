/* layers.h - all coats of an order planned at once: jambs and edges first, then the outsides.
 *
 * Thread  The loop's, a layer a turn: an order has at most 20 coats, and one takes a millisecond or two.
 */
#pragma once

#include "daemon.h"
#include "rpc/rpc.h"

/* Answers {"layers","cost","currency","wait_min"}, or refuses; params: `order`, and what a plan of one coat takes. They
 * stay the caller's. */
void layers_plan(struct daemon *d, struct rpc_call *call, const json_t *params);
