/* variant.h - a batch's variant as every list and record names it. */
#pragma once

#include "client/options.h"

#include <jansson.h>
#include <stddef.h>

/* `standard, tinted, wrong tin`: the variant of a batch as batch.get and batch.find answer it, and what makes the cup
 * another colour than that. Writes at most size bytes and returns out. */
const char *variant_words(const struct poise_options *opt, const json_t *batch, char *out, size_t size);
