#include "store/reader.h"
#include "store/row.h"
#include "store/words.h"

#include <stdlib.h>
#include <string.h>

static const char present_sql[] = "SELECT " ROW_ITEM " FROM item i WHERE i.present AND i.kind = ?1 AND i.name = ?2";
static const char revision_sql[] =
    "SELECT " ROW_ITEM " FROM item i WHERE i.kind = ?1 AND i.name = ?2 AND i.revision = ?3 AND i.body IS NOT NULL";
static const char list_sql[] = "SELECT " ROW_ITEM " FROM item i WHERE i.present AND i.kind = ?1 ORDER BY i.name";
static const char find_sql[] = "SELECT " ROW_ITEM " FROM item i WHERE i.id IN "
                               "(SELECT rowid FROM item_words WHERE item_words MATCH ?2) "
                               "AND i.kind = ?1 AND i.present ORDER BY i.name";
static const char source_sql[] = "SELECT source FROM item WHERE kind = ?1 AND name = ?2 AND source IS NOT NULL "
                                 "ORDER BY revision DESC LIMIT 1";

bool store_item_get(struct store *s, const char *kind, const char *id, int64_t revision,
                    void (*each)(void *arg, const struct store_item *i), void *arg)
{
    struct reader *r = store_reader(s);
    bool failed = false, found = false;
    sqlite3_stmt *stmt = reader_take(r, revision > 0 ? revision_sql : present_sql);
    if (!stmt)
        return false;
    sqlite3_bind_text(stmt, 1, kind, -1, SQLITE_TRANSIENT);
    sqlite3_bind_text(stmt, 2, id, -1, SQLITE_TRANSIENT);
    if (revision > 0)
        sqlite3_bind_int64(stmt, 3, revision);
    if (reader_row(r, stmt, &failed)) {
        struct store_item item;
        row_item(stmt, &item);
        each(arg, &item);
        found = true;
    }
    reader_give(r, stmt);
    return found;
}

bool store_item_list(struct store *s, const char *kind, const char *text,
                     void (*each)(void *arg, const struct store_item *i), void *arg)
{
    struct reader *r = store_reader(s);
    char *words = NULL;
    if (text && !words_query_items(r->db, kind, text, &words))
        return false;
    sqlite3_stmt *stmt = reader_take(r, words ? find_sql : list_sql);
    bool failed = !stmt;
    if (stmt) {
        sqlite3_bind_text(stmt, 1, kind, -1, SQLITE_TRANSIENT);
        if (words)
            sqlite3_bind_text(stmt, 2, words, -1, SQLITE_TRANSIENT);
    }
    while (!failed && reader_row(r, stmt, &failed)) {
        struct store_item item;
        row_item(stmt, &item);
        each(arg, &item);
    }
    reader_give(r, stmt);
    free(words);
    return !failed;
}

char *store_item_source(struct store *s, const char *kind, const char *id)
{
    struct reader *r = store_reader(s);
    bool failed = false;
    char *source = NULL;
    sqlite3_stmt *stmt = reader_take(r, source_sql);
    if (!stmt)
        return NULL;
    sqlite3_bind_text(stmt, 1, kind, -1, SQLITE_TRANSIENT);
    sqlite3_bind_text(stmt, 2, id, -1, SQLITE_TRANSIENT);
    if (reader_row(r, stmt, &failed))
        source = strdup((const char *)sqlite3_column_text(stmt, 0));
    reader_give(r, stmt);
    return source;
}
