/* strict.h - text to JSON, taking only what the protocol takes.
 *
 * What the JSON library lets pass or takes too deep is refused here: more than RPC_DEPTH_MAX levels (FAULT_REQUEST),
 * the same key twice, U+0000, bad UTF-8, NaN, more than one value (FAULT_PARSE). A number too large for a double is
 * JSON all the same: it comes out as +-1e308, which every method refuses as not sensible.
 */
#pragma once

#include "fault.h"

#include <jansson.h>
#include <stddef.h>

#define RPC_DEPTH_MAX 16

/* One JSON value of any kind; the caller owns it. NULL: *fault. */
json_t *rpc_parse(const char *text, size_t len, struct fault *fault);
