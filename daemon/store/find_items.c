/* find_items.c - look-ups of the things of the catalogue (rows.c writes them): one by its id, a page of a kind, ids
 * that may be meant.
 *
 * Reads only. The body of an item is text here.
 */
#include "store/reader.h"
#include "store/search_words.h"

#include <stdio.h>
#include <stdlib.h>

static const char item_present_sql[] =
    "SELECT " READER_ITEM " FROM item i WHERE i.present AND i.kind = ?1 AND i.name = ?2";
static const char item_revision_sql[] =
    "SELECT " READER_ITEM " FROM item i WHERE i.kind = ?1 AND i.name = ?2 AND i.revision = ?3 AND i.body IS NOT NULL";
static const char item_list_sql[] =
    "SELECT " READER_ITEM " FROM item i WHERE i.present AND i.kind = ?1 AND i.name > ?3 ORDER BY i.name LIMIT ?4";
/* The words lead, and what they lead to is put in order. */
static const char item_few_sql[] =
    "SELECT " READER_ITEM " FROM item_words w CROSS JOIN item i ON i.id = w.rowid WHERE w.item_words MATCH ?2 AND "
    "i.kind = ?1 AND i.present AND i.name > ?3 ORDER BY i.name LIMIT ?4";
static const char item_count_sql[] =
    "SELECT count(*) FROM (SELECT 1 FROM item_words WHERE item_words MATCH ?1 LIMIT ?2)";
/* The order leads: the words of the first ?5 things are looked at, without the kind that stands before them. */
static const char item_walk_sql[] =
    "SELECT * FROM (SELECT " READER_ITEM " FROM item i WHERE i.present AND i.kind = ?1 AND i.name > ?3 ORDER BY i.name "
    "LIMIT ?5) WHERE bears_words(substr(words, instr(words, ' ')), ?2) LIMIT ?4";
static const char item_walked_sql[] =
    "SELECT name FROM item WHERE present AND kind = ?1 AND name > ?3 ORDER BY name LIMIT 1 OFFSET ?5 - 1";
/* The order leads too, and the words' rows are gathered first: each page costs all that bear them. */
static const char item_all_sql[] = "SELECT " READER_ITEM " FROM item i WHERE i.id IN "
                                   "(SELECT rowid FROM item_words WHERE item_words MATCH ?2) "
                                   "AND i.kind = ?1 AND i.present AND i.name > ?3 ORDER BY i.name LIMIT ?4";

/* revision 0: the present one, and none where it was removed; else that one, which stays readable for ever. */
enum store_found store_item_get(struct store *s, const char *kind, const char *id, int64_t revision,
                                void (*each)(void *arg, const struct store_item *i), void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = reader_take(r, revision > 0 ? item_revision_sql : item_present_sql);
    if (!stmt)
        return STORE_UNREAD;
    sqlite3_bind_text(stmt, 1, kind, -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 2, id, -1, SQLITE_STATIC);
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

/* Both read the index alone, which holds kind and name. */
static const char item_case_sql[] =
    "SELECT name FROM item WHERE kind = ?1 AND present AND name = ?2 COLLATE NOCASE ORDER BY +name DESC LIMIT 1";
/* The first of all, which is all that most shops have, and those that stand beside the one typed, whatever its letters.
 */
#define IDS "SELECT name FROM item WHERE kind = ?1 AND present "
static const char item_ids_sql[] =
    "SELECT * FROM (" IDS "ORDER BY name LIMIT 500) UNION ALL "
    "SELECT * FROM (" IDS "AND name COLLATE NOCASE >= ?2 ORDER BY name COLLATE NOCASE LIMIT 200) UNION ALL "
    "SELECT * FROM (" IDS "AND name COLLATE NOCASE < ?2 ORDER BY name COLLATE NOCASE DESC LIMIT 200)";

/* Ids differ by case for SQLite and not for a person: `n10` must not become a second toner beside `N10`. */
enum store_found store_item_other_case(struct store *s, const char *kind, const char *id, char *out, size_t size)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = reader_take(r, item_case_sql);
    if (!stmt)
        return STORE_UNREAD;
    sqlite3_bind_text(stmt, 1, kind, -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 2, id, -1, SQLITE_STATIC);
    enum store_found found = reader_row(r, stmt);
    if (found == STORE_FOUND)
        snprintf(out, size, "%s", (const char *)sqlite3_column_text(stmt, 0));
    reader_give(r, stmt);
    return found;
}

/* It is asked where an id was mistyped, to tell which may have been meant. */
bool store_item_ids(struct store *s, const char *kind, const char *beside, void (*each)(void *arg, const char *id),
                    void *arg)
{
    struct reader *r = store_reader(s);
    sqlite3_stmt *stmt = reader_take(r, item_ids_sql);
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    if (stmt) {
        sqlite3_bind_text(stmt, 1, kind, -1, SQLITE_STATIC);
        sqlite3_bind_text(stmt, 2, beside, -1, SQLITE_STATIC);
    }
    while (found == STORE_FOUND && (found = reader_row(r, stmt)) == STORE_FOUND)
        each(arg, (const char *)sqlite3_column_text(stmt, 0));
    reader_give(r, stmt);
    return found != STORE_UNREAD;
}

/* A page on its way. */
struct paging {
    struct reader *reader;
    const struct store_item_page *page;
    const char *words, *after; /* words as the index is asked for them; NULL: none asked for */
    int given;
    void (*each)(void *arg, const struct store_item *i);
    void *arg;
};

/* The statement with what is asked; a place that it lacks is passed over. An id is never empty, and a negative limit is
 * no limit. */
static sqlite3_stmt *take(const struct paging *p, const char *sql, const char *words)
{
    enum { WALK = 600 };
    sqlite3_stmt *stmt = reader_take(p->reader, sql);
    if (!stmt)
        return NULL;
    sqlite3_bind_text(stmt, 1, p->page->kind, -1, SQLITE_STATIC);
    if (words)
        sqlite3_bind_text(stmt, 2, words, -1, SQLITE_STATIC);
    sqlite3_bind_text(stmt, 3, p->after ? p->after : "", -1, SQLITE_STATIC);
    sqlite3_bind_int(stmt, 4, p->page->limit > 0 ? p->page->limit - p->given : -1);
    sqlite3_bind_int(stmt, 5, WALK);
    return stmt;
}

/* each() may look things up itself, which takes its own time: the limit stands still meanwhile. */
static enum store_found give(struct paging *p, const char *sql, const char *words)
{
    sqlite3_stmt *stmt = take(p, sql, words);
    enum store_found found = stmt ? STORE_FOUND : STORE_UNREAD;
    while (found == STORE_FOUND && (found = reader_row(p->reader, stmt)) == STORE_FOUND) {
        struct store_item item;
        reader_item(stmt, &item);
        p->given++;
        reader_pause(p->reader);
        p->each(p->arg, &item);
        reader_go_on(p->reader);
    }
    reader_give(p->reader, stmt);
    return found;
}

/* Few are looked up each. Of many a page is nearly always full after a short walk; where it is not, since what bears
 * the words stands together and further on, all are gathered. STORE_NONE: all was given. */
static enum store_found give_words(struct paging *p)
{
    if (reader_few(p->reader, item_count_sql, p->words))
        return give(p, item_few_sql, p->words);
    if (p->page->limit == 0)
        return give(p, item_all_sql, p->words);
    enum store_found found = give(p, item_walk_sql, p->page->text);
    if (found != STORE_NONE || p->given == p->page->limit)
        return found;
    sqlite3_stmt *stmt = take(p, item_walked_sql, NULL);
    found = stmt ? reader_row(p->reader, stmt) : STORE_UNREAD;
    char *last = found == STORE_FOUND ? statement_copy(stmt, 0) : NULL;
    reader_give(p->reader, stmt);
    if (found != STORE_FOUND)
        return found;
    if (!last)
        return reader_failed(p->reader, "out of memory");
    p->after = last;
    found = give(p, item_all_sql, p->words);
    free(last);
    return found;
}

bool store_item_page(struct store *s, const struct store_item_page *page,
                     void (*each)(void *arg, const struct store_item *i), void *arg)
{
    struct reader *r = store_reader(s);
    char *words = NULL;
    enum store_found asked =
        page->text ? search_words_query_items(&r->statements, page->kind, page->text, &words) : STORE_FOUND;
    if (asked == STORE_UNREAD)
        reader_failed_words(r);
    if (asked != STORE_FOUND)
        return false;
    struct paging p = {.reader = r, .page = page, .words = words, .after = page->after, .each = each, .arg = arg};
    if (page->most_ms)
        reader_limit(r, page->most_ms);
    enum store_found found = words ? give_words(&p) : give(&p, item_list_sql, NULL);
    if (page->most_ms) {
        *page->late = found == STORE_LATE;
        reader_limit(r, 0);
    }
    free(words);
    return found != STORE_UNREAD;
}

bool store_item_list(struct store *s, const char *kind, const char *text,
                     void (*each)(void *arg, const struct store_item *i), void *arg)
{
    return store_item_page(s, &(struct store_item_page){.kind = kind, .text = text}, each, arg);
}
