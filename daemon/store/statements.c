/* statements.c - the prepared statements of a connection, known by the address of their text or by what it says.
 *
 * Knows no table, and not whether it writes or reads.
 */
#include "store/statements.h"

#include <stdlib.h>
#include <string.h>

/* NULL: *rc is SQLite's code. */
static sqlite3_stmt *prepare(sqlite3 *db, const char *sql, unsigned flags, int *rc)
{
    sqlite3_stmt *stmt = NULL;
    *rc = sqlite3_prepare_v3(db, sql, -1, flags, &stmt, NULL);
    return stmt;
}

/* The list is short, so it is looked through. */
sqlite3_stmt *statements_take(struct statements *s, const char *sql, int *rc)
{
    *rc = SQLITE_OK;
    for (int i = 0; i < STATEMENTS_KEPT; i++) {
        if (!s->kept[i].sql) {
            s->kept[i].stmt = prepare(s->db, sql, SQLITE_PREPARE_PERSISTENT, rc);
            s->kept[i].sql = s->kept[i].stmt ? sql : NULL;
            return s->kept[i].stmt;
        }
        if (s->kept[i].sql == sql && !sqlite3_stmt_busy(s->kept[i].stmt))
            return s->kept[i].stmt;
        if (s->kept[i].sql == sql)
            break;
    }
    return prepare(s->db, sql, 0, rc);
}

/* The place of that text, else the one not asked for longest. A busy one of that text has no place: -1. */
static int place_of(const struct statements *s, const char *sql)
{
    int oldest = -1;
    for (int i = 0; i < STATEMENTS_MADE; i++) {
        bool busy = s->made[i].sql && sqlite3_stmt_busy(s->made[i].stmt);
        if (s->made[i].sql && strcmp(s->made[i].sql, sql) == 0)
            return busy ? -1 : i;
        if (!busy && (oldest < 0 || s->made[i].used < s->made[oldest].used))
            oldest = i;
    }
    return oldest;
}

/* Without memory for the text it is taken for this once. */
sqlite3_stmt *statements_take_made(struct statements *s, const char *sql, int *rc)
{
    int i = place_of(s, sql);
    *rc = SQLITE_OK;
    if (i >= 0 && s->made[i].sql && strcmp(s->made[i].sql, sql) == 0) {
        s->made[i].used = ++s->clock;
        return s->made[i].stmt;
    }
    sqlite3_stmt *stmt = prepare(s->db, sql, 0, rc);
    char *copy = stmt && i >= 0 ? strdup(sql) : NULL;
    if (!copy)
        return stmt;
    sqlite3_finalize(s->made[i].stmt);
    free(s->made[i].sql);
    s->made[i].sql = copy;
    s->made[i].stmt = stmt;
    s->made[i].used = ++s->clock;
    return stmt;
}

static bool is_kept(const struct statements *s, const sqlite3_stmt *stmt)
{
    bool kept = false;
    for (int i = 0; i < STATEMENTS_KEPT && !kept && s->kept[i].sql; i++)
        kept = s->kept[i].stmt == stmt;
    for (int i = 0; i < STATEMENTS_MADE && !kept; i++)
        kept = s->made[i].stmt == stmt;
    return kept;
}

/* A kept one is reset, which ends its read; one beyond the list's room is let go. */
void statements_give(struct statements *s, sqlite3_stmt *stmt)
{
    if (!is_kept(s, stmt)) {
        sqlite3_finalize(stmt);
        return;
    }
    sqlite3_reset(stmt);
    sqlite3_clear_bindings(stmt);
}

/* Texts are borrowed until the statement has run; NULL is bound as NULL. */
int statement_bind(sqlite3_stmt *stmt, int first, const char *const texts[], int count)
{
    int rc = SQLITE_OK;
    for (int i = 0; i < count && rc == SQLITE_OK; i++)
        rc = sqlite3_bind_text(stmt, first + i, texts[i], -1, SQLITE_STATIC);
    return rc;
}

/* A reset gives the error of the step before it once more, in full; where it has none the step's own stands. */
int statement_end(sqlite3_stmt *stmt, int rc)
{
    int reset = sqlite3_reset(stmt);
    sqlite3_clear_bindings(stmt);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : reset != SQLITE_OK ? reset : rc;
}

/* For a statement that gives no row that is wanted. SQLite's code. */
int statement_run(sqlite3_stmt *stmt)
{
    return statement_end(stmt, sqlite3_step(stmt));
}

int statements_run_id(struct statements *s, const char *sql, int64_t id, const char *text)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(s, sql, &rc);
    if (!stmt)
        return rc;
    sqlite3_bind_int64(stmt, 1, id);
    if (text)
        sqlite3_bind_text(stmt, 2, text, -1, SQLITE_STATIC);
    return statement_run(stmt);
}

/* The caller frees it; NULL for NULL, or without memory. */
char *statement_copy(sqlite3_stmt *stmt, int column)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);
    return text ? strdup(text) : NULL;
}

/* Before the connection is closed: an open statement would keep it. */
void statements_finish(struct statements *s)
{
    for (int i = 0; i < STATEMENTS_KEPT; i++) {
        sqlite3_finalize(s->kept[i].stmt);
        s->kept[i].sql = NULL;
        s->kept[i].stmt = NULL;
    }
    for (int i = 0; i < STATEMENTS_MADE; i++) {
        sqlite3_finalize(s->made[i].stmt);
        free(s->made[i].sql);
        s->made[i].sql = NULL;
        s->made[i].stmt = NULL;
    }
}
