#include "store/chain.h"
#include "store/reader.h"
#include "store/row.h"
#include "store/schema.h"
#include "store/words.h"

#include <stdlib.h>
#include <string.h>

static const char answer_sql[] = "SELECT answer, method FROM event WHERE request = ?1 AND answer IS NOT NULL";
static const char events_sql[] = "SELECT " ROW_EVENT " FROM event WHERE batch = ?1 ORDER BY seq";
/* ?2 is SCHEMA_STATION_EVERY. */
static const char revision_sql[] =
    "SELECT max(revision) FROM (SELECT revision FROM station WHERE name = ?1 UNION ALL SELECT revision FROM event "
    "WHERE seq > (SELECT max(seq) / ?2 * ?2 FROM event) AND station = ?1 AND revision >= 0)";
static const char open_sql[] =
    "SELECT id FROM batch WHERE state = 'open' AND state <> 'finished' AND station = ?1 ORDER BY id DESC LIMIT 1";
static const char last_sql[] = "SELECT max(id) FROM batch";
static const char batch_sql[] = "SELECT " ROW_BATCH " FROM batch b WHERE b.id = ?1";

static char *copy(sqlite3_stmt *stmt, int column)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);
    return text ? strdup(text) : NULL;
}

/* A statement with one text bound, on its first row. NULL: no row, or it could not be read. */
static sqlite3_stmt *first_row(struct reader *r, const char *sql, const char *text)
{
    bool failed = false;
    sqlite3_stmt *stmt = reader_take(r, sql);
    if (!stmt)
        return NULL;
    if (text)
        sqlite3_bind_text(stmt, 1, text, -1, SQLITE_TRANSIENT);
    if (reader_row(r, stmt, &failed))
        return stmt;
    reader_give(r, stmt);
    return NULL;
}

char *store_answer(struct store *s, const char *request, char **method)
{
    *method = NULL;
    sqlite3_stmt *stmt = first_row(store_reader(s), answer_sql, request);
    if (!stmt)
        return NULL;
    char *answer = copy(stmt, 0);
    *method = copy(stmt, 1);
    reader_give(store_reader(s), stmt);
    return answer;
}

bool store_events(struct store *s, const char *batch, bool (*each)(void *arg, const struct store_event *e), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = reader_take(r, events_sql);
    if (stmt)
        sqlite3_bind_text(stmt, 1, batch, -1, SQLITE_TRANSIENT);
    return reader_events(r, stmt, each, arg);
}

int64_t store_revision(struct store *s, const char *station)
{
    struct reader *r = store_reader(s);
    bool failed = false;
    sqlite3_stmt *stmt = reader_take(r, revision_sql);
    if (!stmt)
        return 0;
    sqlite3_bind_text(stmt, 1, station, -1, SQLITE_TRANSIENT);
    sqlite3_bind_int(stmt, 2, SCHEMA_STATION_EVERY);
    int64_t revision = reader_row(r, stmt, &failed) ? sqlite3_column_int64(stmt, 0) : 0;
    reader_give(r, stmt);
    return revision;
}

char *store_open_batch(struct store *s, const char *station)
{
    sqlite3_stmt *stmt = first_row(store_reader(s), open_sql, station);
    char *batch = stmt ? copy(stmt, 0) : NULL;
    reader_give(store_reader(s), stmt);
    return batch;
}

int64_t store_last_batch(struct store *s)
{
    sqlite3_stmt *stmt = first_row(store_reader(s), last_sql, NULL);
    int64_t last = stmt ? sqlite3_column_int64(stmt, 0) : 0;
    reader_give(store_reader(s), stmt);
    return last;
}

bool store_batch_get(struct store *s, const char *batch, void (*each)(void *arg, const struct store_batch *b),
                     void *arg)
{
    int64_t id = words_number(batch);
    sqlite3_stmt *stmt = id > 0 ? first_row(store_reader(s), batch_sql, batch) : NULL;
    if (!stmt)
        return false;
    struct store_batch b;
    row_batch(stmt, &b);
    each(arg, &b);
    reader_give(store_reader(s), stmt);
    return true;
}

bool store_head(struct store *s, int64_t *seq, char head[65])
{
    struct reader *r = store_reader(s);
    struct chain chain;
    if (!chain_load(r->db, &chain))
        return false;
    *seq = chain.seq;
    chain_hex(chain.head, head);
    return true;
}
