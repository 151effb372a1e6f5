/* plans.h - what a batch would be, for mix.plan and for the layers of an order.
 *
 * A plan is a beginning that is folded and thrown away, so that it can never differ from what the station would do.
 * Thread  The loop's.
 */
#pragma once

#include "daemon.h"
#include "station/batch.h"

#include <jansson.h>

/* Whose scale counts: that of the station, NULL: the first one's, and without any a common one: d 0.1 g, 0.5 %. NULL:
 * no station of that name. */
const struct config_station *plans_station(const struct daemon *d, const char *station);
/* params as mix.plan's, of one batch. also (NULL: nothing) is shown the batch while it stands, and may add to the plan.
 * A new reference; NULL: *fault. */
json_t *plans_make(struct daemon *d, const struct config_station *config, const json_t *params,
                   void (*also)(void *arg, const struct batch *b, json_t *plan), void *arg, struct fault *fault);
