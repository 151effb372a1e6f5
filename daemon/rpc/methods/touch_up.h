/* touch_up.h - a little of exactly what was sprayed, poured from a cup of the shelf before any is mixed anew.
 *
 * Nothing is begun for it: the painter pours from the cup, and batch.weigh_back with `order` books what was used.
 * Thread  touch_up_can any; touch_up_of the loop's: it reads the shelf's rows of one formula and folds nothing.
 */
#pragma once

#include "daemon.h"
#include "station/batch.h"

#include <jansson.h>

/* Whether paint may still be poured from a batch's cup: finished, something left as far as is known, not activated, not
 * past its date. today: YYYY-MM-DD in the shop's time zone. */
bool touch_up_can(const struct store_batch *row, const char *today);
/* The oldest cup of the same formula, variant and coat that holds what is planned, with where it stands and the
 * sentence that offers it; null: none does. A tint or a wrong tin makes another colour of a cup. */
json_t *touch_up_of(struct daemon *d, const struct batch *planned);
