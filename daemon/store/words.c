#include "store/words.h"

#include "store/schema.h"
#include "store/terms.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { OWN_MARK = '=' };

struct out {
    char *text;
    size_t length;
    FILE *file;
};

static bool out_open(struct out *out)
{
    out->file = open_memstream(&out->text, &out->length);
    return out->file != NULL;
}

static char *out_close(struct out *out)
{
    bool good = !ferror(out->file);
    if (fclose(out->file) != 0 || !good) {
        free(out->text);
        return NULL;
    }
    return out->text;
}

static void put_words(struct out *out, const char *text)
{
    fputc(' ', out->file);
    for (const char *at = text ? text : ""; *at; at++)
        fputc(*at == OWN_MARK ? ' ' : *at, out->file);
}

char *words_of_batch(const struct store_batch *b)
{
    struct out out;
    const char *texts[] = {b->formula, b->name, b->order, b->painter, b->place};
    if (!out_open(&out))
        return NULL;
    fprintf(out.file, "%c%s", OWN_MARK, b->batch);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        put_words(&out, texts[i]);
    return out_close(&out);
}

char *words_of_item(const char *kind, const char *text)
{
    struct out out;
    if (!out_open(&out))
        return NULL;
    fprintf(out.file, "%c%s", OWN_MARK, kind);
    put_words(&out, text);
    return out_close(&out);
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

struct query {
    struct out out;
    sqlite3 *db;
    const char *terms; /* the vocabulary of the index */
    const char *kind;  /* of items; NULL: batches */
    int words;
};

static bool all_digits(const char *word, int length)
{
    for (int i = 0; i < length; i++)
        if (word[i] < '0' || word[i] > '9')
            return false;
    return length > 0;
}

/* Called by the tokenizer for each word. A word holds no quotation mark: that is no letter and no digit. */
static int add_word(void *arg, int flags, const char *word, int length, int start, int end)
{
    struct query *q = arg;
    (void)flags, (void)start, (void)end;
    if (++q->words > WORDS_MAX)
        return SQLITE_TOOBIG;
    fputs(q->kind || q->words > 1 ? " AND (" : "(", q->out.file);
    if (!terms_put(q->db, q->terms, word, length, q->out.file))
        return SQLITE_ERROR;
    if (!q->kind && all_digits(word, length))
        fprintf(q->out.file, " OR \"%c%.*s\"", OWN_MARK, length, word);
    fputc(')', q->out.file);
    return SQLITE_OK;
}

static bool cut(struct query *q, const char *text)
{
    const char *args[] = {SCHEMA_TOKENIZER};
    fts5_tokenizer tokenizer;
    void *user;
    Fts5Tokenizer *made;
    fts5_api *api = api_of(q->db);
    if (!api || api->xFindTokenizer(api, args[0], &user, &tokenizer) != SQLITE_OK ||
        tokenizer.xCreate(user, args + 1, (int)(sizeof args / sizeof *args) - 1, &made) != SQLITE_OK)
        return false;
    int rc = tokenizer.xTokenize(made, q, FTS5_TOKENIZE_QUERY, text, (int)strlen(text), add_word);
    tokenizer.xDelete(made);
    return rc == SQLITE_OK;
}

/* *expression is NULL where q holds no word. */
static bool ask(struct query *q, const char *text, char **expression)
{
    *expression = NULL;
    char *plain = strdup(text);
    if (!plain || !out_open(&q->out)) {
        free(plain);
        return false;
    }
    for (char *at = plain; *at; at++)
        if (*at == OWN_MARK)
            *at = ' ';
    if (q->kind)
        fprintf(q->out.file, "\"%c%s\"", OWN_MARK, q->kind);
    bool good = cut(q, plain);
    free(plain);
    char *all = out_close(&q->out);
    good = good && all;
    if (good && (q->kind || q->words))
        *expression = all;
    else
        free(all);
    return good;
}

bool words_query_batches(sqlite3 *db, const char *text, char **expression)
{
    struct query q = {.db = db, .terms = "batch_terms"};
    return ask(&q, strncasecmp(text, "POISE:", 6) == 0 ? text + 6 : text, expression);
}

bool words_query_items(sqlite3 *db, const char *kind, const char *text, char **expression)
{
    struct query q = {.db = db, .terms = "item_terms", .kind = kind};
    return ask(&q, text, expression);
}

int64_t words_number(const char *text)
{
    int64_t number = 0;
    if (!text || !*text || *text == '0')
        return 0;
    for (const char *at = text; *at; at++) {
        if (*at < '0' || *at > '9' || number > (INT64_MAX - 9) / 10)
            return 0;
        number = 10 * number + (*at - '0');
    }
    return number;
}
