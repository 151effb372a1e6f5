/* batch_row.h - a batch's row as JSON, for all who list batches: batch.find, the shelf, an order.
 *
 * From the row alone, without its journal, so that a page of 50 reads 50 rows.
 * Written as text at once: values of jansson's took two thirds of the time of a page.
 * Owner   Each json_t is a new reference; NULL only when memory is gone. */
#pragma once

#include "clock.h"
#include "store/store.h"
#include "text/draft.h"

#include <jansson.h>

/* Rows in the making, as batch.find answers them: `{"MEMBER":[ROW,ROW`. */
struct batch_rows {
    struct draft text;
    char today[CLOCK_TEXT]; /* YYYY-MM-DD, the shop's */
    size_t count;
};
void batch_rows_begin(struct batch_rows *rows, const char *member);
/* why: a further member of that name, with a text or null; NULL: there is none such. */
void batch_rows_add(struct batch_rows *rows, const struct store_batch *b, const char *const *why);
/* `],"next":NEXT}`, NEXT "" is null. The text is the caller's; NULL: no memory. */
char *batch_rows_end(struct batch_rows *rows, const char *next);
void batch_rows_drop(struct batch_rows *rows);
/* {"place","left_g","use_by","weighed"}: what is known of its cup; each null where it is not. */
json_t *batch_row_shelf(const struct store_batch *b);
