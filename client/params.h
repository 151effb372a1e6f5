/* params.h - from what was typed to the members of a call: `--grams 250` becomes "grams": 250.
 *
 * One table (params.c) says which member an option fills and what type it has.
 */
#pragma once

#include "client/options.h"

#include <jansson.h>

enum number_fault {
    NUMBER_OK,
    NUMBER_TRASH,    /* not a number from its first to its last character */
    NUMBER_TWO_WAYS, /* `1,250`: a thousand or a comma? */
};

/* Digits with at most one point or comma, and a sign. No exponent, no unit, no space, no thousands. */
enum number_fault number_parse(const char *text, double *value);

/* The same for an option: *value, or exit code 64 after one line. `what` is such as `--grams`. */
int number_read(struct output_style style, const char *what, const char *text, double *value);
/* The same for what must be above 0, and for a whole number from 1 to `most`. */
int number_read_above_0(struct output_style style, const char *what, const char *text, double *value);
int number_read_count(struct output_style style, const char *what, const char *text, int most, int *count);

/* The members of all options given, as a new object in *params. 0, or 64 after one line about a value that is no
 * number, no day, no NAME:COATS:SHARE or no BATCH:GRAMS; *params is NULL then. */
int params_of(const struct poise_options *opt, json_t **params);
/* 0, or 64 after one line where --grams, --ml and --panel are not exactly one (at most one, where none is needed). */
int params_amount(const struct poise_options *opt, bool needed);
