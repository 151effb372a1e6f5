/* families.h - the one list of all built-in families.
 *
 * A new family is a file of its own in this folder and one line in families.c; nothing registers itself at run time.
 */
#pragma once

#include "drivers/scale.h"

/* Ends with NULL. The order is that of the frames page: it decides nothing. */
extern const struct scale_family *const scale_families[];

/* By name, as in `profile = hdr2`. NULL: none such (declared families are found by decode/profile.h). */
const struct scale_family *scale_family_find(const char *name);
