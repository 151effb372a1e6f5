/* shelf_blend.h - mix.workoff of a colour of the shop: which of its own cups go into a batch, and how much of each.
 *
 * The colour is asked for as mix.plan is; the answer's `have` is ready for batch.begin. Read and solved on a helper
 * thread (inquiry.h), since a shelf grows with the shop.
 */
#pragma once

#include "rpc/rpc.h"

/* Whether a colour is named, and not shares alone. */
bool workoff_is_of_shop(const json_t *params);
/* Answers the call, later. */
void workoff_of_shop(struct daemon *d, struct rpc_call *call, const json_t *params);
