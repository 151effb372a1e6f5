/* journal_rows.h - what a station writes, as rows of the store: an event with its body, a batch as a list shows it.
 *
 * Owner   A row borrows its texts: from the event or the batch, and from the room that the caller lends. Both must live
 *         until store_submit has copied the row. Thread: any.
 */
#pragma once

#include "clock.h"
#include "station/batch.h"
#include "store/store.h"

/* What the rows of a write point to; it lives until the store has taken them. */
struct bench_event_text {
    char time[CLOCK_TEXT];
    char *body; /* of jansson, freed by its owner; NULL: none made yet */
};
void bench_event_row(const struct event *e, const char *batch, struct bench_event_text *text, struct store_event *row);
/* The row that find and restart see. text: room that must live as long as the row. */
struct bench_row_text {
    char begun[36], finished[36], use_by[36];
    char tinted[BATCH_BITS * 96], foreign[BATCH_BITS * 96];
};
void bench_row(const struct batch *batch, struct store_batch *row, struct bench_row_text *text);
