/* day_find.c - look-ups of the shop's day: the shelf, the batches of an order, things by when they were first put,
 * tins, people. day_rows.c and rows.c write them.
 *
 * Reads only, each by an index, so that a page costs what it holds and not what the shop ever mixed.
 */
#include "store/reader.h"
#include "store/search_words.h"

#include "text/utf8.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

/* The condition repeats that of the index batch_on_shelf, word by word: a partial index is used only so. */
#define ON_SHELF "b.state = 'finished' AND (b.left_g > 0 OR (b.left_g IS NULL AND b.place IS NOT NULL))"
/* Due are those that end by a day given, and whatever is activated: that ends by itself. */
#define SHELF(formula)                                                                                                 \
    "SELECT " READER_BATCH " FROM batch b WHERE " ON_SHELF " AND b.id > ?1 AND " formula                               \
    " AND (?3 IS NULL OR b.place = ?3) AND (?4 IS NULL OR b.activated = 1 OR substr(b.use_by, 1, 10) < ?4) "           \
    "ORDER BY b.id LIMIT ?5"
static const char shelf_sql[] = SHELF("?2 IS NULL"), shelf_of_sql[] = SHELF("b.formula = ?2");
/* Batches that were begun for a coat of the order; one that only bears its number as text has no coat_n. */
static const char order_sql[] =
    "SELECT " READER_BATCH " FROM batch b WHERE b.repair_order = ?1 AND b.coat_n IS NOT NULL ORDER BY b.id";
static const char touch_sql[] =
    "SELECT CAST(batch AS TEXT), repair_order, time, grams FROM touch_up WHERE repair_order = ?1 ORDER BY id";
/* f is the first revision of a thing, whose row tells when it came to be; i is what it is today. The first walks
 * through all of a kind; the others lead to what is looked for, and put that in order. */
#define NEWEST  "SELECT " READER_ITEM ", f.id FROM "
#define OF_KIND " i.kind = ?1 AND i.present AND (?3 = 0 OR f.id < ?3) "
#define FIRST   "CROSS JOIN item f ON f.kind = i.kind AND f.name = i.name AND f.revision = 1 WHERE"
static const char newest_sql[] =
    NEWEST "item f JOIN item i ON i.kind = f.kind AND i.name = f.name WHERE f.kind = ?1 AND f.revision = 1 AND" OF_KIND
           "AND (?2 IS NULL OR i.id IN (SELECT rowid FROM item_words WHERE item_words MATCH ?2)) ORDER BY f.id DESC";
static const char newest_words_sql[] = NEWEST "item_words w CROSS JOIN item i ON i.id = w.rowid " FIRST
                                              " w.item_words MATCH ?2 AND" OF_KIND "ORDER BY f.id DESC";
static const char newest_about_sql[] = NEWEST "item i " FIRST " i.about = ?2 AND" OF_KIND "ORDER BY f.id DESC";
static const char words_count_sql[] =
    "SELECT count(*) FROM (SELECT 1 FROM item_words WHERE item_words MATCH ?1 LIMIT ?2)";
static const char about_count_sql[] = "SELECT count(*) FROM (SELECT 1 FROM item WHERE about = ?1 LIMIT ?2)";
/* `about` is the formula that a card was sprayed of, or whose job it was. */
static const char about_sql[] =
    "SELECT " READER_ITEM " FROM item i WHERE i.about = ?1 AND i.kind = ?2 AND i.present ORDER BY i.id DESC";
/* A name that is no number counts as 0. Removed ones count too: no number is given twice. */
static const char number_sql[] = "SELECT max(CAST(name AS INTEGER)) FROM item WHERE kind = ?1";
/* A toner's tins in the order in which they came. */
static const char tins_sql[] =
    "SELECT toner, lot, opened, grams FROM stock WHERE ?1 IS NULL OR toner = ?1 ORDER BY toner, id";
/* By day and not by event, so that a year costs 365 rows at most. */
static const char used_sql[] = "SELECT sum(grams), min(day) FROM stock_use WHERE toner = ?1 AND day >= ?2";
static const char stirred_sql[] = "SELECT time FROM stirred WHERE toner = ?1";
static const char signed_sql[] = "SELECT painter FROM signed_in WHERE station = ?1";
static const char seen_sql[] = "SELECT time FROM seen WHERE painter = ?1";

/* NULL: it could not be prepared. Texts are borrowed, here and below, until the statement is given back: a copy would
 * need memory, and without it SQLite would ask for NULL in its place and find nothing. */
static sqlite3_stmt *with_text(struct reader *r, const char *sql, const char *text)
{
    sqlite3_stmt *stmt = reader_take(r, sql);
    if (stmt && text)
        sqlite3_bind_text(stmt, 1, text, -1, SQLITE_STATIC);
    return stmt;
}

/* One more is read than is wanted: where it is there, next is the last one given. Numbers rise, so the oldest cup comes
 * first. */
enum store_found store_shelf_page(struct store *s, const struct store_shelf *f,
                                  void (*each)(void *arg, const struct store_batch *b), void *arg,
                                  char next[STORE_NUMBER])
{
    struct reader *r = store_reader(s);
    enum store_found found;
    int64_t last = 0;
    next[0] = '\0';
    if (f->limit < 1 || (f->after && !search_words_number(f->after)))
        return STORE_NONE;
    sqlite3_stmt *stmt = reader_take(r, f->formula ? shelf_of_sql : shelf_sql);
    if (!stmt)
        return STORE_UNREAD;
    const char *texts[] = {f->formula, f->place, f->due};
    sqlite3_bind_int64(stmt, 1, search_words_number(f->after));
    for (int i = 0; i < 3; i++)
        sqlite3_bind_text(stmt, i + 2, texts[i], -1, SQLITE_STATIC);
    sqlite3_bind_int(stmt, 5, f->limit + 1);
    reader_limit(r, f->most_ms);
    for (int given = 0; (found = reader_row(r, stmt)) == STORE_FOUND; given++) {
        struct store_batch b;
        if (given == f->limit) {
            snprintf(next, STORE_NUMBER, "%" PRId64, last);
            break;
        }
        reader_batch(stmt, &b);
        last = sqlite3_column_int64(stmt, 0);
        each(arg, &b);
    }
    reader_limit(r, 0);
    reader_give(r, stmt);
    return found == STORE_UNREAD || found == STORE_LATE ? found : STORE_FOUND;
}

/* In the order in which they were begun. */
bool store_order_batches(struct store *s, const char *order, void (*each)(void *arg, const struct store_batch *b),
                         void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = with_text(r, order_sql, order);
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND) {
        struct store_batch b;
        reader_batch(stmt, &b);
        each(arg, &b);
    }
    reader_give(r, stmt);
    return found != STORE_UNREAD;
}

/* Paint of older cups that went onto this order's vehicle, in grams. */
bool store_touch_ups(struct store *s, const char *order, void (*each)(void *arg, const struct store_touch *t),
                     void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = with_text(r, touch_sql, order);
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND) {
        struct store_touch t = {.batch = (const char *)sqlite3_column_text(stmt, 0),
                                .order = (const char *)sqlite3_column_text(stmt, 1),
                                .time = (const char *)sqlite3_column_text(stmt, 2),
                                .grams = sqlite3_column_double(stmt, 3)};
        each(arg, &t);
    }
    reader_give(r, stmt);
    return found != STORE_UNREAD;
}

/* ---- things by when they were first put ---- */

/* What leads to the things asked for; ?2 of it is *key. */
static const char *newest_by(struct reader *r, const struct store_newest *q, const char *words, const char **key)
{
    *key = words;
    if (words)
        return reader_few(r, words_count_sql, words) ? newest_words_sql : newest_sql;
    if (!q->about || !reader_few(r, about_count_sql, q->about))
        return newest_sql;
    *key = q->about;
    return newest_about_sql;
}

/* A text of which no word can be cut finds nothing, as a search does that no row answers. */
bool store_item_newest(struct store *s, const struct store_newest *q,
                       bool (*each)(void *arg, const struct store_item *i, int64_t place), void *arg)
{
    struct reader *r = store_reader(s);
    char *words = NULL;
    const char *key;
    enum store_found found = q->text ? search_words_query_items(&r->statements, q->kind, q->text, &words) : STORE_FOUND;
    if (found == STORE_UNREAD)
        reader_failed_words(r);
    if (found != STORE_FOUND)
        return false;
    sqlite3_stmt *stmt = with_text(r, newest_by(r, q, words, &key), q->kind);
    found = stmt ? STORE_FOUND : STORE_UNREAD;
    if (stmt) {
        sqlite3_bind_text(stmt, 2, key, -1, SQLITE_STATIC);
        sqlite3_bind_int64(stmt, 3, q->after);
    }
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND) {
        struct store_item item;
        reader_item(stmt, &item);
        if (!each(arg, &item, sqlite3_column_int64(stmt, 8)))
            break;
    }
    reader_give(r, stmt);
    free(words);
    return found != STORE_UNREAD;
}

/* The newest first; each returns false when it has what it looked for. */
bool store_items_about(struct store *s, const char *kind, const char *about,
                       bool (*each)(void *arg, const struct store_item *i), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = with_text(r, about_sql, about);
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    if (stmt)
        sqlite3_bind_text(stmt, 2, kind, -1, SQLITE_STATIC);
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND) {
        struct store_item item;
        reader_item(stmt, &item);
        if (!each(arg, &item))
            break;
    }
    reader_give(r, stmt);
    return found != STORE_UNREAD;
}

/* *last is 0 where the kind has no thing yet. */
enum store_found store_item_last_number(struct store *s, const char *kind, int64_t *last)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = with_text(r, number_sql, kind);
    enum store_found found = stmt ? reader_row(r, stmt) : STORE_UNREAD;
    *last = found == STORE_FOUND ? sqlite3_column_int64(stmt, 0) : 0;
    reader_give(r, stmt);
    return found;
}

/* ---- tins and people ---- */

/* toner NULL: all of the shop. Grams may be below 0: more was poured than was ever counted. */
bool store_tins(struct store *s, const char *toner, void (*each)(void *arg, const struct store_tin *t), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = with_text(r, tins_sql, toner);
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND) {
        struct store_tin t = {.toner = (const char *)sqlite3_column_text(stmt, 0),
                              .lot = (const char *)sqlite3_column_text(stmt, 1),
                              .opened = (const char *)sqlite3_column_text(stmt, 2),
                              .grams = sqlite3_column_double(stmt, 3)};
        each(arg, &t);
    }
    reader_give(r, stmt);
    return found != STORE_UNREAD;
}

/* The first column of at most one row; "" unless found. */
static enum store_found one_text(struct store *s, const char *sql, const char *key, char *out, size_t size)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = with_text(r, sql, key);
    enum store_found found = stmt ? reader_row(r, stmt) : STORE_UNREAD;
    utf8_copy(out, size, found == STORE_FOUND ? (const char *)sqlite3_column_text(stmt, 0) : "");
    reader_give(r, stmt);
    return found;
}

/* *first is the day of the first use counted, "" where nothing was used: a toner that is new is not used up more slowly
 * for it. */
enum store_found store_toner_used(struct store *s, const char *toner, const char *from, double *grams, char first[16])
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = with_text(r, used_sql, toner);
    if (stmt)
        sqlite3_bind_text(stmt, 2, from, -1, SQLITE_STATIC);
    enum store_found found = stmt ? reader_row(r, stmt) : STORE_UNREAD;
    const char *day = found == STORE_FOUND ? (const char *)sqlite3_column_text(stmt, 1) : NULL;
    *grams = found == STORE_FOUND ? sqlite3_column_double(stmt, 0) : 0;
    utf8_copy(first, 16, day ? day : "");
    reader_give(r, stmt);
    return found;
}

enum store_found store_stirred(struct store *s, const char *toner, char time[STORE_TIME])
{
    return one_text(s, stirred_sql, toner, time, STORE_TIME);
}

enum store_found store_signed_in(struct store *s, const char *station, char *painter, size_t size)
{
    return one_text(s, signed_sql, station, painter, size);
}

enum store_found store_seen(struct store *s, const char *painter, char time[STORE_TIME])
{
    return one_text(s, seen_sql, painter, time, STORE_TIME);
}
