/* batch_row.h - a batch's row as JSON, for all who list batches: batch.find, the shelf, an order.
 *
 * From the row alone, without its journal, so that a page of 50 reads 50 rows.
 * Owner   Each json_t is a new reference; NULL only when memory is gone. */
#pragma once

#include "store/store.h"

#include <jansson.h>

/* As batch.find answers it. */
json_t *batch_row(const struct store_batch *b);
/* {"place","left_g","use_by","weighed"}: what is known of its cup; each null where it is not. */
json_t *batch_row_shelf(const struct store_batch *b);
