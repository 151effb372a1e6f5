/* members.h - what a method takes, checked against its table before it runs.
 *
 * A member of the wrong JSON type is FAULT_PARAMS. A required one that is missing or null is FAULT_PARAMS, but a number
 * FAULT_INVALID. Members that the table does not name are ignored.
 */
#pragma once

#include "rpc/rpc.h"

#include <jansson.h>

/* members NULL: anything goes. False: *fault. */
bool rpc_check_members(const struct rpc_member *members, const json_t *params, struct fault *fault);
/* `request`, where it is given: 1 to 64 printable ASCII characters. False: *fault. */
bool rpc_check_request(const json_t *params, struct fault *fault);
