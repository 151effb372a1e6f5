/* day_rows.c - what the shop's day leaves beside the journal: grams taken out of shelf cups and tins, tins stirred, who
 * stands at a station.
 *
 * Grams are moved, never set: what a pour takes while somebody counts the tin is not lost. Knows nothing of events.
 */
#include "store/apply.h"

#include "store/search_words.h"

/* Never below 0: a scale may weigh more out of a cup than it once weighed in. Of a cup never weighed back at most the
 * rest of its record is left, else that record could be taken twice. Less than a number on the wire can show is
 * nothing: a hair of rounding would leave an empty cup on the shelf. */
static const char take_sql[] = "UPDATE batch SET left_g = CASE WHEN coalesce(left_g, total_g) - ?2 < 5e-7 THEN 0 ELSE "
                               "coalesce(left_g, total_g) - ?2 END WHERE id = ?1";
static const char touch_sql[] = "INSERT INTO touch_up(batch, repair_order, grams, time) VALUES(?1, ?2, ?3, ?4)";
/* Most shops count few toners, and what sorts costs more than to find that there is nothing to sort. */
static const char counted_sql[] = "SELECT lot FROM stock WHERE toner = ?1 LIMIT 1";
/* The tin in use: the one opened last that is not empty, else the oldest that is not, else the last one there was. */
static const char tin_sql[] =
    "SELECT lot FROM stock WHERE toner = ?1 ORDER BY grams > 0 DESC, opened IS NOT NULL DESC, opened DESC, "
    "CASE WHEN grams > 0 THEN id ELSE -id END LIMIT 1";
/* What is given back by an undo goes into the tin opened last, be it empty by now. */
static const char back_sql[] = "SELECT lot FROM stock WHERE toner = ?1 ORDER BY opened IS NOT NULL DESC, opened DESC, "
                               "grams LIMIT 1";
/* A lot that nobody received is no tin: its pour is taken from the one in use. */
static const char known_sql[] = "SELECT lot FROM stock WHERE toner = ?1 AND lot = ?2";
static const char move_sql[] = "INSERT INTO stock(toner, lot, grams) VALUES(?1, ?2, ?3) ON CONFLICT(toner, lot) DO "
                               "UPDATE SET grams = grams + excluded.grams";
/* The first pour opens a tin. Grams of a pour are below 0. */
static const char pour_sql[] = "UPDATE stock SET grams = grams + ?3, opened = coalesce(opened, ?4) WHERE toner = ?1 "
                               "AND lot = ?2";
static const char use_sql[] = "INSERT INTO stock_use VALUES(?1, ?2, ?3) ON CONFLICT(toner, day) DO UPDATE SET grams = "
                              "grams + excluded.grams";
static const char stir_sql[] = "INSERT OR REPLACE INTO stirred VALUES(?1, ?2)";
static const char sign_in_sql[] = "INSERT OR REPLACE INTO signed_in VALUES(?1, ?2)";
static const char sign_out_sql[] = "DELETE FROM signed_in WHERE station = ?1";
static const char seen_sql[] = "INSERT OR REPLACE INTO seen VALUES(?1, ?2)";

/* Runs a statement with two texts; the second may be NULL where it has one place only. */
static int run_texts(struct statements *s, const char *sql, const char *first, const char *second)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, sql, &rc);
    const char *texts[] = {first, second};
    if (!stmt)
        return rc;
    rc = statement_bind(stmt, 1, texts, second ? 2 : 1);
    return rc == SQLITE_OK ? statement_run(stmt) : rc;
}

/* These run in the transaction of their event (apply.c) and give SQLite's code. */
int rows_take(struct statements *s, const struct store_take *take)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, take_sql, &rc);
    if (!stmt)
        return rc;
    sqlite3_bind_int64(stmt, 1, search_words_number(take->batch));
    sqlite3_bind_double(stmt, 2, take->grams);
    return statement_run(stmt);
}

/* Kept beside the cup's own batch, since the order asks for it by its number. */
int rows_touch(struct statements *s, const struct store_touch *touch)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, touch_sql, &rc);
    if (!stmt)
        return rc;
    sqlite3_bind_int64(stmt, 1, search_words_number(touch->batch));
    sqlite3_bind_text(stmt, 2, touch->order, -1, SQLITE_STATIC);
    sqlite3_bind_double(stmt, 3, touch->grams);
    sqlite3_bind_text(stmt, 4, touch->time, -1, SQLITE_STATIC);
    return statement_run(stmt);
}

/* The first column of at most one row, as a copy in `out`; *found says whether there was one. */
static int look_up(struct statements *s, const char *sql, const char *toner, const char *lot, char out[64], bool *found)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, sql, &rc);
    *found = false;
    if (!stmt)
        return rc;
    sqlite3_bind_text(stmt, 1, toner, -1, SQLITE_STATIC);
    if (lot)
        sqlite3_bind_text(stmt, 2, lot, -1, SQLITE_STATIC);
    rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW) {
        const char *text = (const char *)sqlite3_column_text(stmt, 0);
        *found = true;
        sqlite3_snprintf(64, out, "%s", text ? text : "");
        rc = text ? rc : SQLITE_NOMEM; /* "" would be another lot */
    }
    return statement_end(stmt, rc);
}

/* A toner that was never counted or received has no row: a pour of it leaves none behind. */
static int pour(struct statements *s, const struct store_move *m)
{
    char lot[64];
    bool found = false;
    int rc = look_up(s, counted_sql, m->toner, NULL, lot, &found);
    if (rc != SQLITE_OK || !found)
        return rc;
    found = false;
    if (m->lot)
        rc = look_up(s, known_sql, m->toner, m->lot, lot, &found);
    if (rc == SQLITE_OK && !found)
        rc = look_up(s, m->grams > 0 ? back_sql : tin_sql, m->toner, NULL, lot, &found);
    if (rc != SQLITE_OK || !found)
        return rc;
    sqlite3_stmt *stmt = statements_take(s, pour_sql, &rc);
    if (!stmt)
        return rc;
    sqlite3_bind_text(stmt, 1, m->toner, -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 2, lot, -1, SQLITE_STATIC);
    sqlite3_bind_double(stmt, 3, m->grams);
    sqlite3_bind_text(stmt, 4, m->day, -1, SQLITE_STATIC);
    rc = statement_run(stmt);
    stmt = rc == SQLITE_OK ? statements_take(s, use_sql, &rc) : NULL;
    if (!stmt)
        return rc;
    sqlite3_bind_text(stmt, 1, m->toner, -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 2, m->day, -1, SQLITE_STATIC);
    sqlite3_bind_double(stmt, 3, -m->grams);
    return statement_run(stmt);
}

int rows_move_stock(struct statements *s, const struct store_move *m)
{
    int rc;
    if (m->used)
        return pour(s, m);
    sqlite3_stmt *stmt = statements_take(s, move_sql, &rc);
    if (!stmt)
        return rc;
    sqlite3_bind_text(stmt, 1, m->toner, -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 2, m->lot ? m->lot : "", -1, SQLITE_STATIC);
    sqlite3_bind_double(stmt, 3, m->grams);
    return statement_run(stmt);
}

int rows_stir(struct statements *s, const struct store_stir *stir)
{
    return run_texts(s, stir_sql, stir->toner, stir->time);
}

int rows_sign(struct statements *s, const struct store_sign *sign)
{
    if (!sign->painter)
        return run_texts(s, sign_out_sql, sign->station, NULL);
    int rc = run_texts(s, sign_in_sql, sign->station, sign->painter);
    return rc == SQLITE_OK ? run_texts(s, seen_sql, sign->painter, sign->time) : rc;
}
