/* draft.h - a text in the making, in memory, that remembers whether it lost a piece.
 *
 * open_memstream does not: where its buffer cannot grow, the rest is missing and neither ferror nor fclose says so. A
 * search would then ask for other words, a row be found by fewer.
 * Owner   The draft owns its text until draft_take hands it over. {0} is an empty one.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

struct draft {
    char *text; /* ends with NUL; NULL while it is empty */
    size_t length, room;
    bool lost; /* there was no memory for something */
};

void draft_add(struct draft *d, const char *text, size_t length);
void draft_print(struct draft *d, const char *form, ...) __attribute__((format(printf, 2, 3)));
/* The text, which the caller frees, and an empty draft; NULL where a piece of it was lost, or nothing was written. */
char *draft_take(struct draft *d);
