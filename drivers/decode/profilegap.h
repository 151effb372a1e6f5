/* profilegap.h - what a declared line lacks, and what in it does not go together: each would be read wrongly, or never.
 */
#pragma once

#include "drivers/decode/linelayout.h"

struct profile_gap {
    bool (*is)(const struct scale_line *line);
    const char *field, *why, *help; /* for a person */
};

/* The first one. NULL: the line is whole. */
const struct profile_gap *profile_gap_of(const struct scale_line *line);
