/* thing_rows.h - rows of a long list of things, kept as text: a bank of 50,000 toners as values of jansson's took 600
 * MB.
 *
 * Owner   begin, then end or drop. A reference given is taken.
 * Errors  What finds no memory is remembered until the end.
 * Thread  Any; one at a time.
 */
#pragma once

#include "text/draft.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

struct thing_row {
    char *text; /* owned */
    double place;
    size_t n; /* as they came */
};

struct thing_rows {
    struct draft text;
    json_t *places; /* NULL: they stay as they come */
    struct thing_row *row;
    size_t count, room;
};

/* places: from an id to its place (order_places), by which the rows are put in order, what is not among them last;
 * NULL: as they come. Taken. */
void thing_rows_begin(struct thing_rows *rows, const char *list, json_t *places);
/* id: by which its place is looked up. */
void thing_rows_add(struct thing_rows *rows, const char *id, json_t *thing);
/* `{"LIST":[...],"next":NEXT}`, NEXT "" is null. The text is the caller's; NULL: no memory. */
char *thing_rows_end(struct thing_rows *rows, const char *next);
void thing_rows_drop(struct thing_rows *rows);
