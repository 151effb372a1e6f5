/* journal.c - what is asked of the journal: answers, a batch's events, a station's revision, the check weights.
 *
 * Reads only. Knows events by kind, station and batch, never by their bodies.
 */
#include "store/chain.h"
#include "store/newest.h"
#include "store/reader.h"
#include "store/schema.h"
#include "text/utf8.h"

#include <stdlib.h>
#include <string.h>

/* By the index of requests that were answered. */
static const char answer_sql[] =
    "SELECT answer, word_text(method) FROM event WHERE request = ?1 AND answer IS NOT NULL";
/* The event that bears the request; where it began a batch after one it closed (`again`), the beginning behind it. */
static const char acted_sql[] =
    "SELECT " READER_EVENT
    " FROM event e JOIN (SELECT seq AS first, station AS there, revision AS as_of FROM event WHERE "
    "request = ?1 AND answer IS NOT NULL) ON seq BETWEEN first AND first + 1 WHERE seq = first OR (kind = 'begun' AND "
    "station = there AND revision = as_of) ORDER BY seq DESC LIMIT 1";
static const char events_sql[] = "SELECT " READER_EVENT " FROM event WHERE batch = ?1 ORDER BY seq";
static const char since_sql[] = "SELECT " READER_EVENT " FROM event WHERE batch = ?1 AND seq > ?2 ORDER BY seq";
/* A kept reading is no act, and there may be one a second: it is no line of a record. */
static const char before_sql[] = "SELECT " READER_EVENT " FROM event WHERE batch = ?1 AND seq < ?2 AND "
                                 "kind <> 'kept' ORDER BY seq DESC LIMIT ?3";
static const char last_event_sql[] = "SELECT max(seq) FROM event WHERE batch = ?1";
/* As of the last event that the table covers; newest.c knows those since. */
static const char revision_sql[] = "SELECT revision FROM station WHERE name = ?1";
/* One row a station at most. */
static const char kept_sql[] = "SELECT station, batch, seq, body FROM kept WHERE station = ?1";
static const char begun_sql[] = "SELECT time FROM event ORDER BY seq LIMIT 1";
/* Left to itself it would read the whole journal, to spare the sorting. */
static const char checked_sql[] =
    "SELECT " READER_EVENT " FROM event INDEXED BY event_checked WHERE kind = 'checked' AND "
    "(?1 IS NULL OR station = ?1) AND substr(time, 1, 10) BETWEEN ?2 AND ?3 ORDER BY seq";
static const char last_checked_sql[] =
    "SELECT " READER_EVENT " FROM event WHERE kind = 'checked' AND station = ?1 AND seq "
    "< ?2 ORDER BY seq DESC LIMIT 1";
/* From one check weight to the next by number, over the rows themselves: that is a day's work, not the journal. The
 * kinds are those by which a person had a weight counted. */
static const char weighed_sql[] =
    "SELECT DISTINCT batch FROM event WHERE seq > ?2 AND seq < (SELECT coalesce(min(seq), 9223372036854775807) FROM "
    "event WHERE kind = 'checked' AND station = ?1 AND seq > ?2) AND station = ?1 AND batch IS NOT NULL AND kind IN "
    "('cup', 'accepted', 'taken', 'retared') ORDER BY CAST(batch AS INTEGER)";

/* Takes a statement with a text as ?1, NULL binding NULL. */
static sqlite3_stmt *take(struct reader *r, const char *sql, const char *text)
{
    sqlite3_stmt *stmt = reader_take(r, sql);
    if (stmt)
        sqlite3_bind_text(stmt, 1, text, -1, SQLITE_STATIC);
    return stmt;
}

/* Both texts or none: a caller that got one alone could not tell which method was asked before. */
enum store_found store_answer(struct store *s, const char *request, char **answer, char **method)
{
    struct reader *r = store_reader(s);
    *answer = *method = NULL;
    sqlite3_stmt *stmt = take(r, answer_sql, request);
    enum store_found found = stmt ? reader_row(r, stmt) : STORE_UNREAD;
    if (found == STORE_FOUND) {
        const char *texts[] = {(const char *)sqlite3_column_text(stmt, 0), (const char *)sqlite3_column_text(stmt, 1)};
        *answer = strdup(texts[0] ? texts[0] : "");
        *method = strdup(texts[1] ? texts[1] : "");
    }
    reader_give(r, stmt);
    if (found != STORE_FOUND || (*answer && *method))
        return found;
    free(*answer);
    free(*method);
    *answer = *method = NULL;
    return reader_failed(r, "no memory");
}

/* The one event that a statement finds, handed out and forgotten. stmt NULL: it could not be made. */
static enum store_found give_event(struct reader *r, sqlite3_stmt *stmt,
                                   void (*each)(void *arg, const struct store_event *e), void *arg)
{
    enum store_found found = stmt ? reader_row(r, stmt) : STORE_UNREAD;
    if (found == STORE_FOUND) {
        struct store_event e;
        reader_event(stmt, &e);
        each(arg, &e);
    }
    reader_give(r, stmt);
    return found;
}

/* What a repeat's screen is folded up to. */
enum store_found store_acted(struct store *s, const char *request, void (*each)(void *arg, const struct store_event *e),
                             void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = take(r, acted_sql, request);
    return give_event(r, stmt, each, arg);
}

/* The index of batches leads to them; their order is that of the journal. */
bool store_events(struct store *s, const char *batch, bool (*each)(void *arg, const struct store_event *e), void *arg)
{
    struct reader *r = store_reader(s);
    return reader_events(r, take(r, events_sql, batch), each, arg);
}

/* seq itself is not among them. */
bool store_events_since(struct store *s, const char *batch, int64_t seq,
                        bool (*each)(void *arg, const struct store_event *e), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = take(r, since_sql, batch);
    if (stmt)
        sqlite3_bind_int64(stmt, 2, seq);
    return reader_events(r, stmt, each, arg);
}

/* The newest first, at most count of them; seq 0: from the end. */
bool store_events_before(struct store *s, const char *batch, int64_t seq, int count,
                         bool (*each)(void *arg, const struct store_event *e), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = take(r, before_sql, batch);
    if (stmt) {
        sqlite3_bind_int64(stmt, 2, seq > 0 ? seq : INT64_MAX);
        sqlite3_bind_int(stmt, 3, count);
    }
    return reader_events(r, stmt, each, arg);
}

/* What tells a kept record that its batch has moved on. */
enum store_found store_last_event(struct store *s, const char *batch, int64_t *seq)
{
    struct reader *r = store_reader(s);
    *seq = 0;
    sqlite3_stmt *stmt = take(r, last_event_sql, batch);
    enum store_found found = stmt ? reader_row(r, stmt) : STORE_UNREAD;
    if (found == STORE_FOUND)
        *seq = sqlite3_column_int64(stmt, 0);
    reader_give(r, stmt);
    return found == STORE_FOUND && *seq == 0 ? STORE_NONE : found;
}

/* From the table `station` and the few events since; the larger one counts. */
enum store_found store_revision(struct store *s, const char *station, int64_t *revision)
{
    struct reader *r = store_reader(s);
    *revision = 0;
    sqlite3_stmt *stmt = take(r, revision_sql, station);
    const struct newest_station *newest = stmt ? newest_of(r, station) : NULL;
    enum store_found found = newest ? reader_row(r, stmt) : STORE_UNREAD;
    if (found == STORE_FOUND)
        *revision = sqlite3_column_int64(stmt, 0);
    if (newest && newest->revision >= 0 && found != STORE_UNREAD) {
        *revision = found == STORE_FOUND && *revision > newest->revision ? *revision : newest->revision;
        found = STORE_FOUND;
    }
    reader_give(r, stmt);
    return found;
}

/* STORE_NONE: no step of that station was open, or none had a steady reading. */
enum store_found store_kept_get(struct store *s, const char *station,
                                void (*each)(void *arg, const struct store_kept *k), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = take(r, kept_sql, station);
    enum store_found found = stmt ? reader_row(r, stmt) : STORE_UNREAD;
    if (found == STORE_FOUND) {
        const char *const text[] = {(const char *)sqlite3_column_text(stmt, 0),
                                    (const char *)sqlite3_column_text(stmt, 1),
                                    (const char *)sqlite3_column_text(stmt, 3)};
        each(arg, &(struct store_kept){
                      .station = text[0], .batch = text[1], .seq = sqlite3_column_int64(stmt, 2), .body = text[2]});
    }
    reader_give(r, stmt);
    return found;
}

/* How far back the shop's books can reach. */
enum store_found store_begun(struct store *s, char time[STORE_TIME])
{
    struct reader *r = store_reader(s);
    time[0] = '\0';
    sqlite3_stmt *stmt = reader_take(r, begun_sql);
    enum store_found found = stmt ? reader_row(r, stmt) : STORE_UNREAD;
    if (found == STORE_FOUND && sqlite3_column_text(stmt, 0))
        utf8_copy(time, STORE_TIME, (const char *)sqlite3_column_text(stmt, 0));
    reader_give(r, stmt);
    return found;
}

/* Few among many events, so they have an index of their own. */
bool store_weight_checks(struct store *s, const char *station, const char *from, const char *to,
                         bool (*each)(void *arg, const struct store_event *e), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = take(r, checked_sql, station);
    if (stmt) {
        sqlite3_bind_text(stmt, 2, from ? from : "", -1, SQLITE_STATIC);
        sqlite3_bind_text(stmt, 3, to ? to : "9999-99-99", -1, SQLITE_STATIC);
    }
    return reader_events(r, stmt, each, arg);
}

/* The last one before seq; seq 0: the last of all. */
enum store_found store_last_weight_check(struct store *s, const char *station, int64_t seq,
                                         void (*each)(void *arg, const struct store_event *e), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = take(r, last_checked_sql, station);
    if (!stmt)
        return STORE_UNREAD;
    sqlite3_bind_int64(stmt, 2, seq > 0 ? seq : INT64_MAX);
    return give_event(r, stmt, each, arg);
}

/* seq is that of a check: its batches are those until the next one of the same station. */
bool store_weighed_after(struct store *s, const char *station, int64_t seq, void (*each)(void *arg, const char *batch),
                         void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = take(r, weighed_sql, station);
    if (!stmt)
        return false;
    sqlite3_bind_int64(stmt, 2, seq);
    enum store_found found;
    while ((found = reader_row(r, stmt)) == STORE_FOUND)
        each(arg, (const char *)sqlite3_column_text(stmt, 0));
    reader_give(r, stmt);
    return found == STORE_NONE;
}

/* From the file, not from the writer: what is on disk counts. */
bool store_head(struct store *s, int64_t *seq, char head[65])
{
    struct reader *r = store_reader(s);
    struct chain chain;
    if (!r->statements.db || !chain_load(r->statements.db, &chain))
        return false;
    *seq = chain.seq;
    chain_hex(chain.head, head);
    return true;
}
