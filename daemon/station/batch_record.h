/* batch_record.h - batch.get and mix.plan as JSON: pure functions of a batch.
 *
 * Shapes are contract.md sections 4 and 5. Units in the members' names; a number not known is null.
 * Owner   Each returns a new reference, NULL only when memory is gone.
 */
#pragma once

#include "station/batch.h"

#include <jansson.h>

/* batch.get but for station, shelf and events, which the shell knows. */
json_t *view_record(const struct batch *b, const char *currency);
json_t *view_text(const char *text); /* null for "" */
/* mix.voc of these grams by part, as the method answers it; null where a figure is missing. */
json_t *view_voc(const struct recipe *r, const double grams[]);
/* mix.plan of a batch just begun: colour and what goes on top. */
json_t *view_plan(const struct batch *b, const char *currency);
