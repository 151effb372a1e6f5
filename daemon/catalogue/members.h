/* members.h - one member of a JSON object: taken into a value with its type and range looked at, and given back.
 *
 * null and a missing member are the same. A wrong type or a required text that is missing is FAULT_PARAMS; a text or
 * number that makes no sense, or a required number that is missing, is FAULT_INVALID. Each returns false with *fault.
 */
#pragma once

#include "fault.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

/* Which numbers make sense. */
struct member_range {
    double least, most;
    bool above; /* least itself is out */
    const char *help;
};
extern const struct member_range range_per_cent;  /* 0 to 100 */
extern const struct member_range range_above_0;   /* > 0, at most 1e9 */
extern const struct member_range range_from_0;    /* >= 0, at most 1e9 */
extern const struct member_range range_density;   /* > 0, at most 25 g/mL */
extern const struct member_range range_celsius;   /* -50 to 100 */
extern const struct member_range range_fill;      /* > 0, at most 100 % */
extern const struct member_range range_tolerance; /* > 0, at most 100 % */

/* Any text of one line that fits; left out: "" (or refused where required). */
bool member_text(const json_t *object, const char *name, bool required, char *out, size_t size, struct fault *fault);
/* An id; out holds ID_MAX. */
bool member_id(const json_t *object, const char *name, bool required, char *out, struct fault *fault);
/* One of words (ends with NULL). */
bool member_word(const json_t *object, const char *name, bool required, const char *const words[], char *out,
                 size_t size, struct fault *fault);
/* Left out: *out stays as it is, unless required. */
bool member_number(const json_t *object, const char *name, bool required, const struct member_range *range, double *out,
                   struct fault *fault);
bool member_flag(const json_t *object, const char *name, bool *out, struct fault *fault);
/* A list with at least `least` and at most `most` entries; *out NULL where it is left out and least is 0. Borrowed. */
bool member_list(const json_t *object, const char *name, size_t least, size_t most, const json_t **out,
                 struct fault *fault);
/* The value is an object, as every thing of the catalogue is. */
bool member_object(const json_t *json, const char *what, struct fault *fault);

/* "" is null. */
json_t *member_of_text(const char *text);
/* NaN is null. */
json_t *member_of_number(double value);
