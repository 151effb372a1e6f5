/* reader.c - a read-only connection: its statements, its rows, and why something could not be read.
 *
 * Knows the columns of each table and no question that is asked of them.
 */
#include "store/reader.h"

#include "log.h"
#include "store/chain.h"
#include "store/row_words.h"
#include "store/schema.h"
#include "store/small.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* Counted, so that whoever asked several questions finds out afterwards. Only the loop's reader is loud: a helper's
 * caller tells the client. */
enum store_found reader_failed(struct reader *r, const char *why)
{
    if (why != r->why)
        utf8_copy(r->why, sizeof r->why, why);
    r->unread++;
    if (r->loud)
        log_warnx("store: cannot read: %s", r->why);
    return STORE_UNREAD;
}

enum store_found reader_failed_words(struct reader *r)
{
    bool said = r->statements.db && sqlite3_errcode(r->statements.db) != SQLITE_OK;
    return reader_failed(r, said ? sqlite3_errmsg(r->statements.db) : "out of memory");
}

/* Opened for reading, and kept from writing a second time by query_only. One question is asked at once, so that a file
 * that cannot be read is found at start. 256 KiB of cache: what a bench asks for is small. */
bool reader_open(struct reader *r, const char *dir, struct fault *fault)
{
    char path[4096];
    *r = (struct reader){0};
    snprintf(path, sizeof path, "%s/" SCHEMA_FILE, dir); /* its length was looked at by commit_open */
    int rc = sqlite3_open_v2(path, &r->statements.db,
                             SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, NULL);
    if (rc == SQLITE_OK)
        rc = small_functions(r->statements.db);
    if (rc == SQLITE_OK)
        rc = row_words_function(r->statements.db);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(r->statements.db,
                          "PRAGMA query_only = ON; PRAGMA cache_size = -256; PRAGMA mmap_size = 0;"
                          "PRAGMA temp_store = MEMORY; PRAGMA trusted_schema = OFF; SELECT count(*) FROM day;",
                          NULL, NULL, NULL);
    if (rc == SQLITE_OK)
        return true;
    /* SQLite says that it could not open the file; the system says why. */
    char system[96], why[READER_WHY];
    int error = r->statements.db ? sqlite3_system_errno(r->statements.db) : 0;
    const char *words = r->statements.db ? sqlite3_errmsg(r->statements.db) : "out of memory";
    snprintf(why, sizeof why, error ? "%.60s: %s" : "%.60s", words, strerror_r(error, system, sizeof system));
    fault_said(fault, FAULT_STORE, NULL, "io", "store_unreadable why=%s", why);
    reader_close(r);
    utf8_copy(r->why, sizeof r->why, why);
    return false;
}

/* A statement that is open would keep the connection. */
void reader_close(struct reader *r)
{
    free(r->newest);
    statements_finish(&r->statements);
    sqlite3_close(r->statements.db);
    *r = (struct reader){0};
}

/* A view that could not be opened stays shut: reader_open left why. */
static sqlite3_stmt *taken(struct reader *r, sqlite3_stmt *stmt)
{
    if (!stmt)
        reader_failed(r, r->statements.db ? sqlite3_errmsg(r->statements.db) : r->why);
    return stmt;
}

sqlite3_stmt *reader_take(struct reader *r, const char *sql)
{
    int rc;
    return taken(r, r->statements.db ? statements_take(&r->statements, sql, &rc) : NULL);
}

sqlite3_stmt *reader_take_made(struct reader *r, const char *sql)
{
    int rc;
    return taken(r, r->statements.db ? statements_take_made(&r->statements, sql, &rc) : NULL);
}

/* A look at two clocks costs a microsecond; so many steps of SQLite's take some 50. */
enum { STEPS_A_LOOK = 2000 };

static int64_t now_ns(clockid_t clock)
{
    struct timespec t;
    clock_gettime(clock, &t);
    return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

/* SQLite's progress handler: not 0 ends the statement. */
static int look_at_clock(void *arg)
{
    struct reader *r = arg;
    r->limit.over = now_ns(CLOCK_THREAD_CPUTIME_ID) > r->limit.cpu_ns || now_ns(CLOCK_MONOTONIC) > r->limit.clock_ns;
    return r->limit.over;
}

void reader_limit(struct reader *r, int most_ms)
{
    r->limit.over = false;
    if (!r->statements.db)
        return;
    if (most_ms > 0) {
        r->limit.cpu_ns = now_ns(CLOCK_THREAD_CPUTIME_ID) + (int64_t)most_ms * 1000000;
        r->limit.clock_ns = now_ns(CLOCK_MONOTONIC) + (int64_t)most_ms * 5000000;
    }
    sqlite3_progress_handler(r->statements.db, most_ms > 0 ? STEPS_A_LOOK : 0, most_ms > 0 ? look_at_clock : NULL, r);
}

void reader_pause(struct reader *r)
{
    r->limit.paused_cpu = now_ns(CLOCK_THREAD_CPUTIME_ID);
    r->limit.paused_clock = now_ns(CLOCK_MONOTONIC);
}

void reader_go_on(struct reader *r)
{
    r->limit.cpu_ns += now_ns(CLOCK_THREAD_CPUTIME_ID) - r->limit.paused_cpu;
    r->limit.clock_ns += now_ns(CLOCK_MONOTONIC) - r->limit.paused_clock;
}

/* SQLite asks for memory when a text is first looked at, and says with a NULL that there is none: it would read as what
 * is not known. So all are looked at here; they then stay until the next step. */
bool reader_whole(sqlite3_stmt *stmt)
{
    for (int i = sqlite3_column_count(stmt); i-- > 0;)
        if (sqlite3_column_type(stmt, i) == SQLITE_TEXT && !sqlite3_column_text(stmt, i))
            return false;
    return true;
}

/* STORE_NONE after the last row. */
enum store_found reader_row(struct reader *r, sqlite3_stmt *stmt)
{
    int rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW)
        return reader_whole(stmt) ? STORE_FOUND : reader_failed(r, "out of memory");
    if (rc == SQLITE_INTERRUPT && r->limit.over)
        return STORE_LATE;
    return rc == SQLITE_DONE ? STORE_NONE : reader_failed(r, sqlite3_errmsg(r->statements.db));
}

/* ?1 is the text, ?2 how many rows are counted at most. */
bool reader_few(struct reader *r, const char *sql, const char *text)
{
    sqlite3_stmt *stmt = reader_take(r, sql);
    if (stmt) {
        sqlite3_bind_text(stmt, 1, text, -1, SQLITE_STATIC);
        sqlite3_bind_int(stmt, 2, READER_FEW + 1);
    }
    bool few = stmt && reader_row(r, stmt) == STORE_FOUND && sqlite3_column_int(stmt, 0) <= READER_FEW;
    reader_give(r, stmt);
    return few;
}

/* Gives the statement back. each returns false to end early, which is no fault. */
bool reader_events(struct reader *r, sqlite3_stmt *stmt, bool (*each)(void *arg, const struct store_event *e),
                   void *arg)
{
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND) {
        struct store_event e;
        reader_event(stmt, &e);
        if (!each(arg, &e))
            break;
    }
    reader_give(r, stmt);
    return found != STORE_UNREAD;
}

/* stmt NULL: it could not be taken, and there is nothing to give. */
void reader_give(struct reader *r, sqlite3_stmt *stmt)
{
    if (stmt)
        statements_give(&r->statements, stmt);
}

/* ---- rows as values ---- */

/* NULL for NULL: a text that is not known is not "". */
static const char *column_text(sqlite3_stmt *stmt, int column)
{
    return (const char *)sqlite3_column_text(stmt, column);
}

/* NULL is not known, never 0. */
static double column_number(sqlite3_stmt *stmt, int column)
{
    return sqlite3_column_type(stmt, column) == SQLITE_NULL ? (double)NAN : sqlite3_column_double(stmt, column);
}

/* By the places of READER_EVENT. Texts are SQLite's and live until the next step. */
void reader_event(sqlite3_stmt *stmt, struct store_event *e)
{
    *e = (struct store_event){
        .seq = sqlite3_column_int64(stmt, 0),
        .kind = column_text(stmt, 1),
        .station = column_text(stmt, 2),
        .batch = column_text(stmt, 3),
        .revision = sqlite3_column_int64(stmt, 4),
        .time = column_text(stmt, 5),
        .mono_ns = sqlite3_column_int64(stmt, 6),
        .boot = column_text(stmt, 7),
        .person = column_text(stmt, 8),
        .client = column_text(stmt, 9),
        .request = column_text(stmt, 10),
        .method = column_text(stmt, 11),
        .version = column_text(stmt, 12),
        .body = column_text(stmt, 13),
    };
    if (sqlite3_column_bytes(stmt, 14) == CHAIN_BYTES)
        chain_hex(sqlite3_column_blob(stmt, 14), e->hash);
}

/* By the places of READER_BATCH. */
void reader_batch(sqlite3_stmt *stmt, struct store_batch *b)
{
    *b = (struct store_batch){
        .batch = column_text(stmt, 0),
        .state = column_text(stmt, 1),
        .station = column_text(stmt, 2),
        .formula = column_text(stmt, 3),
        .name = column_text(stmt, 4),
        .variant = column_text(stmt, 5),
        .coat = column_text(stmt, 6),
        .order = column_text(stmt, 7),
        .painter = column_text(stmt, 8),
        .place = column_text(stmt, 9),
        .begun = column_text(stmt, 10),
        .finished = column_text(stmt, 11),
        .total_g = column_number(stmt, 12),
        .left_g = column_number(stmt, 13),
        .use_by = column_text(stmt, 14),
        .activated = sqlite3_column_type(stmt, 15) == SQLITE_NULL ? -1 : sqlite3_column_int(stmt, 15) != 0,
        .tinted = column_text(stmt, 16),
        .foreign = column_text(stmt, 17),
        .weighed = column_text(stmt, 18),
        .coat_n = sqlite3_column_int(stmt, 19),
        .cost = column_number(stmt, 20),
        .discarded_g = column_number(stmt, 21),
    };
}

/* `words` begins with the store's own word and the space after it (search_words.c). */
void reader_item(sqlite3_stmt *stmt, struct store_item *i)
{
    const char *words = column_text(stmt, 7);
    const char *behind = words ? strchr(words, ' ') : NULL;
    *i = (struct store_item){
        .kind = column_text(stmt, 0),
        .id = column_text(stmt, 1),
        .revision = sqlite3_column_int64(stmt, 2),
        .time = column_text(stmt, 3),
        .reason = column_text(stmt, 4),
        .source = column_text(stmt, 5),
        .body = column_text(stmt, 6),
        .text = behind ? behind + 1 : NULL,
    };
}
