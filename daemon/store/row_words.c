/* row_words.c - the words that stand with a row, held against words typed; both cut by the index's own tokenizer.
 *
 * Knows no table. A word typed must begin a word of the row, or, of digits alone, be the number `=1042`
 * (search_words.h).
 */
#include "store/row_words.h"

#include "store/schema.h"
#include "store/search_words.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* Of one connection. */
struct cutter {
    fts5_tokenizer tokenizer;
    Fts5Tokenizer *made; /* NULL: not yet */
};

/* What was typed, cut, and which of it the row has. A search of more than fits finds nothing. */
struct typed {
    char text[2048];
    int start[SEARCH_WORDS_MAX], length[SEARCH_WORDS_MAX], count, used;
    bool found[SEARCH_WORDS_MAX], too_much;
};

static void free_cutter(void *arg)
{
    struct cutter *c = arg;
    if (c->made)
        c->tokenizer.xDelete(c->made);
    free(c);
}

static fts5_api *api_of(sqlite3 *db)
{
    fts5_api *api = NULL;
    sqlite3_stmt *stmt;
    if (sqlite3_prepare_v2(db, "SELECT fts5(?1)", -1, &stmt, NULL) != SQLITE_OK)
        return NULL;
    sqlite3_bind_pointer(stmt, 1, (void *)&api, "fts5_api_ptr", NULL);
    sqlite3_step(stmt);
    sqlite3_finalize(stmt);
    return api;
}

static bool ready(struct cutter *c, sqlite3 *db)
{
    const char *args[] = {SCHEMA_TOKENIZER};
    void *user;
    if (c->made)
        return true;
    fts5_api *api = api_of(db);
    return api && api->xFindTokenizer(api, args[0], &user, &c->tokenizer) == SQLITE_OK &&
           c->tokenizer.xCreate(user, args + 1, (int)(sizeof args / sizeof *args) - 1, &c->made) == SQLITE_OK;
}

static void keep_one(struct typed *t, const char *word, int length)
{
    if (length == 0)
        return;
    if (t->count == SEARCH_WORDS_MAX || t->used + length > (int)sizeof t->text) {
        t->too_much = true;
        return;
    }
    memcpy(t->text + t->used, word, (size_t)length);
    t->start[t->count] = t->used;
    t->length[t->count++] = length;
    t->used += length;
}

/* Called by the tokenizer for each word typed; the store's own mark parts two words, whoever typed it. */
static int keep_typed(void *arg, int flags, const char *word, int length, int start, int end)
{
    int from = 0;
    (void)flags, (void)start, (void)end;
    for (int i = 0; i <= length; i++)
        if (i == length || word[i] == SEARCH_WORDS_MARK) {
            keep_one(arg, word + from, i - from);
            from = i + 1;
        }
    return SQLITE_OK;
}

/* Called for each word of the row. Its number stands behind the mark, and is meant as a whole. */
static int hold_against(void *arg, int flags, const char *word, int length, int start, int end)
{
    struct typed *t = arg;
    (void)flags, (void)start, (void)end;
    bool own = length > 0 && word[0] == SEARCH_WORDS_MARK;
    if (own) {
        word++;
        length--;
    }
    for (int i = 0; i < t->count; i++)
        if (t->length[i] <= length && (!own || t->length[i] == length))
            t->found[i] |= memcmp(t->text + t->start[i], word, (size_t)t->length[i]) == 0;
    return SQLITE_OK;
}

static int cut(struct cutter *c, sqlite3_value *value, struct typed *t,
               int (*each)(void *arg, int flags, const char *word, int length, int start, int end))
{
    const char *text = (const char *)sqlite3_value_text(value);
    int size = sqlite3_value_bytes(value);
    return text ? c->tokenizer.xTokenize(c->made, t, FTS5_TOKENIZE_DOCUMENT, text, size, each) : SQLITE_OK;
}

static void bears_words(sqlite3_context *context, int count, sqlite3_value **values)
{
    struct cutter *c = sqlite3_user_data(context);
    struct typed t = {.count = 0};
    (void)count;
    int rc = ready(c, sqlite3_context_db_handle(context)) ? cut(c, values[1], &t, keep_typed) : SQLITE_ERROR;
    if (rc == SQLITE_OK)
        rc = cut(c, values[0], &t, hold_against);
    bool all = !t.too_much;
    for (int i = 0; i < t.count; i++)
        all = all && t.found[i];
    if (rc == SQLITE_OK)
        sqlite3_result_int(context, all);
    else
        sqlite3_result_error_code(context, rc);
}

int row_words_function(sqlite3 *db)
{
    struct cutter *c = calloc(1, sizeof *c);
    if (!c)
        return SQLITE_NOMEM;
    return sqlite3_create_function_v2(db, "bears_words", 2, SQLITE_UTF8 | SQLITE_DETERMINISTIC, c, bears_words, NULL,
                                      NULL, free_cutter);
}
