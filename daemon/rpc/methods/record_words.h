/* record_words.h - what batch.get says of a batch and of its events, but for what only the store knows: shelf, check
 * weight, chain.
 *
 * Pure. Owner   Each json_t is a new reference, NULL only when memory is gone.
 */
#pragma once

#include "station/batch.h"

#include <jansson.h>

/* Parts, sums, facts and cautions; `check` is null. currency: of the shop. */
json_t *record_words(const struct batch *b, const char *currency);
/* Adds to a line of the story what its event says: weights, toner, lot, sentence. style: the shop's decimal sign. */
void record_members(json_t *line, const struct event *e, const struct number_style *style);
