/* statements.h - the prepared statements of one connection, each made when first asked for.
 *
 * A commit and a look-up are short: parsing their SQL anew would cost more than running it.
 * Owner   struct apply of the writing connection, struct reader of a reading one; the connection must outlive them
 *         (statements_finish before sqlite3_close).
 * Thread  That of the connection.
 * Errors  SQLite's own codes.
 */
#pragma once

#include <sqlite3.h>
#include <stdbool.h>
#include <stdint.h>

enum { STATEMENTS_KEPT = 40 }; /* more than either side has; one too many would be prepared anew at each use */
enum { STATEMENTS_MADE = 12 }; /* of some 10 kB each: a shop's searches are of a few forms, asked again and again */

struct statements {
    sqlite3 *db;
    struct {
        const char *sql; /* known by its address, so it must be a constant */
        sqlite3_stmt *stmt;
    } kept[STATEMENTS_KEPT]; /* filled from the front; the first without sql ends the list */
    struct {
        char *sql; /* owned; NULL: nothing here */
        sqlite3_stmt *stmt;
        uint64_t used; /* when it was taken last: a running number */
    } made[STATEMENTS_MADE];
    uint64_t clock;
};

/* The kept statement of a constant text, reset. One that is at work already (a callback that reads in turn) is prepared
 * a second time; statements_give lets that one go. NULL: *rc says why. */
sqlite3_stmt *statements_take(struct statements *s, const char *sql, int *rc);
/* The same for a text that was put together, which need live no longer than this call: known by what it says. Only the
 * last few are kept. */
sqlite3_stmt *statements_take_made(struct statements *s, const char *sql, int *rc);
/* Ends the reading of rows; what was bound is let go, since it may point into what the caller frees next. */
void statements_give(struct statements *s, sqlite3_stmt *stmt);
void statements_finish(struct statements *s);
/* Binds texts as ?first and on; they must live until the statement was run. NULL binds NULL. */
int statement_bind(sqlite3_stmt *stmt, int first, const char *const texts[], int count);
/* Runs a statement that gives no rows, and resets it at once: left open it would hold its transaction. */
int statement_run(sqlite3_stmt *stmt);
/* Runs one with a number as ?1 and, unless NULL, a text as ?2. */
int statements_run_id(struct statements *s, const char *sql, int64_t id, const char *text);
/* Ends the look-up of at most one row that `rc`, the answer of its step, began: SQLITE_OK for a row or none. */
int statement_end(sqlite3_stmt *stmt, int rc);
/* A malloc'd copy of a column; NULL: it is NULL, or no memory. */
char *statement_copy(sqlite3_stmt *stmt, int column);
