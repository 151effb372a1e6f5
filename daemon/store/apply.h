/* apply.h - one write put into an open transaction: events, batch rows, items, answer.
 *
 * Knows nothing of transactions: transaction.c opens, keeps or rolls them back, and puts the chain back when it does.
 * Thread  The writer's.
 */
#pragma once

#include "store/chain.h"
#include "store/job.h"

#include <sqlite3.h>

enum { APPLY_STATEMENTS = 24 };

struct apply {
    sqlite3 *db;
    struct {
        const char *sql; /* known by its address */
        sqlite3_stmt *stmt;
    } kept[APPLY_STATEMENTS]; /* prepared when first used */
    struct chain chain;       /* after the last event applied */
};

/* SQLITE_OK: applied, and job->outcome is set as if it were on disk already; or it was answered before
 * (STORE_REPEATED), or holds an event without a body (STORE_REFUSED), and nothing was applied. Else SQLite's code; the
 * caller rolls back. */
int apply_job(struct apply *a, struct job *job);
void apply_finish(struct apply *a);

/* ---- the pieces (rows.c); each gives SQLite's code ---- */
/* The row of a batch, its words and its day. SQLITE_MISUSE: its id is no number. */
int apply_batch(struct apply *a, const struct store_batch *b);
/* The next revision of an item, which becomes the present one (or, body NULL, the end of it). */
int apply_item(struct apply *a, const struct store_item *item, int64_t *revision);

/* ---- statements ---- */
/* The kept statement of a constant text, reset. NULL: *rc says why. */
sqlite3_stmt *apply_statement(struct apply *a, const char *sql, int *rc);
int apply_bind(sqlite3_stmt *stmt, int first, const char *const texts[], int count);
/* Runs a statement that gives no rows; what was bound is let go, since it points into the job. */
int apply_run(sqlite3_stmt *stmt);
/* Runs one with a number as ?1 and, unless NULL, a text as ?2. */
int apply_id_text(struct apply *a, const char *sql, int64_t id, const char *text);
/* A malloc'd copy of a column; NULL: it is NULL, or no memory. */
char *apply_copy(sqlite3_stmt *stmt, int column);
