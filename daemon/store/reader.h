/* reader.h - a read-only connection with its statements kept prepared, and rows of the file as values.
 *
 * Each statement is a read transaction of its own from its first row to reader_give, so it must not be kept over a turn
 * of the loop: an open one holds the log where it is.
 * Owner   Texts of a row belong to its statement, until it is stepped or given back.
 * Thread  One at a time: the loop's for the store's own, a helper's for that of a lane (store.h).
 */
#pragma once

#include "fault.h"
#include "store/statements.h"
#include "store/store.h"

#include <sqlite3.h>
#include <stdbool.h>

enum { READER_WHY = 160 };

struct newest; /* newest.h */

struct reader {
    struct statements statements; /* db NULL: not open; every look-up then could not be read */
    bool loud;                    /* what cannot be read is logged; at start the caller says it, in one line */
    char why[READER_WHY];
    struct newest *newest; /* owned, one block; NULL: not looked at */
    uint64_t unread;       /* how many look-ups could not be read, ever */
    struct {
        int64_t cpu_ns, clock_ns;         /* of this thread, and CLOCK_MONOTONIC: when a look-up is to end */
        int64_t paused_cpu, paused_clock; /* when it was paused */
        bool over;                        /* and did */
    } limit;
};

bool reader_open(struct reader *r, const char *dir, struct fault *fault);
void reader_close(struct reader *r);

/* A statement for this text, which must live as long as the reader (a constant). NULL: r->why says it. */
sqlite3_stmt *reader_take(struct reader *r, const char *sql);
/* The same for a text that was put together. */
sqlite3_stmt *reader_take_made(struct reader *r, const char *sql);
/* Steps to the next row: STORE_NONE after the last, STORE_UNREAD where it ended by an error. */
enum store_found reader_row(struct reader *r, sqlite3_stmt *stmt);
/* Hands out each row of a statement whose columns are READER_EVENT, until each() returns false, then gives it back.
 * NULL: there is no statement to step. False: it could not be read. */
bool reader_events(struct reader *r, sqlite3_stmt *stmt, bool (*each)(void *arg, const struct store_event *e),
                   void *arg);
/* From now on a look-up ends with STORE_LATE after so many milliseconds (struct store_find); 0: no more. Not within one
 * step of a full-text table, which asks nobody. */
void reader_limit(struct reader *r, int most_ms);
/* What lies between the two does not count against the limit: what a caller makes of a row is not looking for it. */
void reader_pause(struct reader *r);
void reader_go_on(struct reader *r);
/* Whether a statement counts no more than READER_FEW for a text: so few are best looked up one by one. It counts no
 * further. What cannot be read counts as many. */
enum { READER_FEW = 2000 };
bool reader_few(struct reader *r, const char *sql, const char *text);
/* Gives a statement back; NULL is let pass. */
void reader_give(struct reader *r, sqlite3_stmt *stmt);
/* Notes why something could not be read. Returns STORE_UNREAD. */
enum store_found reader_failed(struct reader *r, const char *why);
/* The same of words that could not be cut: what SQLite says of it, or that there was no memory. */
enum store_found reader_failed_words(struct reader *r);

/* The columns to ask for, and the reading of them. */
#define READER_EVENT                                                                                                   \
    "seq, kind, station, batch, revision, time, mono_ns, word_text(boot), word_text(person), word_text(client), "      \
    "request, word_text(method), word_text(version), body_text(body), hash"
#define READER_ANSWER "answer" /* follows READER_EVENT where it is wanted too */
/* The number as a text within the statement: made of a column only when it is asked for, it could be missing without a
 * word. */
#define READER_BATCH                                                                                                   \
    "CAST(b.id AS TEXT), b.state, b.station, b.formula, b.name, b.variant, b.coat, b.repair_order, b.painter, "        \
    "b.place, b.begun, "                                                                                               \
    "b.finished, b.total_g, b.left_g, b.use_by, b.activated, b.tinted_toners, b.foreign_toners, "                      \
    "b.weighed, b.coat_n, b.cost, b.discarded_g"
#define READER_ITEM "i.kind, i.name, i.revision, i.time, i.reason, i.source, i.body, i.words"
void reader_event(sqlite3_stmt *stmt, struct store_event *e);
/* Whether all texts of the row are there: one that SQLite found no memory for would read as what is not known. */
bool reader_whole(sqlite3_stmt *stmt);
void reader_batch(sqlite3_stmt *stmt, struct store_batch *b);
void reader_item(sqlite3_stmt *stmt, struct store_item *i);

/* The reader of an open store, or of a view of it. */
struct reader *store_reader(struct store *s);
/* Its connection, for the store's own long work; NULL: it could not be opened. */
sqlite3 *store_view_db(struct store *view);
