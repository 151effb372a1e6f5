#include "store/reader.h"
#include "store/row.h"
#include "store/words.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIND_MAX = 1000, VALUES_MAX = 12 };

/* The statement in the making. */
struct ask {
    char sql[1536];
    size_t length;
    const char *texts[VALUES_MAX]; /* what is bound to ?1, ?2, ...; texts only, ids stand in the statement */
    int count;
};

static void add(struct ask *a, const char *sql)
{
    a->length += (size_t)snprintf(a->sql + a->length, sizeof a->sql - a->length, "%s", sql);
}

static void add_id(struct ask *a, const char *column_and_sign, int64_t id)
{
    char part[64];
    snprintf(part, sizeof part, " AND %s %" PRId64, column_and_sign, id);
    add(a, part);
}

/* `sql` holds one ?. */
static void add_text(struct ask *a, const char *sql, const char *text)
{
    if (!text)
        return;
    add(a, sql);
    a->texts[a->count++] = text;
}

/* The least and the greatest number begun on the days asked for. False: could not be read. */
static bool range_of_days(struct reader *r, const struct store_find *f, int64_t *least, int64_t *greatest)
{
    static const char sql[] = "SELECT min(first), max(last) FROM day WHERE day >= ?1 AND day <= ?2";
    bool failed = false;
    sqlite3_stmt *stmt = reader_take(r, sql);
    if (!stmt)
        return false;
    sqlite3_bind_text(stmt, 1, f->from ? f->from : "", -1, SQLITE_TRANSIENT);
    sqlite3_bind_text(stmt, 2, f->to ? f->to : "9999-99-99", -1, SQLITE_TRANSIENT);
    if (reader_row(r, stmt, &failed) && sqlite3_column_type(stmt, 0) != SQLITE_NULL) {
        *least = sqlite3_column_int64(stmt, 0);
        *greatest = sqlite3_column_int64(stmt, 1);
    } else {
        *least = 1;
        *greatest = 0; /* no batch on any of these days */
    }
    reader_give(r, stmt);
    return !failed;
}

/* Only states are named in the statement itself: a partial index is used only where the text shows that it applies. */
static void add_state(struct ask *a, const char *state)
{
    if (state && strcmp(state, "finished") != 0)
        add(a, " AND b.state <> 'finished'");
    add_text(a, " AND b.state = ?", state);
}

/* `words` NULL: no words asked for. Order is by number only: ranking a common word would read every row that has it. */
static bool make(struct ask *a, struct reader *r, const struct store_find *f, const char *words, int64_t after)
{
    const char *id = words ? "w.rowid" : "b.id";
    char least_id[24], greatest_id[24], after_id[24], end[64];
    int64_t least, greatest;
    snprintf(least_id, sizeof least_id, "%s >=", id);
    snprintf(greatest_id, sizeof greatest_id, "%s <=", id);
    snprintf(after_id, sizeof after_id, "%s <", id);
    snprintf(end, sizeof end, " ORDER BY %s DESC LIMIT %d", id, f->limit + 1);
    add(a, words ? "SELECT " ROW_BATCH " FROM batch_words w CROSS JOIN batch b ON b.id = w.rowid WHERE 1"
                 : "SELECT " ROW_BATCH " FROM batch b WHERE 1");
    add_text(a, " AND w.batch_words MATCH ?", words);
    add_text(a, " AND b.repair_order = ?", f->order);
    add_text(a, " AND b.formula = ?", f->formula);
    add_text(a, " AND b.variant = ?", f->variant);
    add_text(a, " AND b.coat = ?", f->coat);
    add_text(a, " AND b.painter = ?", f->painter);
    add_text(a, " AND b.place = ?", f->place);
    add_state(a, f->state);
    if (after)
        add_id(a, after_id, after);
    if (f->from || f->to) {
        if (!range_of_days(r, f, &least, &greatest))
            return false;
        add_id(a, least_id, least);
        add_id(a, greatest_id, greatest);
        add_text(a, " AND substr(b.begun, 1, 10) >= ?", f->from);
        add_text(a, " AND substr(b.begun, 1, 10) <= ?", f->to);
    }
    add(a, end);
    return a->length < sizeof a->sql;
}

/* Gives the rows; *next is the number of the last one where there is one more. */
static bool give(struct reader *r, sqlite3_stmt *stmt, int limit, void (*each)(void *arg, const struct store_batch *b),
                 void *arg, char **next)
{
    bool failed = false;
    int64_t last = 0;
    for (int given = 0; reader_row(r, stmt, &failed); given++) {
        struct store_batch b;
        if (given == limit)
            return asprintf(next, "%" PRId64, last) > 0;
        row_batch(stmt, &b);
        last = sqlite3_column_int64(stmt, 0);
        each(arg, &b);
    }
    return !failed;
}

bool store_batch_find(struct store *s, const struct store_find *f, void (*each)(void *arg, const struct store_batch *b),
                      void *arg, char **next)
{
    struct reader *r = store_reader(s);
    struct ask ask = {0};
    char *words = NULL;
    int64_t after = words_number(f->after);
    *next = NULL;
    if (f->limit < 1 || f->limit > FIND_MAX || (f->after && !after) ||
        (f->text && !words_query_batches(r->db, f->text, &words)))
        return false;
    bool good = make(&ask, r, f, words, after);
    sqlite3_stmt *stmt = good ? reader_take_once(r, ask.sql) : NULL;
    for (int i = 0; stmt && i < ask.count; i++)
        sqlite3_bind_text(stmt, i + 1, ask.texts[i], -1, SQLITE_TRANSIENT);
    good = stmt && give(r, stmt, f->limit, each, arg, next);
    reader_give(r, stmt);
    free(words);
    return good;
}
