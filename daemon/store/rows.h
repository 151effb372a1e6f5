/* rows.h - the rows beside the journal: what a batch and an item came to, so that a list reads no events.
 *
 * They follow from what the caller says of the same write; the journal stays the truth.
 * Thread  The writer's, in its open transaction. Each gives SQLite's code; the caller rolls back.
 */
#pragma once

#include "store/statements.h"
#include "store/store.h"

/* The row of a batch, its words and its day. SQLITE_MISUSE: its id is no number. */
int rows_put_batch(struct statements *s, const struct store_batch *b);
/* The next revision of an item, which becomes the present one (or, body NULL, the end of it). */
int rows_put_item(struct statements *s, const struct store_item *item, int64_t *revision);
