/* number.h - the one writer of numbers, and of the CSV records that hold them: a value reads alike in JSON, on a
 * screen, on a label and in a CSV file.
 *
 * Units   grams, millilitres, per cent as the caller's; micrograms (ug) are exact integers.
 * Locale  None: printf's own decimal sign never reaches a person.
 */
#pragma once

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

enum { NUMBER_ROOM = 48 };

/* How a shop and a device write numbers. */
struct number_style {
    char point; /* '.' or ',' ; 0 is '.' */
    bool minus; /* the device can show a true minus sign, U+2212; else a hyphen */
    double d_g; /* scale interval that weights are shown to; 0 or NaN: as many decimals as a value needs, at most 6 */
};

/* Decimals that an interval needs: 0 for 1 g, 1 for 0.1 and 0.5 g, 2 for 0.05 g; 0 to 4. 2 where d_g is not known. */
int number_decimals(double d_g);
/* The nearest multiple of step; the value itself where step is not above 0. Never minus zero. */
double number_round(double value, double step);

/* Each writes at most size bytes with its NUL and returns out. A value that is not finite is `?`, minus zero is 0, and
 * none is ever written with an exponent. */
const char *number_fixed(const struct number_style *s, double value, int decimals, bool plus, char *out, size_t size);
/* To the interval of the style: `31.4`, with plus `+0.3`. */
const char *number_weight(const struct number_style *s, double g, bool plus, char *out, size_t size);
/* As many decimals as it needs, at most 6: what a person typed, what a file holds. */
const char *number_plain(const struct number_style *s, double value, char *out, size_t size);
/* `123.45` of micrograms, exact, at most 6 decimals, one at least. Returns the first character, within room. */
char *number_exact_ug(int64_t ug, char room[NUMBER_ROOM]);

/* JSON: at most 6 decimals, null for what is not known. New references. */
json_t *number_json(double value);
json_t *number_json_ug(int64_t ug);      /* grams of micrograms, exact */
json_t *number_json_money(double value); /* 2 decimals */

/* One record of CSV (RFC 4180): commas, CR LF, quotes where a field needs them. A NULL field is empty. Numbers are
 * given with a point, whatever the shop's sign: a comma would be two fields. False: could not be written. Into memory:
 * open_memstream. */
bool csv_record(FILE *to, const char *const *fields, size_t count);
