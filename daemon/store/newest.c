/* newest.c - the newest events and batches, looked through once for all stations.
 *
 * Knows rows by their columns, and not what a start makes of them.
 */
#include "store/newest.h"

#include "store/schema.h"
#include "text/utf8.h"

#include <stdlib.h>
#include <string.h>

/* Of the batch that each station worked on last, by the newest events: whether its row has a state at all, and names
 * the station that the journal names. Of a group SQLite gives the batch of the row with the greatest seq. */
static const char last_sql[] =
    "SELECT e.station, b.state IN ('open', 'held', 'finished', 'scrapped') AND b.station IS (SELECT station FROM event "
    "WHERE batch = e.batch AND station IS NOT NULL ORDER BY seq DESC LIMIT 1) FROM (SELECT station, batch, max(seq) "
    "FROM (SELECT seq, station, batch FROM event ORDER BY seq DESC LIMIT 4096) WHERE station IS NOT NULL AND batch IS "
    "NOT NULL GROUP BY station) e JOIN batch b ON b.id = CAST(e.batch AS INTEGER)";
/* Of the newest rows alone, without an index. */
static const char open_sql[] =
    "SELECT station, max(id) FROM (SELECT id, state, station FROM batch NOT INDEXED ORDER BY "
    "id DESC LIMIT 256) WHERE state = 'open' AND station IS NOT NULL GROUP BY station";
/* Of the newest event that bears one, not the greatest: an older row may be damaged, and a start walks the chain of the
 * open batch alone. Of a group SQLite gives the revision of the row with the greatest seq. ?1 is SCHEMA_STATION_EVERY.
 */
static const char revision_sql[] = "SELECT station, revision, max(seq) FROM event WHERE seq > (SELECT max(seq) / ?1 * "
                                   "?1 FROM event) AND station IS NOT "
                                   "NULL AND typeof(revision) = 'integer' AND revision >= 0 GROUP BY station";
/* Changes whenever another connection has written. */
static const char version_sql[] = "PRAGMA data_version";

struct newest {
    int64_t version;
    size_t count;
    struct newest_station station[];
};

/* The row of a station, a new one where there is none. NULL: no memory. */
static struct newest_station *row_of(struct reader *r, const char *name)
{
    struct newest *n = r->newest;
    for (size_t i = 0; i < n->count; i++)
        if (strcmp(n->station[i].name, name) == 0)
            return &n->station[i];
    n = realloc(n, sizeof *n + (n->count + 1) * sizeof *n->station);
    if (!n)
        return NULL;
    r->newest = n;
    struct newest_station *row = &n->station[n->count++];
    *row = (struct newest_station){.revision = -1};
    utf8_copy(row->name, sizeof row->name, name);
    return row;
}

static void take_open(struct newest_station *s, int64_t id)
{
    s->open = id;
}

static void take_revision(struct newest_station *s, int64_t revision)
{
    s->revision = revision;
}

static void take_last(struct newest_station *s, int64_t believable)
{
    s->worked = true;
    s->believable = believable != 0;
}

/* Rows of a station and a number. False: could not be read. */
static bool look(struct reader *r, const char *sql, void (*take)(struct newest_station *s, int64_t))
{
    sqlite3_stmt *stmt = reader_take(r, sql);
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    if (stmt && sqlite3_bind_parameter_count(stmt))
        sqlite3_bind_int(stmt, 1, SCHEMA_STATION_EVERY);
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND) {
        const char *name = (const char *)sqlite3_column_text(stmt, 0);
        struct newest_station *s = row_of(r, name ? name : "");
        if (s)
            take(s, sqlite3_column_int64(stmt, 1));
        else
            found = reader_failed(r, "out of memory");
    }
    reader_give(r, stmt);
    return found == STORE_NONE;
}

/* -1: could not be read. */
static int64_t version_of(struct reader *r)
{
    sqlite3_stmt *stmt = reader_take(r, version_sql);
    int64_t version = stmt && reader_row(r, stmt) == STORE_FOUND ? sqlite3_column_int64(stmt, 0) : -1;
    reader_give(r, stmt);
    return version;
}

/* The version is asked for first: what is written meanwhile only makes the next look read again. */
static struct newest *read_newest(struct reader *r)
{
    int64_t version = version_of(r);
    if (version < 0)
        return NULL;
    if (r->newest && r->newest->version == version)
        return r->newest;
    newest_forget(r);
    struct newest *n = calloc(1, sizeof *n);
    if (!n) {
        reader_failed(r, "out of memory");
        return NULL;
    }
    n->version = version;
    r->newest = n;
    if (look(r, open_sql, take_open) && look(r, revision_sql, take_revision) && look(r, last_sql, take_last))
        return r->newest;
    newest_forget(r);
    return NULL;
}

const struct newest_station *newest_of(struct reader *r, const char *station)
{
    static const struct newest_station none = {.revision = -1};
    const struct newest *n = read_newest(r);
    for (size_t i = 0; n && i < n->count; i++)
        if (strcmp(n->station[i].name, station) == 0)
            return &n->station[i];
    return n ? &none : NULL;
}

void newest_forget(struct reader *r)
{
    free(r->newest);
    r->newest = NULL;
}
