/* apply.c - one write put into an open transaction: its events with the answer, then the rows beside the journal.
 *
 * Knows nothing of transactions, nor what a batch or an item is (rows.c).
 */
#include "store/apply.h"

#include "store/schema.h"
#include "store/small.h"

#include <stdlib.h>
#include <string.h>

/* The index on requests holds only rows with an answer. */
static const char answer_get_sql[] =
    "SELECT answer, word_text(method) FROM event WHERE request = ?1 AND answer IS NOT NULL";
static const char event_add_sql[] =
    "INSERT INTO event VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)";

/* What stands in thousands of rows alike (a client, a method, a version) stands once in this table. */
static const char word_get_sql[] = "SELECT id FROM word WHERE text = ?1";
static const char word_add_sql[] = "INSERT INTO word(text) VALUES(?1)";

/* A start asks for each station's revision; without these rows it would read the whole journal. */
static const char stations_sql[] = "INSERT INTO station SELECT station, max(revision) FROM event "
                                   "WHERE seq > ?1 AND station IS NOT NULL AND revision >= 0 GROUP BY station "
                                   "ON CONFLICT(name) DO UPDATE SET revision = max(revision, excluded.revision)";

/* Inside the transaction, so that a repeat which waits in the same group finds the first one. */
static int answered_before(struct apply *a, struct job *job, bool *before)
{
    int rc;
    *before = false;
    sqlite3_stmt *stmt = statements_take(&a->statements, answer_get_sql, &rc);
    if (!stmt)
        return rc;
    sqlite3_bind_text(stmt, 1, job->write.request, -1, SQLITE_STATIC);
    rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW) {
        free(job->first_answer);
        free(job->first_method);
        job->first_answer = statement_copy(stmt, 0);
        job->first_method = statement_copy(stmt, 1);
        *before = true;
    }
    return statement_end(stmt, rc);
}

/* The number of a word, one that is new added. SQLite's code. */
static int word_number(struct apply *a, const char *text, int64_t *id)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(&a->statements, word_get_sql, &rc);
    if (!stmt)
        return rc;
    *id = 0;
    sqlite3_bind_text(stmt, 1, text, -1, SQLITE_STATIC);
    rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW)
        *id = sqlite3_column_int64(stmt, 0);
    rc = statement_end(stmt, rc);
    if (rc != SQLITE_OK || *id)
        return rc;
    if (!(stmt = statements_take(&a->statements, word_add_sql, &rc)))
        return rc;
    sqlite3_bind_text(stmt, 1, text, -1, SQLITE_STATIC);
    rc = statement_run(stmt);
    *id = sqlite3_last_insert_rowid(a->statements.db);
    return rc;
}

/* The same by way of the words written lately: most events name the same ones. */
static int word_kept(struct apply *a, const char *text, int64_t *id)
{
    size_t length = strlen(text), hash = length;
    for (size_t i = 0; i < length; i++)
        hash = hash * 31 + (unsigned char)text[i];
    struct apply_word *kept = &a->word[hash % APPLY_WORDS];
    *id = kept->id;
    if (kept->id && strcmp(kept->text, text) == 0)
        return SQLITE_OK;
    int rc = word_number(a, text, id);
    if (rc != SQLITE_OK || length >= sizeof kept->text)
        return rc;
    memcpy(kept->text, text, length + 1);
    kept->id = *id;
    return rc;
}

/* Binds what hardly differs from event to event: as a text, or of a small row as the number of that text. */
static int bind_word(struct apply *a, sqlite3_stmt *stmt, int place, const char *text, bool small)
{
    uint8_t bytes[SMALL_WORD];
    int64_t id;
    if (!text || !small)
        return sqlite3_bind_text(stmt, place, text, -1, SQLITE_STATIC);
    int rc = word_kept(a, text, &id);
    return rc == SQLITE_OK ? sqlite3_bind_blob(stmt, place, bytes, small_number(id, bytes), SQLITE_TRANSIENT) : rc;
}

/* What packing would not make smaller stands as it came. The packer's room lasts until the next body. */
static int bind_body(struct apply *a, sqlite3_stmt *stmt, int place, const char *body, bool small)
{
    size_t size = small ? pack(&a->packer, body) : 0;
    return size ? sqlite3_bind_blob(stmt, place, a->packer.out, (int)size, SQLITE_STATIC)
                : sqlite3_bind_text(stmt, place, body, -1, SQLITE_STATIC);
}

/* Rows of a batch are many and small; all others stand as texts, for whoever reads the file with other means. */
static int bind_behind(struct apply *a, sqlite3_stmt *stmt, const struct store_event *e)
{
    const struct {
        int place;
        const char *text;
    } words[] = {{8, e->boot}, {9, e->person}, {10, e->client}, {12, e->method}, {13, e->version}};
    bool small = e->batch != NULL;
    int rc = sqlite3_bind_text(stmt, 11, e->request, -1, SQLITE_STATIC);
    for (size_t i = 0; i < sizeof words / sizeof *words && rc == SQLITE_OK; i++)
        rc = bind_word(a, stmt, words[i].place, words[i].text, small);
    return rc == SQLITE_OK ? bind_body(a, stmt, 14, e->body, small) : rc;
}

/* The chain moves on before the row is written, since the row holds the hash; a rollback sets it back. */
static int add_event(struct apply *a, const struct store_event *e, const char *answer)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(&a->statements, event_add_sql, &rc);
    if (!stmt)
        return rc;
    const char *before[] = {e->kind, e->station, e->batch};
    chain_add(&a->chain, e, answer);
    sqlite3_bind_int64(stmt, 1, a->chain.seq);
    rc = statement_bind(stmt, 2, before, 3);
    sqlite3_bind_int64(stmt, 5, e->revision);
    if (rc == SQLITE_OK)
        rc = statement_bind(stmt, 6, &e->time, 1);
    sqlite3_bind_int64(stmt, 7, e->mono_ns);
    if (rc == SQLITE_OK)
        rc = bind_behind(a, stmt, e);
    if (rc == SQLITE_OK)
        rc = sqlite3_bind_blob(stmt, 15, a->chain.head, CHAIN_BYTES, SQLITE_STATIC);
    if (rc == SQLITE_OK)
        rc = sqlite3_bind_text(stmt, 16, answer, -1, SQLITE_STATIC);
    return rc == SQLITE_OK ? statement_run(stmt) : rc;
}

/* Once in SCHEMA_STATION_EVERY events: what the events since the time before say of the stations. */
static int note_stations(struct apply *a, int64_t before)
{
    int rc;
    if (before / SCHEMA_STATION_EVERY == a->chain.seq / SCHEMA_STATION_EVERY)
        return SQLITE_OK;
    sqlite3_stmt *stmt = statements_take(&a->statements, stations_sql, &rc);
    if (!stmt)
        return rc;
    sqlite3_bind_int64(stmt, 1, before / SCHEMA_STATION_EVERY * SCHEMA_STATION_EVERY);
    return statement_run(stmt);
}

/* The answer goes with the first event, which bears the request's id and method; where nothing happened that is worth
 * an event, with one that says just that. */
static int add_events(struct apply *a, const struct store_write *w)
{
    struct store_event first = {.kind = "answered", .revision = -1, .body = "{\"v\":1}"};
    int rc = SQLITE_OK;
    if (w->event_count)
        first = w->events[0];
    if (w->request) {
        first.request = w->request;
        first.method = w->method ? w->method : first.method;
    }
    if (w->request || w->event_count)
        rc = add_event(a, &first, w->request ? w->answer : NULL);
    for (size_t i = 1; i < w->event_count && rc == SQLITE_OK; i++)
        rc = add_event(a, &w->events[i], NULL);
    return rc;
}

/* A caller that ran out of memory leaves no body or no answer. Such an event would fold to another cup than was shown,
 * and such a request would be answered with nothing for ever. NULL: all is there. */
static const char *lacking(const struct store_write *w)
{
    if (w->request && (!w->answer || !w->answer[0]))
        return "a request without an answer";
    for (size_t i = 0; i < w->event_count; i++)
        if (!w->events[i].body || !w->events[i].body[0])
            return "an event without a body";
    if (w->kept && (!w->kept->body || !w->kept->body[0]))
        return "a kept reading without a body";
    return NULL;
}

/* SQLite's code. A fault of ours (a body that is missing) refuses this write alone, with SQLITE_OK; any other code is
 * the disk's, and the caller takes the savepoint back. */
int apply_job(struct apply *a, struct job *job)
{
    const struct store_write *w = &job->write;
    bool before = false;
    const char *lack = lacking(w);
    if (lack) {
        job_settle(job, STORE_REFUSED, lack);
        return SQLITE_OK;
    }
    int rc = w->request ? answered_before(a, job, &before) : SQLITE_OK;
    if (rc != SQLITE_OK || before) {
        if (before)
            job_settle(job, STORE_REPEATED, NULL);
        return rc;
    }
    job->outcome.first_seq = w->event_count ? a->chain.seq + 1 : 0;
    int64_t seq = a->chain.seq;
    rc = add_events(a, w);
    if (rc == SQLITE_OK)
        rc = note_stations(a, seq);
    for (size_t i = 0; i < w->batch_count && rc == SQLITE_OK; i++)
        rc = rows_put_batch(&a->statements, &w->batches[i]);
    for (size_t i = 0; i < w->item_count && rc == SQLITE_OK; i++)
        rc = rows_put_item(&a->statements, &w->items[i], &job->revisions[i]);
    for (size_t i = 0; i < w->take_count && rc == SQLITE_OK; i++)
        rc = rows_take(&a->statements, &w->takes[i]);
    if (w->touch && rc == SQLITE_OK)
        rc = rows_touch(&a->statements, w->touch);
    for (size_t i = 0; i < w->move_count && rc == SQLITE_OK; i++)
        rc = rows_move_stock(&a->statements, &w->moves[i]);
    for (size_t i = 0; i < w->stir_count && rc == SQLITE_OK; i++)
        rc = rows_stir(&a->statements, &w->stirs[i]);
    if (w->sign && rc == SQLITE_OK)
        rc = rows_sign(&a->statements, w->sign);
    if (w->kept && rc == SQLITE_OK)
        rc = rows_put_kept(&a->statements, w->kept, a->chain.seq);
    if (rc == SQLITE_OK)
        job_settle(job, STORE_DONE, NULL);
    return rc;
}

/* Words that were added are gone with the transaction, so their numbers may not be believed. */
void apply_back(struct apply *a, const struct chain *before)
{
    a->chain = *before;
    memset(a->word, 0, sizeof a->word);
}

void apply_finish(struct apply *a)
{
    pack_finish(&a->packer);
    statements_finish(&a->statements);
}
