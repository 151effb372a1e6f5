/* rows.c - the rows beside the journal: of a batch with its words and its day, of an item with its words, and what is
 * kept of an open step.
 *
 * Writes as little as changed, since each page more costs every commit. Knows nothing of events and transactions.
 */
#include "store/apply.h"

#include "store/search_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char batch_get_sql[] =
    "SELECT words, state, station, formula, name, variant, coat, repair_order, painter, place, begun, finished, "
    "total_g, left_g, use_by, activated, tinted_toners, foreign_toners, weighed, coat_n, cost, discarded_g FROM batch "
    "WHERE id = ?1";
static const char batch_add_sql[] =
    "INSERT INTO batch(id, state, station, formula, name, variant, coat, repair_order, painter, place, begun, "
    "finished, "
    "total_g, left_g, words, use_by, activated, tinted_toners, foreign_toners, weighed, coat_n, cost, discarded_g) "
    "VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, "
    "?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23)";
/* Most writes move only these; leaving the other columns out leaves their indexes, a page each, alone. */
static const char batch_move_sql[] =
    "UPDATE batch SET finished = ?12, total_g = ?13, left_g = ?14, use_by = ?16, activated = ?17, tinted_toners = ?18, "
    "foreign_toners = ?19, cost = ?22 WHERE id = ?1";
static const char batch_put_sql[] =
    "UPDATE batch SET state = ?2, station = ?3, formula = ?4, name = ?5, variant = ?6, coat = ?7, "
    "repair_order = ?8, painter = ?9, place = ?10, begun = ?11, finished = ?12, total_g = ?13, "
    "left_g = ?14, words = ?15, use_by = ?16, activated = ?17, tinted_toners = ?18, foreign_toners = ?19, weighed = "
    "?20, coat_n = ?21, cost = ?22, discarded_g = ?23 WHERE id = ?1";
static const char batch_words_drop_sql[] =
    "INSERT INTO batch_words(batch_words, rowid, words) VALUES('delete', ?1, ?2)";
static const char batch_words_add_sql[] = "INSERT INTO batch_words(rowid, words) VALUES(?1, ?2)";
static const char day_add_sql[] =
    "INSERT INTO day VALUES(?1, ?2, ?2) ON CONFLICT(day) DO UPDATE SET first = min(first, excluded.first), "
    "last = max(last, excluded.last)";

static const char kept_put_sql[] = "INSERT OR REPLACE INTO kept(station, batch, seq, body) VALUES(?1, ?2, ?3, ?4)";

/* Two texts not known are the same. */
static bool same(const char *a, const char *b)
{
    return a && b ? strcmp(a, b) == 0 : a == b;
}

/* NaN is NULL in the file. */
static bool same_number(sqlite3_stmt *stmt, int column, double value)
{
    bool known = sqlite3_column_type(stmt, column) != SQLITE_NULL;
    return isnan(value) ? !known : known && sqlite3_column_double(stmt, column) == value;
}

/* What stood in the row before decides how much of it and of the full-text table must be written. */
struct known {
    bool is_there, finds_alike, all_alike;
    char *words;
};

/* Compares the row with what is now to be in it. Its old words are copied only where they will be dropped. */
static int look_at_batch(struct statements *s, int64_t id, const struct store_batch *b, const char *words,
                         struct known *known)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, batch_get_sql, &rc);
    const char *now[] = {words,   b->state, b->station, b->formula, b->name, b->variant,
                         b->coat, b->order, b->painter, b->place,   b->begun};
    if (!stmt)
        return rc;
    sqlite3_bind_int64(stmt, 1, id);
    rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW) {
        known->is_there = known->finds_alike = true;
        for (int i = 0; i < (int)(sizeof now / sizeof *now); i++)
            known->finds_alike &= same(now[i], (const char *)sqlite3_column_text(stmt, i));
        known->finds_alike &= same(b->weighed, (const char *)sqlite3_column_text(stmt, 18)) &&
                              sqlite3_column_int(stmt, 19) == b->coat_n && same_number(stmt, 21, b->discarded_g);
        known->all_alike = known->finds_alike && same_number(stmt, 20, b->cost) &&
                           same(b->finished, (const char *)sqlite3_column_text(stmt, 11)) &&
                           same_number(stmt, 12, b->total_g) && same_number(stmt, 13, b->left_g) &&
                           same(b->use_by, (const char *)sqlite3_column_text(stmt, 14)) &&
                           same_number(stmt, 15, b->activated < 0 ? (double)NAN : (double)b->activated) &&
                           same(b->tinted, (const char *)sqlite3_column_text(stmt, 16)) &&
                           same(b->foreign, (const char *)sqlite3_column_text(stmt, 17));
        if (!known->finds_alike && !(known->words = statement_copy(stmt, 0)))
            rc = SQLITE_NOMEM;
    }
    return statement_end(stmt, rc);
}

/* One text for each of three statements: all use the same numbers for the same columns. */
static int write_batch_row(struct statements *s, const char *sql, int64_t id, const struct store_batch *b,
                           const char *words)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, sql, &rc);
    const char *texts[] = {b->state, b->station, b->formula, b->name,  b->variant, b->coat,
                           b->order, b->painter, b->place,   b->begun, b->finished};
    if (!stmt)
        return rc;
    sqlite3_bind_int64(stmt, 1, id);
    for (int i = 0; i < 11; i++)
        if (sql != batch_move_sql || i == 10)
            sqlite3_bind_text(stmt, i + 2, texts[i], -1, SQLITE_STATIC);
    sqlite3_bind_double(stmt, 13, b->total_g); /* NaN is bound as NULL */
    sqlite3_bind_double(stmt, 14, b->left_g);
    if (sql != batch_move_sql)
        sqlite3_bind_text(stmt, 15, words, -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 16, b->use_by, -1, SQLITE_STATIC);
    if (b->activated >= 0) /* else NULL stays bound */
        sqlite3_bind_int(stmt, 17, b->activated);
    sqlite3_bind_text(stmt, 18, b->tinted, -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 19, b->foreign, -1, SQLITE_STATIC);
    sqlite3_bind_double(stmt, 22, b->cost);
    if (sql == batch_move_sql)
        return statement_run(stmt);
    sqlite3_bind_text(stmt, 20, b->weighed, -1, SQLITE_STATIC);
    if (b->coat_n > 0) /* else NULL stays bound */
        sqlite3_bind_int(stmt, 21, b->coat_n);
    sqlite3_bind_double(stmt, 23, b->discarded_g);
    return statement_run(stmt);
}

/* The first batch of a day and its last: a find by days then asks for a range of numbers and needs no index of times.
 */
static int add_day(struct statements *s, int64_t id, const char *begun)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, day_add_sql, &rc);
    if (!stmt || !begun || strlen(begun) < 10)
        return rc;
    sqlite3_bind_text(stmt, 1, begun, 10, SQLITE_STATIC);
    sqlite3_bind_int64(stmt, 2, id);
    return statement_run(stmt);
}

/* Nothing, the row alone, or the row with its words: whatever differs. */
static int write_batch(struct statements *s, int64_t id, const struct store_batch *b, const char *words,
                       struct known *known)
{
    int rc = look_at_batch(s, id, b, words, known);
    if (rc != SQLITE_OK)
        return rc;
    if (known->all_alike && !b->anew)
        return SQLITE_OK;
    if (known->finds_alike && !b->anew)
        return write_batch_row(s, batch_move_sql, id, b, words);
    rc = write_batch_row(s, known->is_there ? batch_put_sql : batch_add_sql, id, b, words);
    if (rc == SQLITE_OK)
        rc = add_day(s, id, b->begun);
    if (rc != SQLITE_OK || (same(known->words, words) && !b->anew))
        return rc;
    /* Where the row is not believed, the index most likely holds what should stand there: a word dropped that was not
     * in it does no harm. */
    if (known->is_there || b->anew)
        rc = statements_run_id(s, batch_words_drop_sql, id, b->anew ? words : known->words);
    return rc == SQLITE_OK ? statements_run_id(s, batch_words_add_sql, id, words) : rc;
}

/* Numbers of batches are ours, so one that is no number is our own mistake. */
int rows_put_batch(struct statements *s, const struct store_batch *b)
{
    struct known known = {0};
    int64_t id = search_words_number(b->batch);
    char *words = id > 0 ? search_words_of_batch(b) : NULL;
    if (!words)
        return id > 0 ? SQLITE_NOMEM : SQLITE_MISUSE;
    int rc = write_batch(s, id, b, words, &known);
    free(known.words);
    free(words);
    return rc;
}

/* ---- items ---- */

static const char item_last_sql[] = "SELECT id, revision, words, present FROM item WHERE kind = ?1 AND name = ?2 "
                                    "ORDER BY revision DESC LIMIT 1";
static const char item_past_sql[] = "UPDATE item SET present = 0, words = NULL, about = NULL WHERE id = ?1";
static const char item_add_sql[] =
    "INSERT INTO item(kind, name, revision, time, reason, source, body, words, present, about) "
    "VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)";
static const char item_words_drop_sql[] = "INSERT INTO item_words(item_words, rowid, words) VALUES('delete', ?1, ?2)";
static const char item_words_add_sql[] = "INSERT INTO item_words(rowid, words) VALUES(?1, ?2)";

/* The newest revision of an item, whether present or removed. */
struct last_item {
    int64_t id, revision;
    bool present;
    char *words;
};

/* A removal is the newest revision too. */
static int look_at_item(struct statements *s, const struct store_item *item, struct last_item *last)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, item_last_sql, &rc);
    const char *texts[] = {item->kind, item->id};
    if (!stmt)
        return rc;
    rc = statement_bind(stmt, 1, texts, 2);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW) {
        last->id = sqlite3_column_int64(stmt, 0);
        last->revision = sqlite3_column_int64(stmt, 1);
        last->words = statement_copy(stmt, 2);
        last->present = sqlite3_column_int(stmt, 3) != 0;
        if (!last->words && sqlite3_column_type(stmt, 2) != SQLITE_NULL)
            rc = SQLITE_NOMEM; /* else words that nobody put in would be taken out of the index */
    }
    return statement_end(stmt, rc);
}

/* The words go by exactly what was put in: a contentless table knows no row. */
static int retire_item(struct statements *s, const struct last_item *last)
{
    if (!last->present)
        return SQLITE_OK;
    int rc = statements_run_id(s, item_words_drop_sql, last->id, last->words ? last->words : "");
    return rc == SQLITE_OK ? statements_run_id(s, item_past_sql, last->id, NULL) : rc;
}

/* A removed item has no words: nothing finds it. */
static int add_item(struct statements *s, const struct store_item *item, int64_t revision, const char *words)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, item_add_sql, &rc);
    const char *who[] = {item->kind, item->id};
    const char *what[] = {item->time, item->reason, item->source, item->body, item->body ? words : NULL};
    if (!stmt)
        return rc;
    rc = statement_bind(stmt, 1, who, 2);
    sqlite3_bind_int64(stmt, 3, revision);
    if (rc == SQLITE_OK)
        rc = statement_bind(stmt, 4, what, 5);
    sqlite3_bind_int(stmt, 9, item->body != NULL);
    sqlite3_bind_text(stmt, 10, item->about, -1, SQLITE_STATIC);
    if (rc == SQLITE_OK)
        rc = statement_run(stmt);
    if (rc != SQLITE_OK || !item->body)
        return rc;
    return statements_run_id(s, item_words_add_sql, sqlite3_last_insert_rowid(s->db), words);
}

/* The row of before stays as a revision and is retired first: only one of a name is present. */
int rows_put_item(struct statements *s, const struct store_item *item, int64_t *revision)
{
    struct last_item last = {0};
    char *words = item->kind && item->id ? search_words_of_item(item->kind, item->text) : NULL;
    int rc = words ? look_at_item(s, item, &last) : SQLITE_MISUSE;
    if (rc == SQLITE_OK)
        rc = retire_item(s, &last);
    *revision = last.revision + 1;
    if (rc == SQLITE_OK)
        rc = add_item(s, item, *revision, words);
    free(last.words);
    free(words);
    return rc;
}

/* One row a station, outside the chain: it is written over at each keeping, since only the last one counts. */
int rows_put_kept(struct statements *s, const struct store_kept *kept, int64_t seq)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, kept_put_sql, &rc);
    const char *whose[] = {kept->station, kept->batch};
    if (!stmt)
        return rc;
    rc = statement_bind(stmt, 1, whose, 2);
    sqlite3_bind_int64(stmt, 3, seq);
    if (rc == SQLITE_OK)
        rc = statement_bind(stmt, 4, &kept->body, 1);
    return rc == SQLITE_OK ? statement_run(stmt) : rc;
}
