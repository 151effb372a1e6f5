/* apply.c - one write put into an open transaction: its events with the answer, then the rows beside the journal.
 *
 * Knows nothing of transactions, nor what a batch or an item is (rows.c).
 */
#include "store/apply.h"

#include "store/schema.h"

#include <stdlib.h>
#include <string.h>

static const char answer_get_sql[] = "SELECT answer, method FROM event WHERE request = ?1 AND answer IS NOT NULL";
static const char event_add_sql[] =
    "INSERT INTO event VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)";

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

/* The chain moves on before the row is written, since the row holds the hash; a rollback sets it back. */
static int add_event(struct apply *a, const struct store_event *e, const char *answer)
{
    int rc;
    sqlite3_stmt *stmt = statements_take(&a->statements, event_add_sql, &rc);
    if (!stmt)
        return rc;
    const char *before[] = {e->kind, e->station, e->batch};
    const char *behind[] = {e->boot, e->person, e->client, e->request, e->method, e->version, e->body};
    chain_add(&a->chain, e, answer);
    sqlite3_bind_int64(stmt, 1, a->chain.seq);
    rc = statement_bind(stmt, 2, before, 3);
    sqlite3_bind_int64(stmt, 5, e->revision);
    if (rc == SQLITE_OK)
        rc = statement_bind(stmt, 6, &e->time, 1);
    sqlite3_bind_int64(stmt, 7, e->mono_ns);
    if (rc == SQLITE_OK)
        rc = statement_bind(stmt, 8, behind, 7);
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

void apply_finish(struct apply *a)
{
    statements_finish(&a->statements);
}
