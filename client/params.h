/* params.h - from options to the members of a call: `--grams 250` becomes "grams": 250.
 *
 * One table (params.c) says which member an option fills and what type it has.
 */
#pragma once

#include "client/options.h"

#include <jansson.h>

/* The members of all options given, as a new object in *params. 0, or 64 after one line about a value that is no
 * number, no NAME:COATS or no BATCH:GRAMS; *params is NULL then. */
int params_of(const struct poise_options *opt, json_t **params);
