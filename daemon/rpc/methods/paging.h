/* paging.h - `limit` and `after`, as every list of the shop's day takes them. */
#pragma once

#include "rpc/rpc.h"

/* limit: 1 to 1,000, left out 50. after: borrowed from params, NULL where left out. False: *fault. */
bool page_read(const json_t *params, int *limit, const char **after, struct fault *fault);
