/* apply.h - one write put into an open transaction: its events with the answer (apply.c), the rows beside the journal
 * (rows.c).
 *
 * Knows nothing of transactions: transaction.c opens, keeps or rolls them back, and puts the chain back when it does.
 * Thread  The writer's.
 */
#pragma once

#include "store/chain.h"
#include "store/job.h"
#include "store/statements.h"

struct apply {
    struct statements statements;
    struct chain chain; /* after the last event applied; not moved back by a rollback of SQLite's */
};

/* SQLITE_OK: applied, and job->outcome is set as if it were on disk already; or it was answered before
 * (STORE_REPEATED), or lacks an event's body or its answer (STORE_REFUSED), and nothing was applied. Else SQLite's
 * code; the caller rolls back. */
int apply_job(struct apply *a, struct job *job);
void apply_finish(struct apply *a);

/* ---- rows.c: what a batch and an item came to, so that a list reads no events ----
 *
 * They follow from what the caller says of the same write; the journal stays the truth. SQLite's code; the caller rolls
 * back. */

/* The row of a batch, its words and its day. SQLITE_MISUSE: its id is no number. */
int rows_put_batch(struct statements *s, const struct store_batch *b);
/* What is kept of a station's open step, as of the journal's event `seq`; it takes the place of what was kept before.
 */
int rows_put_kept(struct statements *s, const struct store_kept *kept, int64_t seq);
/* The next revision of an item, which becomes the present one (or, body NULL, the end of it). */
int rows_put_item(struct statements *s, const struct store_item *item, int64_t *revision);
