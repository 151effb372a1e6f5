/* statements.h - the prepared statements of the writing connection.
 *
 * Owner   struct apply; the connection must outlive it (statements_finish before sqlite3_close).
 * Thread  The writer's.
 * Errors  SQLite's own codes, for disk_error.h to judge.
 */
#pragma once

#include <sqlite3.h>
#include <stdint.h>

enum { STATEMENTS_KEPT = 24 }; /* more than the store has; a text too many is SQLITE_INTERNAL */

struct statements {
    sqlite3 *db;
    struct {
        const char *sql; /* known by its address, so it must be a constant */
        sqlite3_stmt *stmt;
    } kept[STATEMENTS_KEPT]; /* filled from the front; the first without sql ends the list */
};

/* The kept statement of a constant text, reset. NULL: *rc says why. */
sqlite3_stmt *statements_take(struct statements *s, const char *sql, int *rc);
void statements_finish(struct statements *s);
/* Binds texts as ?first and on; they must live until the statement was run. NULL binds NULL. */
int statement_bind(sqlite3_stmt *stmt, int first, const char *const texts[], int count);
/* Runs a statement that gives no rows; what was bound is let go, since it points into the job. */
int statement_run(sqlite3_stmt *stmt);
/* Runs one with a number as ?1 and, unless NULL, a text as ?2. */
int statements_run_id(struct statements *s, const char *sql, int64_t id, const char *text);
/* A malloc'd copy of a column; NULL: it is NULL, or no memory. */
char *statement_copy(sqlite3_stmt *stmt, int column);
