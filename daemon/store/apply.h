/* apply.h - one write put into an open transaction: its events with the answer (apply.c), the rows beside the journal
 * (rows.c).
 *
 * Knows nothing of transactions: transaction.c opens, keeps or rolls them back, and puts the chain back when it does.
 * Thread  The writer's.
 */
#pragma once

#include "store/chain.h"
#include "store/job.h"
#include "store/pack.h"
#include "store/statements.h"

enum { APPLY_WORDS = 32 };

struct apply {
    struct statements statements;
    struct chain chain; /* after the last event applied; not moved back by a rollback of SQLite's */
    struct packer packer;
    struct apply_word {
        char text[64];
        int64_t id;
    } word[APPLY_WORDS]; /* written lately, by a hash of their text; id 0: none */
};

/* SQLITE_OK: applied, and job->outcome is set as if it were on disk already; or it was answered before
 * (STORE_REPEATED), or lacks an event's body or its answer (STORE_REFUSED), and nothing was applied. Else SQLite's
 * code; the caller rolls back. */
int apply_job(struct apply *a, struct job *job);
/* After a rollback: the chain as it was, and no word that the rollback took along. */
void apply_back(struct apply *a, const struct chain *before);
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
/* day_rows.c: what the shop's day leaves beside the journal. */
/* Grams out of a cup of the shelf; one never weighed back stays unknown, and none goes below 0. */
int rows_take(struct statements *s, const struct store_take *take);
/* A touch-up out of a cup, booked to an order. */
int rows_touch(struct statements *s, const struct store_touch *touch);
/* Grams into or out of a tin, and what a day used. */
int rows_move_stock(struct statements *s, const struct store_move *move);
int rows_stir(struct statements *s, const struct store_stir *stir);
/* Who stands at a station; painter NULL: nobody. */
int rows_sign(struct statements *s, const struct store_sign *sign);
/* The next revision of an item, which becomes the present one (or, body NULL, the end of it). */
int rows_put_item(struct statements *s, const struct store_item *item, int64_t *revision);
