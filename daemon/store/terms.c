#include "store/terms.h"

#include <string.h>

struct list {
    char words[TERMS_MAX][64];
    int count;
};

/* Letters, as the index counts them: UTF-8 characters. */
static int letters(const char *word, int length)
{
    int count = 0;
    for (int i = 0; i < length; i++)
        count += (word[i] & 0xc0) != 0x80;
    return count;
}

/* The first word of the index from `from` on. SQLITE_ROW: it is in the statement. */
static int seek(sqlite3_stmt *stmt, const char *from, int length)
{
    sqlite3_reset(stmt);
    sqlite3_bind_text(stmt, 1, from, length, SQLITE_TRANSIENT);
    return sqlite3_step(stmt);
}

/* Lists the words that begin with `word`, jumping from one to the next: behind `copper` comes nothing less than
 * `copper` and the least byte there is. SQLITE_DONE: all of them; SQLITE_FULL: there are more, or longer ones; else an
 * error. */
static int list_words(sqlite3_stmt *stmt, const char *word, int length, struct list *list)
{
    char from[sizeof list->words[0] + 1];
    int rc = seek(stmt, word, length);
    while (rc == SQLITE_ROW) {
        const char *found = (const char *)sqlite3_column_text(stmt, 0);
        int size = sqlite3_column_bytes(stmt, 0);
        if (!found || size < length || memcmp(found, word, (size_t)length) != 0)
            return SQLITE_DONE;
        if (list->count == TERMS_MAX || size >= (int)sizeof list->words[0])
            return SQLITE_FULL;
        memcpy(list->words[list->count], found, (size_t)size);
        list->words[list->count++][size] = '\0';
        memcpy(from, found, (size_t)size);
        from[size] = '\1';
        rc = seek(stmt, from, size + 1);
    }
    return rc;
}

bool terms_put(sqlite3 *db, const char *table, const char *word, int length, FILE *out)
{
    char sql[96];
    sqlite3_stmt *stmt;
    struct list list;
    if (letters(word, length) <= TERMS_INDEXED) {
        fprintf(out, "\"%.*s\"*", length, word);
        return true;
    }
    snprintf(sql, sizeof sql, "SELECT term FROM %s WHERE term >= ?1 LIMIT 1", table);
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        return false;
    list.count = 0;
    int rc = list_words(stmt, word, length, &list);
    sqlite3_finalize(stmt);
    if (rc == SQLITE_FULL)
        fprintf(out, "\"%.*s\"*", length, word);
    else if (rc == SQLITE_DONE)
        fprintf(out, "\"%.*s\"", length, word);
    for (int i = 0; rc == SQLITE_DONE && i < list.count; i++)
        fprintf(out, " OR \"%s\"", list.words[i]);
    return rc == SQLITE_FULL || rc == SQLITE_DONE;
}
