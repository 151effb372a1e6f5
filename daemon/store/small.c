/* small.c - word_text() and body_text(): the small rows as they were before they were made small.
 *
 * Knows the table `word` and no other.
 */
#include "store/small.h"

#include "store/pack.h"
#include "store/statements.h"

#include <stdlib.h>
#include <string.h>

/* A shop has some painters, programs and methods, and a new start of the machine now and then. */
enum { WORDS_KEPT = 64 };

/* Words looked up, by number. A number never gets another text, so what was read once stays true. */
struct words {
    struct {
        int64_t id;
        char *text;
    } kept[WORDS_KEPT];
};

static void free_words(void *arg)
{
    struct words *words = arg;
    for (size_t i = 0; i < WORDS_KEPT; i++)
        free(words->kept[i].text);
    free(words);
}

int small_number(int64_t id, uint8_t out[SMALL_WORD])
{
    int count = 1;
    while (count < SMALL_WORD && id >> (8 * count))
        count++;
    for (int i = 0; i < count; i++)
        out[i] = (uint8_t)(id >> (8 * (count - 1 - i)));
    return count;
}

/* A malloc'd copy of a word's text; NULL: there is no such word. Else SQLite's code: what could not be read must not
 * pass for what is not known. */
static int look_up(sqlite3 *db, int64_t id, char **text)
{
    sqlite3_stmt *stmt;
    *text = NULL;
    int rc = sqlite3_prepare_v2(db, "SELECT text FROM word WHERE id = ?1", -1, &stmt, NULL);
    if (rc != SQLITE_OK)
        return rc;
    sqlite3_bind_int64(stmt, 1, id);
    rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW)
        rc = (*text = statement_copy(stmt, 0)) ? SQLITE_OK : SQLITE_NOMEM;
    sqlite3_finalize(stmt);
    return rc == SQLITE_DONE ? SQLITE_OK : rc;
}

static void word_text(sqlite3_context *context, int count, sqlite3_value **values)
{
    (void)count;
    if (sqlite3_value_type(values[0]) != SQLITE_BLOB) {
        sqlite3_result_value(context, values[0]);
        return;
    }
    struct words *words = sqlite3_user_data(context);
    const uint8_t *bytes = sqlite3_value_blob(values[0]);
    int size = sqlite3_value_bytes(values[0]);
    int64_t id = 0;
    for (int i = 0; i < size && i < SMALL_WORD; i++)
        id = id << 8 | bytes[i];
    size_t place = (size_t)id % WORDS_KEPT;
    if (words->kept[place].id != id || !words->kept[place].text) {
        free(words->kept[place].text);
        int rc = look_up(sqlite3_context_db_handle(context), id, &words->kept[place].text);
        words->kept[place].id = id;
        if (rc != SQLITE_OK)
            sqlite3_result_error_code(context, rc);
    }
    if (words->kept[place].text)
        sqlite3_result_text(context, words->kept[place].text, -1, SQLITE_TRANSIENT);
}

/* A damaged body is no text: the chain tells which, and whoever folds it refuses. One that only found no memory ends
 * the reading, so that it is never taken for an event that says nothing. */
static void body_text(sqlite3_context *context, int count, sqlite3_value **values)
{
    size_t length;
    bool no_memory;
    (void)count;
    if (sqlite3_value_type(values[0]) != SQLITE_BLOB) {
        sqlite3_result_value(context, values[0]);
        return;
    }
    char *text = pack_open(sqlite3_value_blob(values[0]), (size_t)sqlite3_value_bytes(values[0]), &length, &no_memory);
    if (text)
        sqlite3_result_text(context, text, (int)length, free);
    else if (no_memory)
        sqlite3_result_error_nomem(context);
}

int small_functions(sqlite3 *db)
{
    struct words *words = calloc(1, sizeof *words);
    if (!words)
        return SQLITE_NOMEM;
    int rc = sqlite3_create_function_v2(db, "word_text", 1, SQLITE_UTF8, words, word_text, NULL, NULL, free_words);
    if (rc != SQLITE_OK)
        return rc; /* SQLite has let go of the words */
    return sqlite3_create_function_v2(db, "body_text", 1, SQLITE_UTF8 | SQLITE_DETERMINISTIC, NULL, body_text, NULL,
                                      NULL, NULL);
}
