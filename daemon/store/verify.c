/* verify.c - the walk along the chain of hashes, across steps of the schema, and the check of the whole file.
 *
 * Changes nothing. Knows of events only their place in the chain.
 */
#include "store/chain.h"

#include "store/reader.h"
#include "text/json_read.h"

#include <errno.h>
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

/* A step of the schema names the chain's end before it and the text of the schema after it. */
static bool step_follows(const struct chain *before, const struct store_event *e, char text[2 * CHAIN_BYTES + 1],
                         bool *lost)
{
    char head[2 * CHAIN_BYTES + 1];
    errno = 0;
    json_t *body = json_read_text(e->body ? e->body : "");
    *lost = !body && errno == ENOMEM;
    const char *told = json_string_value(json_object_get(body, "head"));
    const char *schema = json_string_value(json_object_get(body, "text"));
    chain_hex(before->head, head);
    bool good = told && schema && strcmp(told, head) == 0 && strlen(schema) == (size_t)2 * CHAIN_BYTES;
    if (good)
        memcpy(text, schema, (size_t)2 * CHAIN_BYTES + 1);
    json_decref(body);
    return good;
}

/* Adds the event the statement stands on; whether its number and hash follow. *lost: there was no memory to look at it,
 * which says nothing of the event. */
static bool follows(struct chain *chain, sqlite3_stmt *stmt, char text[2 * CHAIN_BYTES + 1], bool *lost)
{
    struct store_event e;
    *lost = !reader_whole(stmt);
    reader_event(stmt, &e);
    if (*lost || (e.kind && strcmp(e.kind, CHAIN_SCHEMA_KIND) == 0 && !step_follows(chain, &e, text, lost)))
        return false;
    chain_add(chain, &e, (const char *)sqlite3_column_text(stmt, 15));
    return e.seq == chain->seq && sqlite3_column_bytes(stmt, 14) == CHAIN_BYTES &&
           memcmp(sqlite3_column_blob(stmt, 14), chain->head, CHAIN_BYTES) == 0;
}

/* Whether the schema stands as the last step of it said; "": the file began with this schema. */
static bool schema_stands(sqlite3 *db, const char *text)
{
    uint8_t hash[CHAIN_BYTES];
    char now[2 * CHAIN_BYTES + 1];
    if (!text[0])
        return true;
    if (!chain_schema(db, hash))
        return false;
    chain_hex(hash, now);
    return strcmp(now, text) == 0;
}

/* Walks from the event after *chain to the end. False: *bad_seq as verify_chain has it. */
static bool walk(sqlite3 *db, const struct store_task *t, struct chain *chain, char text[2 * CHAIN_BYTES + 1],
                 int64_t *bad_seq)
{
    static const char sql[] =
        "SELECT " READER_EVENT ", " READER_ANSWER " FROM event NOT INDEXED WHERE seq > ?1 ORDER BY seq";
    sqlite3_stmt *stmt;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        return false;
    sqlite3_bind_int64(stmt, 1, chain->seq);
    int rc = sqlite3_step(stmt);
    while (rc == SQLITE_ROW && !(t && store_task_stopping(t))) {
        bool lost;
        if (!follows(chain, stmt, text, &lost)) {
            *bad_seq = lost ? -1 : sqlite3_column_int64(stmt, 0);
            break;
        }
        rc = sqlite3_step(stmt);
    }
    sqlite3_finalize(stmt);
    return rc == SQLITE_DONE;
}

bool verify_chain(sqlite3 *db, const struct store_task *t, struct chain *out, int64_t *bad_seq)
{
    char text[2 * CHAIN_BYTES + 1] = "";
    *bad_seq = 0;
    return db && chain_seed(db, out) && walk(db, t, out, text, bad_seq) && schema_stands(db, text);
}

bool verify_since(sqlite3 *db, int64_t first)
{
    char text[2 * CHAIN_BYTES + 1] = "";
    struct chain chain;
    int64_t bad;
    return chain_before(db, first, &chain) && walk(db, NULL, &chain, text, &bad);
}

bool store_verify(struct store *s, int64_t *bad_seq, char head[65])
{
    struct chain chain = {0};
    bool whole = verify_chain(store_view_db(s), NULL, &chain, bad_seq);
    chain_hex(chain.head, head);
    return whole;
}

/* One walk on its way; freed when it has been told. */
struct check {
    struct store_task task;
    store_checked *done;
    void *arg;
    struct chain chain;
    int64_t bad_seq;
    bool whole, sound; /* the chain; the file as SQLite sees it */
};

/* Whether the last question found no memory: then nothing is known, and nobody must be told of damage. */
static bool out_of_memory(sqlite3 *db)
{
    return !db || (sqlite3_errcode(db) & 0xff) == SQLITE_NOMEM;
}

/* The chain first: it is what the shop is asked for. The file as SQLite sees it only where that is whole. */
static void run(struct store_task *t, struct store *view)
{
    struct check *c = (struct check *)(void *)t;
    sqlite3 *db = store_view_db(view);
    sqlite3_stmt *stmt;
    c->whole = verify_chain(db, t, &c->chain, &c->bad_seq);
    if (!c->whole && c->bad_seq == 0 && out_of_memory(db))
        c->bad_seq = -1;
    if (!c->whole)
        return;
    if (sqlite3_prepare_v2(db, "PRAGMA integrity_check(1)", -1, &stmt, NULL) != SQLITE_OK) {
        c->bad_seq = out_of_memory(db) ? -1 : 0;
        return;
    }
    const char *said = sqlite3_step(stmt) == SQLITE_ROW ? (const char *)sqlite3_column_text(stmt, 0) : NULL;
    c->sound = said && strcmp(said, "ok") == 0;
    if (!c->sound && out_of_memory(db))
        c->bad_seq = -1;
    sqlite3_finalize(stmt);
}

static void end(struct store_task *t)
{
    struct check *c = (struct check *)(void *)t;
    char head[2 * CHAIN_BYTES + 1];
    chain_hex(c->chain.head, head);
    c->done(c->arg, c->whole && c->sound, c->bad_seq, c->chain.seq, head);
    free(c);
}

bool store_check(struct store *s, store_checked *done, void *arg)
{
    struct check *c = calloc(1, sizeof *c);
    if (!c)
        return false;
    c->task.run = run;
    c->task.end = end;
    c->done = done;
    c->arg = arg;
    store_task_start(s, STORE_WHOLE, &c->task);
    return true;
}
