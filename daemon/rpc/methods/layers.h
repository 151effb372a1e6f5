/* layers.h - all coats of an order planned at once: jambs and edges first, then the outsides.
 *
 * Thread  The loop's; an order has at most 20 coats.
 */
#pragma once

#include "daemon.h"

#include <jansson.h>

/* {"layers","cost","currency","wait_min"}; params: `order`, and what a plan of one coat takes. A new reference; NULL:
 * *fault. */
json_t *layers_of(struct daemon *d, const struct config_station *config, const json_t *params, struct fault *fault);
