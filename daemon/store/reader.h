/* reader.h - the second connection: reads only, with its statements kept prepared.
 *
 * Each statement is a read transaction of its own from its first row to reader_give, so it must not be kept over a turn
 * of the loop: an open one holds the log where it is.
 * Thread  The loop's.
 */
#pragma once

#include "fault.h"
#include "store/store.h"

#include <sqlite3.h>
#include <stdbool.h>

enum { READER_KEPT = 16 };

struct reader {
    sqlite3 *db;
    struct {
        const char *sql;
        sqlite3_stmt *stmt;
    } kept[READER_KEPT];
};

bool reader_open(struct reader *r, const char *dir, struct fault *fault);
void reader_close(struct reader *r);

/* A statement for this text, which must live as long as the reader (a constant). One that is at work already (a
 * callback that reads in turn) is prepared a second time. NULL: logged. */
sqlite3_stmt *reader_take(struct reader *r, const char *sql);
/* The same for a text made for this once. */
sqlite3_stmt *reader_take_once(struct reader *r, const char *sql);
/* Steps: true while there is a row. *failed is set, and logged, where it ended by an error. */
bool reader_row(struct reader *r, sqlite3_stmt *stmt, bool *failed);
/* Hands out each row of a statement whose columns are ROW_EVENT, until each() returns false, then gives it back. NULL:
 * there is none to step. False: it could not be read. */
bool reader_events(struct reader *r, sqlite3_stmt *stmt, bool (*each)(void *arg, const struct store_event *e),
                   void *arg);
/* Gives a statement back; NULL is let pass. */
void reader_give(struct reader *r, sqlite3_stmt *stmt);

/* The reader of an open store. */
struct reader *store_reader(struct store *s);
