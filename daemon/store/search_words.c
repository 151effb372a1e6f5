/* search_words.c - what the store's full-text tables hold, and what a person typed as a query of them.
 *
 * Knows no batch and no item beyond the texts they are found by.
 */
#include "store/search_words.h"

#include "store/schema.h"
#include "text/draft.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* Asked for `copper*`, the full-text index copies the places of every word that begins so before it gives the first:
 * 35 ms for 100,000 batches, 300 ms for all of a million. Asked for the words themselves, `copper` or `copperwing`, it
 * reads only as far as the page wants. Beginnings of 1 to 3 letters have an index of their own. */
enum { TERMS_INDEXED = 3, TERMS_MAX = 64, SAME_STEPPED = 64 };

/* The mark within a text becomes a blank: a name may hold it, but must not begin a word with it. */
static void put_words(struct draft *out, const char *text)
{
    draft_add(out, " ", 1);
    for (const char *at = text ? text : ""; *at; at++)
        draft_add(out, *at == SEARCH_WORDS_MARK ? " " : at, 1);
}

/* Formula, name, order, painter, place: what a painter remembers of a cup. */
char *search_words_of_batch(const struct store_batch *b)
{
    struct draft out = {0};
    const char *texts[] = {b->formula, b->name, b->order, b->painter, b->place};
    draft_print(&out, "%c%s", SEARCH_WORDS_MARK, b->batch);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        put_words(&out, texts[i]);
    return draft_take(&out);
}

char *search_words_of_item(const char *kind, const char *text)
{
    struct draft out = {0};
    draft_print(&out, "%c%s", SEARCH_WORDS_MARK, kind);
    put_words(&out, text);
    return draft_take(&out);
}

/* Words of the index that begin alike. */
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
    sqlite3_bind_text(stmt, 1, from, length, SQLITE_STATIC);
    return sqlite3_step(stmt);
}

/* Whether the row at hand bears one more word of the list, and no longer one. SQLITE_DONE: it is past all that begin
 * with `word`; SQLITE_FULL: the list has no room for it. */
static int add_listed(sqlite3_stmt *stmt, const char *word, int length, struct list *list, bool *again)
{
    const char *found = (const char *)sqlite3_column_text(stmt, 0);
    if (!found)
        return SQLITE_NOMEM; /* a list that lacks a word would find too little */
    int size = sqlite3_column_bytes(stmt, 0);
    if (size < length || memcmp(found, word, (size_t)length) != 0)
        return SQLITE_DONE;
    *again = list->count > 0 && strcmp(list->words[list->count - 1], found) == 0;
    if (*again)
        return SQLITE_ROW;
    if (list->count == TERMS_MAX || size >= (int)sizeof list->words[0])
        return SQLITE_FULL;
    memcpy(list->words[list->count++], found, (size_t)size + 1);
    return SQLITE_ROW;
}

/* Lists the words that begin with `word` and are longer. The index gives a row for each batch that has a word: a rare
 * one is stepped over, a common one is jumped over, since behind `copper` comes nothing less than `copper` and the
 * least byte there is. SQLITE_DONE: all of them; SQLITE_FULL: there are more, or longer ones; else an error. */
static int list_words(sqlite3_stmt *stmt, const char *word, int length, struct list *list)
{
    char from[sizeof list->words[0] + 1];
    int same = 0;
    if (length >= (int)sizeof list->words[0])
        return SQLITE_FULL;
    memcpy(from, word, (size_t)length);
    from[length] = '\1';
    int rc = seek(stmt, from, length + 1);
    while (rc == SQLITE_ROW) {
        bool again = false;
        rc = add_listed(stmt, word, length, list, &again);
        same = again ? same + 1 : 0;
        if (rc == SQLITE_ROW && same < SAME_STEPPED) {
            rc = sqlite3_step(stmt);
        } else if (rc == SQLITE_ROW) {
            int size = snprintf(from, sizeof from, "%s\1", list->words[list->count - 1]);
            rc = seek(stmt, from, size);
        }
    }
    return rc;
}

/* The words of each index from one on, a row an instance. */
static const char batch_term_sql[] = "SELECT term FROM batch_terms WHERE term >= ?1";
static const char item_term_sql[] = "SELECT term FROM item_terms WHERE term >= ?1";

/* Writes what matches all words that begin with `word`: it with a star where that is quick or where there are more than
 * TERMS_MAX, else the words, joined by OR. The word itself is asked for whether it is there or not: a look costs some
 * 60 us, which the full-text index spends on a statement of its own. False: could not be read. */
static bool put_terms(struct statements *s, const char *sql, const char *word, int length, struct draft *out)
{
    struct list list;
    int rc;
    if (letters(word, length) <= TERMS_INDEXED) {
        draft_print(out, "\"%.*s\"*", length, word);
        return true;
    }
    sqlite3_stmt *stmt = statements_take(s, sql, &rc);
    if (!stmt)
        return false;
    list.count = 0;
    rc = list_words(stmt, word, length, &list);
    statements_give(s, stmt);
    if (rc == SQLITE_FULL)
        draft_print(out, "\"%.*s\"*", length, word);
    else if (rc == SQLITE_DONE)
        draft_print(out, "\"%.*s\"", length, word);
    for (int i = 0; rc == SQLITE_DONE && i < list.count; i++)
        draft_print(out, " OR \"%s\"", list.words[i]);
    return rc == SQLITE_FULL || rc == SQLITE_DONE;
}

static fts5_api *api_of(struct statements *s)
{
    static const char sql[] = "SELECT fts5(?1)";
    fts5_api *api = NULL;
    int rc;
    sqlite3_stmt *stmt = statements_take(s, sql, &rc);
    if (!stmt)
        return NULL;
    sqlite3_bind_pointer(stmt, 1, (void *)&api, "fts5_api_ptr", NULL);
    sqlite3_step(stmt);
    statements_give(s, stmt);
    return api;
}

struct query {
    struct draft out;
    struct statements *statements;
    const char *terms; /* what asks for the words of the index */
    const char *kind;  /* of items; NULL: batches */
    int words;
};

/* What may be a batch's number as well as a word. */
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
    if (++q->words > SEARCH_WORDS_MAX)
        return SQLITE_TOOBIG;
    draft_print(&q->out, "%s", q->kind || q->words > 1 ? " AND (" : "(");
    if (!put_terms(q->statements, q->terms, word, length, &q->out))
        return SQLITE_ERROR;
    if (!q->kind && all_digits(word, length))
        draft_print(&q->out, " OR \"%c%.*s\"", SEARCH_WORDS_MARK, length, word);
    draft_add(&q->out, ")", 1);
    return SQLITE_OK;
}

/* SQLite's code; SQLITE_TOOBIG: more words than SEARCH_WORDS_MAX. */
static int cut(struct query *q, const char *text)
{
    const char *args[] = {SCHEMA_TOKENIZER};
    fts5_tokenizer tokenizer;
    void *user;
    Fts5Tokenizer *made;
    fts5_api *api = q->statements->db ? api_of(q->statements) : NULL;
    if (!api || api->xFindTokenizer(api, args[0], &user, &tokenizer) != SQLITE_OK ||
        tokenizer.xCreate(user, args + 1, (int)(sizeof args / sizeof *args) - 1, &made) != SQLITE_OK)
        return SQLITE_ERROR;
    int rc = tokenizer.xTokenize(made, q, FTS5_TOKENIZE_QUERY, text, (int)strlen(text), add_word);
    tokenizer.xDelete(made);
    return rc;
}

/* *expression is NULL where q holds no word. */
static enum store_found ask(struct query *q, const char *text, char **expression)
{
    *expression = NULL;
    char *plain = strdup(text);
    if (!plain)
        return STORE_UNREAD;
    for (char *at = plain; *at; at++)
        if (*at == SEARCH_WORDS_MARK)
            *at = ' ';
    if (q->kind)
        draft_print(&q->out, "\"%c%s\"", SEARCH_WORDS_MARK, q->kind);
    int rc = cut(q, plain);
    free(plain);
    bool lost = q->out.lost;
    char *all = draft_take(&q->out);
    if (rc == SQLITE_OK && all && (q->kind || q->words)) {
        *expression = all;
        return STORE_FOUND;
    }
    free(all);
    return rc == SQLITE_TOOBIG ? STORE_NONE : rc == SQLITE_OK && !lost ? STORE_FOUND : STORE_UNREAD;
}

enum store_found search_words_query_batches(struct statements *s, const char *text, char **expression)
{
    struct query q = {.statements = s, .terms = batch_term_sql};
    return ask(&q, text, expression);
}

const char *search_words_typed(const char *text)
{
    return text && strncasecmp(text, "POISE:", 6) == 0 ? text + 6 : text;
}

enum store_found search_words_query_items(struct statements *s, const char *kind, const char *text, char **expression)
{
    struct query q = {.statements = s, .terms = item_term_sql, .kind = kind};
    return ask(&q, text, expression);
}

int64_t search_words_number(const char *text)
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
