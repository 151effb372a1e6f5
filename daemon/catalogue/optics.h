/* optics.h - what a toner absorbs and scatters, wavelength by wavelength, as its data gives it.
 *
 * JSON is a list of {"nm","k","s"}; a file writes it as `450 0.02 1.1, 550 0.03 1.0, ...`, which is taken as well.
 * Owner   Plain values.
 */
#pragma once

#include "fault.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

#define OPTICS_MAX 41 /* 380 to 780 nm by 10 */

struct optics {
    double nm[OPTICS_MAX], k[OPTICS_MAX], s[OPTICS_MAX]; /* rising by nm; k and s per unit of weight */
    size_t count;                                        /* 0: nothing is known */
};

/* null and [] are nothing known. False: *fault. */
bool optics_of_json(const json_t *value, struct optics *out, struct fault *fault);
/* null where nothing is known. A new reference. */
json_t *optics_to_json(const struct optics *o);
