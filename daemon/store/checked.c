/* checked.c - reading the check weights out of the journal, over their own small index. */
#include "store/reader.h"
#include "store/row.h"

#include <string.h>

/* Left to itself it would read the whole journal, to spare the sorting. */
static const char checked_sql[] =
    "SELECT " ROW_EVENT " FROM event INDEXED BY event_checked WHERE kind = 'checked' AND (?1 IS NULL OR station = ?1) "
    "AND substr(time, 1, 10) BETWEEN ?2 AND ?3 ORDER BY seq";
static const char last_checked_sql[] =
    "SELECT " ROW_EVENT " FROM event WHERE kind = 'checked' AND station = ?1 AND seq "
    "< ?2 ORDER BY seq DESC LIMIT 1";
/* From one check weight to the next by number, over the rows themselves: that is a day's work, not the journal. The
 * kinds are those by which a person had a weight counted. */
static const char weighed_sql[] =
    "SELECT DISTINCT batch FROM event WHERE seq > ?2 AND seq < (SELECT coalesce(min(seq), 9223372036854775807) FROM "
    "event WHERE kind = 'checked' AND station = ?1 AND seq > ?2) AND station = ?1 AND batch IS NOT NULL AND kind IN "
    "('cup', 'accepted', 'taken', 'retared') ORDER BY CAST(batch AS INTEGER)";
static const char begun_sql[] = "SELECT time FROM event ORDER BY seq LIMIT 1";

bool store_weight_checks(struct store *s, const char *station, const char *from, const char *to,
                         bool (*each)(void *arg, const struct store_event *e), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = reader_take(r, checked_sql);
    if (stmt) {
        sqlite3_bind_text(stmt, 1, station, -1, SQLITE_TRANSIENT); /* NULL binds NULL */
        sqlite3_bind_text(stmt, 2, from ? from : "", -1, SQLITE_TRANSIENT);
        sqlite3_bind_text(stmt, 3, to ? to : "9999-99-99", -1, SQLITE_TRANSIENT);
    }
    return reader_events(r, stmt, each, arg);
}

bool store_last_weight_check(struct store *s, const char *station, int64_t seq,
                             void (*each)(void *arg, const struct store_event *e), void *arg)
{
    struct reader *r = store_reader(s);
    bool failed = false;
    sqlite3_stmt *stmt = reader_take(r, last_checked_sql);
    if (!stmt)
        return false;
    sqlite3_bind_text(stmt, 1, station, -1, SQLITE_TRANSIENT);
    sqlite3_bind_int64(stmt, 2, seq > 0 ? seq : INT64_MAX);
    bool found = reader_row(r, stmt, &failed);
    if (found) {
        struct store_event e;
        row_event(stmt, &e);
        each(arg, &e);
    }
    reader_give(r, stmt);
    return found;
}

bool store_weighed_after(struct store *s, const char *station, int64_t seq, void (*each)(void *arg, const char *batch),
                         void *arg)
{
    struct reader *r = store_reader(s);
    bool failed = false;
    sqlite3_stmt *stmt = reader_take(r, weighed_sql);
    if (!stmt)
        return false;
    sqlite3_bind_text(stmt, 1, station, -1, SQLITE_TRANSIENT);
    sqlite3_bind_int64(stmt, 2, seq);
    while (reader_row(r, stmt, &failed))
        each(arg, (const char *)sqlite3_column_text(stmt, 0));
    reader_give(r, stmt);
    return !failed;
}

char *store_begun(struct store *s)
{
    struct reader *r = store_reader(s);
    bool failed = false;
    sqlite3_stmt *stmt = reader_take(r, begun_sql);
    char *time = NULL;
    if (stmt && reader_row(r, stmt, &failed) && sqlite3_column_text(stmt, 0))
        time = strdup((const char *)sqlite3_column_text(stmt, 0));
    reader_give(r, stmt);
    return time;
}
