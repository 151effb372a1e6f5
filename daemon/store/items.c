/* items.c - look-ups of the catalogue's items: one by name and revision, all of a kind, those found by words.
 *
 * Reads only. A body is text here.
 */
#include "store/reader.h"
#include "store/search_words.h"

#include <stdlib.h>

static const char present_sql[] = "SELECT " READER_ITEM " FROM item i WHERE i.present AND i.kind = ?1 AND i.name = ?2";
static const char revision_sql[] =
    "SELECT " READER_ITEM " FROM item i WHERE i.kind = ?1 AND i.name = ?2 AND i.revision = ?3 AND i.body IS NOT NULL";
static const char list_sql[] = "SELECT " READER_ITEM " FROM item i WHERE i.present AND i.kind = ?1 ORDER BY i.name";
static const char find_sql[] = "SELECT " READER_ITEM " FROM item i WHERE i.id IN "
                               "(SELECT rowid FROM item_words WHERE item_words MATCH ?2) "
                               "AND i.kind = ?1 AND i.present ORDER BY i.name";

enum store_found store_item_get(struct store *s, const char *kind, const char *id, int64_t revision,
                                void (*each)(void *arg, const struct store_item *i), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = reader_take(r, revision > 0 ? revision_sql : present_sql);
    if (!stmt)
        return STORE_UNREAD;
    sqlite3_bind_text(stmt, 1, kind, -1, SQLITE_TRANSIENT);
    sqlite3_bind_text(stmt, 2, id, -1, SQLITE_TRANSIENT);
    if (revision > 0)
        sqlite3_bind_int64(stmt, 3, revision);
    enum store_found found = reader_row(r, stmt);
    if (found == STORE_FOUND) {
        struct store_item item;
        reader_item(stmt, &item);
        each(arg, &item);
    }
    reader_give(r, stmt);
    return found;
}

bool store_item_list(struct store *s, const char *kind, const char *text,
                     void (*each)(void *arg, const struct store_item *i), void *arg)
{
    struct reader *r = store_reader(s);
    char *words = NULL;
    enum store_found asked = text ? search_words_query_items(r->db, kind, text, &words) : STORE_FOUND;
    if (asked == STORE_UNREAD)
        reader_failed(r, "the words of a search cannot be cut");
    if (asked != STORE_FOUND)
        return false;
    sqlite3_stmt *stmt = reader_take(r, words ? find_sql : list_sql);
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    if (stmt) {
        sqlite3_bind_text(stmt, 1, kind, -1, SQLITE_TRANSIENT);
        if (words)
            sqlite3_bind_text(stmt, 2, words, -1, SQLITE_TRANSIENT);
    }
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND) {
        struct store_item item;
        reader_item(stmt, &item);
        each(arg, &item);
    }
    reader_give(r, stmt);
    free(words);
    return found != STORE_UNREAD;
}
