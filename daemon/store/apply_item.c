#include "store/apply.h"
#include "store/words.h"

#include <stdlib.h>

static const char item_last_sql[] = "SELECT id, revision, words, present FROM item WHERE kind = ?1 AND name = ?2 "
                                    "ORDER BY revision DESC LIMIT 1";
static const char item_past_sql[] = "UPDATE item SET present = 0, words = NULL WHERE id = ?1";
static const char item_add_sql[] = "INSERT INTO item(kind, name, revision, time, reason, source, body, words, present) "
                                   "VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";
static const char item_words_drop_sql[] = "INSERT INTO item_words(item_words, rowid, words) VALUES('delete', ?1, ?2)";
static const char item_words_add_sql[] = "INSERT INTO item_words(rowid, words) VALUES(?1, ?2)";

struct last_item {
    int64_t id, revision;
    bool present;
    char *words;
};

static int look_at_item(struct apply *a, const struct store_item *item, struct last_item *last)
{
    int rc;
    sqlite3_stmt *stmt = apply_statement(a, item_last_sql, &rc);
    const char *texts[] = {item->kind, item->id};
    if (!stmt)
        return rc;
    rc = apply_bind(stmt, 1, texts, 2);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW) {
        last->id = sqlite3_column_int64(stmt, 0);
        last->revision = sqlite3_column_int64(stmt, 1);
        last->words = apply_copy(stmt, 2);
        last->present = sqlite3_column_int(stmt, 3) != 0;
    }
    int reset = sqlite3_reset(stmt);
    sqlite3_clear_bindings(stmt);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : reset != SQLITE_OK ? reset : rc;
}

static int retire_item(struct apply *a, const struct last_item *last)
{
    if (!last->present)
        return SQLITE_OK;
    int rc = apply_id_text(a, item_words_drop_sql, last->id, last->words ? last->words : "");
    return rc == SQLITE_OK ? apply_id_text(a, item_past_sql, last->id, NULL) : rc;
}

static int add_item(struct apply *a, const struct store_item *item, int64_t revision, const char *words)
{
    int rc;
    sqlite3_stmt *stmt = apply_statement(a, item_add_sql, &rc);
    const char *who[] = {item->kind, item->id};
    const char *what[] = {item->time, item->reason, item->source, item->body, item->body ? words : NULL};
    if (!stmt)
        return rc;
    rc = apply_bind(stmt, 1, who, 2);
    sqlite3_bind_int64(stmt, 3, revision);
    if (rc == SQLITE_OK)
        rc = apply_bind(stmt, 4, what, 5);
    sqlite3_bind_int(stmt, 9, item->body != NULL);
    if (rc == SQLITE_OK)
        rc = apply_run(stmt);
    if (rc != SQLITE_OK || !item->body)
        return rc;
    return apply_id_text(a, item_words_add_sql, sqlite3_last_insert_rowid(a->db), words);
}

int apply_item(struct apply *a, const struct store_item *item, int64_t *revision)
{
    struct last_item last = {0};
    char *words = item->kind && item->id ? words_of_item(item->kind, item->text) : NULL;
    int rc = words ? look_at_item(a, item, &last) : SQLITE_MISUSE;
    if (rc == SQLITE_OK)
        rc = retire_item(a, &last);
    *revision = last.revision + 1;
    if (rc == SQLITE_OK)
        rc = add_item(a, item, *revision, words);
    free(last.words);
    free(words);
    return rc;
}
