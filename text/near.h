/* near.h - "did you mean": the known name nearest to what was typed.
 *
 *   struct near near = near_to(typed);
 *   for (each name) near_take(&near, name);
 *   if (near.best[0]) ... it is near enough to be meant
 *
 * Case does not count. Names longer than 63 bytes are never near.
 */
#pragma once

#include <stddef.h>

enum { NEAR_NAME = 64 };

struct near {
    const char *typed; /* borrowed */
    size_t far;        /* letters that must change to make `best` of it; at first the least that is too far */
    char best[NEAR_NAME];
};

struct near near_to(const char *typed);
/* Keeps the name where it is nearer than all before it; of two alike the first stays. */
void near_take(struct near *near, const char *name);
