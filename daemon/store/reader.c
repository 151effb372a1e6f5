#include "store/reader.h"

#include "log.h"
#include "store/row.h"
#include "store/schema.h"

#include <stdio.h>

bool reader_open(struct reader *r, const char *dir, struct fault *fault)
{
    char path[4096];
    *r = (struct reader){0};
    snprintf(path, sizeof path, "%s/" SCHEMA_FILE, dir); /* its length was looked at by commit_open */
    int rc = sqlite3_open_v2(path, &r->db, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(r->db,
                          "PRAGMA query_only = ON; PRAGMA cache_size = -256; PRAGMA mmap_size = 0;"
                          "PRAGMA temp_store = MEMORY; PRAGMA trusted_schema = OFF; SELECT count(*) FROM day;",
                          NULL, NULL, NULL);
    if (rc == SQLITE_OK)
        return true;
    fault_set(fault, FAULT_STORE, NULL, "io", "Look at the disk and at the rights of the state directory.",
              "cannot read " SCHEMA_FILE ": %s", sqlite3_errmsg(r->db));
    reader_close(r);
    return false;
}

void reader_close(struct reader *r)
{
    for (int i = 0; i < READER_KEPT; i++)
        sqlite3_finalize(r->kept[i].stmt);
    sqlite3_close(r->db);
    *r = (struct reader){0};
}

static sqlite3_stmt *prepare(struct reader *r, const char *sql, unsigned flags)
{
    sqlite3_stmt *stmt = NULL;
    if (sqlite3_prepare_v3(r->db, sql, -1, flags, &stmt, NULL) != SQLITE_OK)
        log_warnx("store: cannot read: %s", sqlite3_errmsg(r->db));
    return stmt;
}

sqlite3_stmt *reader_take(struct reader *r, const char *sql)
{
    for (int i = 0; i < READER_KEPT; i++) {
        if (!r->kept[i].sql) {
            r->kept[i].stmt = prepare(r, sql, SQLITE_PREPARE_PERSISTENT);
            r->kept[i].sql = r->kept[i].stmt ? sql : NULL;
            return r->kept[i].stmt;
        }
        if (r->kept[i].sql == sql && !sqlite3_stmt_busy(r->kept[i].stmt))
            return r->kept[i].stmt;
        if (r->kept[i].sql == sql)
            break;
    }
    return prepare(r, sql, 0);
}

sqlite3_stmt *reader_take_once(struct reader *r, const char *sql)
{
    return prepare(r, sql, 0);
}

bool reader_row(struct reader *r, sqlite3_stmt *stmt, bool *failed)
{
    int rc = sqlite3_step(stmt);
    if (rc != SQLITE_ROW && rc != SQLITE_DONE) {
        log_warnx("store: cannot read: %s", sqlite3_errmsg(r->db));
        *failed = true;
    }
    return rc == SQLITE_ROW;
}

bool reader_events(struct reader *r, sqlite3_stmt *stmt, bool (*each)(void *arg, const struct store_event *e),
                   void *arg)
{
    bool failed = !stmt;
    while (!failed && reader_row(r, stmt, &failed)) {
        struct store_event e;
        row_event(stmt, &e);
        if (!each(arg, &e))
            break;
    }
    reader_give(r, stmt);
    return !failed;
}

void reader_give(struct reader *r, sqlite3_stmt *stmt)
{
    if (!stmt)
        return;
    for (int i = 0; i < READER_KEPT; i++)
        if (r->kept[i].stmt == stmt) {
            sqlite3_reset(stmt);
            sqlite3_clear_bindings(stmt);
            return;
        }
    sqlite3_finalize(stmt);
}
