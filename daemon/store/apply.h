/* apply.h - one write put into an open transaction: events, batch rows, items, answer.
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
