/* restore.h - a copy of the journal put in the place of the one that stands in a state directory.
 *
 * For a poised that does not run: the directory is locked meanwhile. What stood there is kept beside it under another
 * name. Blocks.
 */
#pragma once

#include "fault.h"

#include <stdint.h>

struct restored {
    int64_t events;
    char head[65];  /* of the chain, as `poise backup` told it */
    char kept[300]; /* the path of the old file; "": there was none */
};

/* False: nothing has changed. *fault is FAULT_NOT_PERMITTED (`busy`: a poised holds the directory), FAULT_UNKNOWN (no
 * such file), FAULT_INVALID (not a journal of ours, or not a whole one) or FAULT_STORE (the disk; `newer`: a later
 * version's). */
bool store_restore(const char *dir, const char *file, struct restored *out, struct fault *fault);

struct verified {
    bool whole;
    int64_t events, bad; /* bad: the first event that does not follow; 0: none, or the file itself is damaged */
    char head[65];
};

/* A copy where it lies: its chain and the file, nothing is changed and no directory taken. False: *fault, as
 * store_restore has it, but that a copy which is not whole is an answer. */
bool store_verify_file(const char *file, struct verified *out, struct fault *fault);
