/* statements.c - the prepared statements of the writing connection, each made when first asked for.
 *
 * A commit is short: parsing its SQL anew would cost more than running it. Knows no table.
 */
#include "store/statements.h"

#include <string.h>

sqlite3_stmt *statements_take(struct statements *s, const char *sql, int *rc)
{
    sqlite3_stmt *stmt;
    *rc = SQLITE_OK;
    for (int i = 0; i < STATEMENTS_KEPT; i++) {
        if (s->kept[i].sql == sql)
            return s->kept[i].stmt;
        if (s->kept[i].sql)
            continue;
        *rc = sqlite3_prepare_v3(s->db, sql, -1, SQLITE_PREPARE_PERSISTENT, &stmt, NULL);
        if (*rc != SQLITE_OK)
            return NULL;
        s->kept[i].sql = sql;
        return s->kept[i].stmt = stmt;
    }
    *rc = SQLITE_INTERNAL; /* more statements than room: our mistake */
    return NULL;
}

int statement_bind(sqlite3_stmt *stmt, int first, const char *const texts[], int count)
{
    int rc = SQLITE_OK;
    for (int i = 0; i < count && rc == SQLITE_OK; i++)
        rc = sqlite3_bind_text(stmt, first + i, texts[i], -1, SQLITE_STATIC);
    return rc;
}

/* Resets at once: a statement left open would hold its transaction. */
int statement_run(sqlite3_stmt *stmt)
{
    int rc = sqlite3_step(stmt);
    int reset = sqlite3_reset(stmt);
    sqlite3_clear_bindings(stmt);
    return rc == SQLITE_DONE ? SQLITE_OK : reset != SQLITE_OK ? reset : rc;
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

char *statement_copy(sqlite3_stmt *stmt, int column)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);
    return text ? strdup(text) : NULL;
}

void statements_finish(struct statements *s)
{
    for (int i = 0; i < STATEMENTS_KEPT; i++) {
        sqlite3_finalize(s->kept[i].stmt);
        s->kept[i].sql = NULL;
        s->kept[i].stmt = NULL;
    }
}
