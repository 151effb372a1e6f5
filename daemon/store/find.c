/* find.c - look-ups of the rows of batches beside the journal (rows.c writes them): the open batch of a station, a
 * batch by its number, a search.
 *
 * Reads only. The row of a batch is what find and restart see of it; the journal alone knows what happened.
 */
#include "store/chain.h"
#include "store/newest.h"
#include "store/reader.h"
#include "store/search_words.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char open_sql[] =
    "SELECT id FROM batch WHERE state = 'open' AND state <> 'finished' AND station = ?1 ORDER BY id DESC LIMIT 1";
/* How many events a batch has by the index, and by the rows from its first on; the number of that. */
static const char events_sql[] =
    "SELECT (SELECT count(*) FROM event INDEXED BY event_of_batch WHERE batch = ?1), (SELECT count(*) FROM event NOT "
    "INDEXED WHERE seq >= (SELECT min(seq) FROM event WHERE batch = ?1) AND batch = ?1), (SELECT min(seq) FROM event "
    "WHERE batch = ?1)";
static const char held_sql[] = "SELECT id FROM batch WHERE state = 'held' AND state <> 'finished' LIMIT 1";
static const char last_sql[] = "SELECT max(id) FROM batch";
/* Of a batch: an act outside a station may bear the time of its call, which is older than its mono_ns. */
static const char moment_sql[] = "SELECT time, word_text(boot), mono_ns FROM (SELECT * FROM event ORDER BY seq DESC "
                                 "LIMIT 4096) WHERE batch IS NOT NULL ORDER BY seq DESC LIMIT 1";
static const char batch_sql[] = "SELECT " READER_BATCH " FROM batch b WHERE b.id = ?1";
static const char shop_sql[] = "SELECT id FROM shop";

/* A statement with one text bound, on its first row. */
static enum store_found first_row(struct reader *r, const char *sql, const char *text, sqlite3_stmt **stmt)
{
    *stmt = reader_take(r, sql);
    if (*stmt && text)
        sqlite3_bind_text(*stmt, 1, text, -1, SQLITE_STATIC);
    return *stmt ? reader_row(r, *stmt) : STORE_UNREAD;
}

/* The first numbers of the first row; NULL counts as 0. */
static enum store_found numbers(struct reader *r, const char *sql, const char *text, int64_t out[], int count)
{
    sqlite3_stmt *stmt;
    enum store_found found = first_row(r, sql, text, &stmt);
    for (int i = 0; i < count; i++)
        out[i] = found == STORE_FOUND ? sqlite3_column_int64(stmt, i) : 0;
    reader_give(r, stmt);
    return found;
}

/* Damage that SQLite does not see, an index that lost a row or a figure that changed, must not look like an empty bench
 * or another pour: so both are looked up once more without the index, and the chain is walked from the batch's first
 * event on. Only at start, and no further back than that. */
enum store_found store_open_batch(struct store *s, const char *station, char batch[STORE_NUMBER])
{
    struct reader *r = store_reader(s);
    int64_t by_index, events[3];
    batch[0] = '\0';
    enum store_found found = numbers(r, open_sql, station, &by_index, 1);
    const struct newest_station *newest = found == STORE_UNREAD ? NULL : newest_of(r, station);
    if (!newest)
        return STORE_UNREAD;
    if (newest->open > by_index)
        return reader_failed(r, "an index has lost the open batch");
    if (found == STORE_NONE && newest->worked && !newest->believable)
        return reader_failed(r, "the row of the last batch is not what the journal says");
    if (found == STORE_NONE)
        return STORE_NONE;
    snprintf(batch, STORE_NUMBER, "%" PRId64, by_index);
    if (numbers(r, events_sql, batch, events, 3) == STORE_UNREAD)
        return STORE_UNREAD;
    if (events[0] != events[1])
        return reader_failed(r, "an index has lost events of the open batch");
    return events[0] == 0 || verify_since(r->statements.db, events[2])
               ? STORE_FOUND
               : reader_failed(r, "the journal of the open batch");
}

/* A shop without a batch has a row of NULL, which reads as 0: that is none, not batch 0. */
enum store_found store_last_batch(struct store *s, int64_t *last)
{
    enum store_found found = numbers(store_reader(s), last_sql, NULL, last, 1);
    return found == STORE_FOUND && *last == 0 ? STORE_NONE : found;
}

enum store_found store_any_held(struct store *s)
{
    int64_t held;
    return numbers(store_reader(s), held_sql, NULL, &held, 1);
}

/* Both clocks of the same event: their distance tells at start whether the wall clock was set while poised was down. */
enum store_found store_last_moment(struct store *s, struct store_moment *out)
{
    sqlite3_stmt *stmt;
    *out = (struct store_moment){.mono_ns = 0};
    enum store_found found = first_row(store_reader(s), moment_sql, NULL, &stmt);
    if (found == STORE_FOUND) {
        const char *time = (const char *)sqlite3_column_text(stmt, 0),
                   *boot = (const char *)sqlite3_column_text(stmt, 1);
        snprintf(out->time, sizeof out->time, "%s", time ? time : "");
        snprintf(out->boot, sizeof out->boot, "%s", boot ? boot : "");
        out->mono_ns = sqlite3_column_int64(stmt, 2);
    }
    reader_give(store_reader(s), stmt);
    return found;
}

/* What is no number is no batch: it is told as not there, and SQLite is not asked. */
enum store_found store_batch_get(struct store *s, const char *batch,
                                 void (*each)(void *arg, const struct store_batch *b), void *arg)
{
    sqlite3_stmt *stmt;
    if (search_words_number(batch) == 0)
        return STORE_NONE;
    enum store_found found = first_row(store_reader(s), batch_sql, batch, &stmt);
    if (found == STORE_FOUND) {
        struct store_batch b;
        reader_batch(stmt, &b);
        each(arg, &b);
    }
    reader_give(store_reader(s), stmt);
    return found;
}

/* Made once with the store and copied with it: a backup is the same shop. */
enum store_found store_shop(struct store *s, char id[STORE_SHOP])
{
    sqlite3_stmt *stmt;
    enum store_found found = first_row(store_reader(s), shop_sql, NULL, &stmt);
    const char *text = found == STORE_FOUND ? (const char *)sqlite3_column_text(stmt, 0) : NULL;
    snprintf(id, STORE_SHOP, "%s", text ? text : "");
    reader_give(store_reader(s), stmt);
    return found;
}

/* ---- searching ---- */

enum { FIND_MAX = 1000, VALUES_MAX = 16 };

/* The statement in the making. Its text tells only which members were asked for: the same form of question finds its
 * statement prepared, which for a page of one row is most of the time. */
struct ask {
    char sql[1792];
    size_t length;
    struct {
        const char *text; /* NULL: the number */
        int64_t number;
    } values[VALUES_MAX]; /* what is bound to ?1, ?2, ... */
    int count;
};

/* Too long shows in `length`, and make() looks at it at the end. */
static void add(struct ask *a, const char *sql)
{
    a->length += (size_t)snprintf(a->sql + a->length, sizeof a->sql - a->length, "%s", sql);
}

/* `sql` holds one ?. */
static void add_number(struct ask *a, const char *sql, int64_t number)
{
    add(a, sql);
    a->values[a->count++].number = number;
}

/* `sql` holds one ?. */
static void add_text(struct ask *a, const char *sql, const char *text)
{
    if (!text)
        return;
    add(a, sql);
    a->values[a->count++].text = text;
}

/* The least and the greatest number begun on the days asked for. False: could not be read. */
static bool range_of_days(struct reader *r, const struct store_find *f, int64_t *least, int64_t *greatest)
{
    static const char sql[] = "SELECT min(first), max(last) FROM day WHERE day >= ?1 AND day <= ?2";
    sqlite3_stmt *stmt = reader_take(r, sql);
    if (!stmt)
        return false;
    sqlite3_bind_text(stmt, 1, f->from ? f->from : "", -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 2, f->to ? f->to : "9999-99-99", -1, SQLITE_STATIC);
    enum store_found found = reader_row(r, stmt);
    *least = 1;
    *greatest = 0; /* no batch on any of these days */
    if (found == STORE_FOUND && sqlite3_column_type(stmt, 0) != SQLITE_NULL) {
        *least = sqlite3_column_int64(stmt, 0);
        *greatest = sqlite3_column_int64(stmt, 1);
    }
    reader_give(r, stmt);
    return found != STORE_UNREAD;
}

/* Only states are named in the statement itself: a partial index is used only where the text shows that it applies. */
static void add_state(struct ask *a, const char *state)
{
    if (state && strcmp(state, "finished") != 0)
        add(a, " AND b.state <> 'finished'");
    add_text(a, " AND b.state = ?", state);
}

/* Members with the most telling first. Few batches bear an order or stand at a place; without statistics SQLite would
 * as soon walk through all of a painter's. A column behind a + leads to nothing. */
static void add_filters(struct ask *a, const struct store_find *f)
{
    bool led = f->order || f->place;
    add_text(a, " AND b.repair_order = ?", f->order);
    add_text(a, f->order ? " AND +b.place = ?" : " AND b.place = ?", f->place);
    add_text(a, led ? " AND +b.formula = ?" : " AND b.formula = ?", f->formula);
    add_text(a, led ? " AND +b.variant = ?" : " AND b.variant = ?", f->variant);
    add_text(a, led ? " AND +b.coat = ?" : " AND b.coat = ?", f->coat);
    add_text(a, led ? " AND +b.painter = ?" : " AND b.painter = ?", f->painter);
    if (led)
        add_text(a, " AND +b.state = ?", f->state);
    else
        add_state(a, f->state);
}

static sqlite3_stmt *prepare(struct reader *r, const struct ask *a)
{
    sqlite3_stmt *stmt = reader_take_made(r, a->sql);
    for (int i = 0; stmt && i < a->count; i++)
        if (a->values[i].text)
            sqlite3_bind_text(stmt, i + 1, a->values[i].text, -1, SQLITE_STATIC);
        else
            sqlite3_bind_int64(stmt, i + 1, a->values[i].number);
    return stmt;
}

/* A common word beside something rare: the rare rows lead then, and the words of each are looked at, since the word
 * would lead to every batch that has it. */
enum { ROWS_LEAD = 1000 };

/* A question with the numbers that its days come to. */
struct asked {
    const struct store_find *find;
    const char *words; /* NULL: none asked for */
    int64_t after, least, greatest;
};

static void add_days(struct ask *a, const struct asked *q, bool lead)
{
    if (!q->find->from && !q->find->to)
        return;
    add_number(a, lead ? " AND w.rowid >= ?" : " AND b.id >= ?", q->least);
    add_number(a, lead ? " AND w.rowid <= ?" : " AND b.id <= ?", q->greatest);
}

/* Whether no more than that many rows are like that, words aside. */
static bool rows_lead(struct reader *r, const struct asked *q)
{
    struct ask ask = {0};
    add(&ask, "SELECT count(*) FROM (SELECT 1 FROM batch b WHERE 1");
    add_filters(&ask, q->find);
    add_days(&ask, q, false);
    bool asked = ask.count > 0;
    add_number(&ask, " LIMIT ?)", ROWS_LEAD + 1);
    sqlite3_stmt *stmt = asked ? prepare(r, &ask) : NULL;
    bool few = stmt && reader_row(r, stmt) == STORE_FOUND && sqlite3_column_int(stmt, 0) <= ROWS_LEAD;
    reader_give(r, stmt);
    return few;
}

/* Order is by number only: ranking a common word would read every row that has it. */
static bool make(struct ask *a, struct reader *r, struct asked *q)
{
    const struct store_find *f = q->find;
    if ((f->from || f->to) && !range_of_days(r, f, &q->least, &q->greatest))
        return false;
    bool lead = q->words && !rows_lead(r, q);
    add(a, lead ? "SELECT " READER_BATCH " FROM batch_words w CROSS JOIN batch b ON b.id = w.rowid WHERE 1"
                : "SELECT " READER_BATCH " FROM batch b WHERE 1");
    if (lead)
        add_text(a, " AND w.batch_words MATCH ?", q->words);
    add_filters(a, f);
    if (q->after)
        add_number(a, lead ? " AND w.rowid < ?" : " AND b.id < ?", q->after);
    add_days(a, q, lead);
    add_text(a, " AND substr(b.begun, 1, 10) >= ?", f->from);
    add_text(a, " AND substr(b.begun, 1, 10) <= ?", f->to);
    if (!lead)
        add_text(a, " AND bears_words(b.words, ?)", q->words ? search_words_typed(f->text) : NULL);
    add_number(a, lead ? " ORDER BY w.rowid DESC LIMIT ?" : " ORDER BY b.id DESC LIMIT ?", f->limit + 1);
    return a->length < sizeof a->sql;
}

/* Gives the rows; *next is the number of the last one where there is one more. */
static enum store_found give(struct reader *r, sqlite3_stmt *stmt, int limit,
                             void (*each)(void *arg, const struct store_batch *b), void *arg, char next[STORE_NUMBER])
{
    enum store_found found;
    int64_t last = 0;
    for (int given = 0; (found = reader_row(r, stmt)) == STORE_FOUND; given++) {
        struct store_batch b;
        if (given == limit) {
            snprintf(next, STORE_NUMBER, "%" PRId64, last);
            break;
        }
        reader_batch(stmt, &b);
        last = sqlite3_column_int64(stmt, 0);
        each(arg, &b);
    }
    return found == STORE_NONE ? STORE_FOUND : found;
}

/* The statement is made anew for each form of question, since a filter that is left out must not cost its index. The
 * limit of time holds for all of it, the words of the search included. */
enum store_found store_batch_find(struct store *s, const struct store_find *f,
                                  void (*each)(void *arg, const struct store_batch *b), void *arg,
                                  char next[STORE_NUMBER])
{
    struct reader *r = store_reader(s);
    struct ask ask = {0};
    char *words = NULL;
    int64_t after = search_words_number(f->after);
    next[0] = '\0';
    if (f->limit < 1 || f->limit > FIND_MAX || (f->after && !after))
        return STORE_NONE;
    enum store_found sense =
        f->text ? search_words_query_batches(&r->statements, search_words_typed(f->text), &words) : STORE_FOUND;
    if (sense != STORE_FOUND)
        return sense == STORE_NONE ? sense : reader_failed_words(r);
    reader_limit(r, f->most_ms);
    struct asked asked = {.find = f, .words = words, .after = after};
    sqlite3_stmt *stmt = make(&ask, r, &asked) ? prepare(r, &ask) : NULL;
    enum store_found found = stmt ? give(r, stmt, f->limit, each, arg, next) : STORE_UNREAD;
    reader_limit(r, 0);
    reader_give(r, stmt);
    free(words);
    return found;
}

/* ---- whether what leads to the rows is whole ---- */

static const char listed_sql[] =
    "SELECT words = ?2 AND EXISTS(SELECT 1 FROM batch_words w WHERE w.batch_words MATCH ?3 AND w.rowid = ?1) AND "
    "(?4 IS NULL OR EXISTS(SELECT 1 FROM day WHERE day = ?4 AND first <= ?1 AND last >= ?1)) FROM batch WHERE id = ?1";
static const char missing_sql[] = "SELECT DISTINCT batch FROM event WHERE batch IS NOT NULL AND NOT EXISTS(SELECT 1 "
                                  "FROM batch b WHERE b.id = CAST(event.batch AS INTEGER))";

enum store_found store_batch_listed(struct store *s, const struct store_batch *b, bool *listed)
{
    struct reader *r = store_reader(s);
    char *words = search_words_of_batch(b), number[STORE_NUMBER + 4], day[16];
    sqlite3_stmt *stmt = words ? reader_take(r, listed_sql) : NULL;
    *listed = false;
    if (stmt) {
        snprintf(number, sizeof number, "\"%c%s\"", SEARCH_WORDS_MARK, b->batch);
        sqlite3_bind_int64(stmt, 1, search_words_number(b->batch));
        sqlite3_bind_text(stmt, 2, words, -1, SQLITE_STATIC);
        sqlite3_bind_text(stmt, 3, number, -1, SQLITE_STATIC);
        if (b->begun) {
            snprintf(day, sizeof day, "%.10s", b->begun);
            sqlite3_bind_text(stmt, 4, day, -1, SQLITE_STATIC);
        }
    }
    enum store_found found = stmt ? reader_row(r, stmt) : reader_failed_words(r);
    *listed = found == STORE_FOUND && sqlite3_column_int(stmt, 0) != 0;
    reader_give(r, stmt);
    free(words);
    return found;
}

bool store_batches_missing(struct store *s, void (*each)(void *arg, const char *batch), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = reader_take(r, missing_sql);
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND)
        each(arg, (const char *)sqlite3_column_text(stmt, 0));
    reader_give(r, stmt);
    return found != STORE_UNREAD;
}
