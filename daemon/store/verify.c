#include "store/verify.h"

#include "store/reader.h"
#include "store/row.h"

#include <stdlib.h>
#include <string.h>

/* Adds the event the statement stands on; whether its number and hash follow. */
static bool follows(struct chain *chain, sqlite3_stmt *stmt)
{
    struct store_event e;
    row_event(stmt, &e);
    chain_add(chain, &e, (const char *)sqlite3_column_text(stmt, 15));
    return e.seq == chain->seq && sqlite3_column_bytes(stmt, 14) == CHAIN_BYTES &&
           memcmp(sqlite3_column_blob(stmt, 14), chain->head, CHAIN_BYTES) == 0;
}

bool verify_chain(sqlite3 *db, const struct aside *a, struct chain *out, int64_t *bad_seq)
{
    static const char sql[] = "SELECT " ROW_EVENT ", " ROW_ANSWER " FROM event ORDER BY seq";
    sqlite3_stmt *stmt;
    *bad_seq = 0;
    if (!chain_seed(db, out) || sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        return false;
    int rc = sqlite3_step(stmt);
    while (rc == SQLITE_ROW && !(a && aside_stopping(a))) {
        if (!follows(out, stmt)) {
            *bad_seq = sqlite3_column_int64(stmt, 0);
            break;
        }
        rc = sqlite3_step(stmt);
    }
    sqlite3_finalize(stmt);
    return rc == SQLITE_DONE;
}

bool store_verify(struct store *s, int64_t *bad_seq, char head[65])
{
    struct chain chain;
    bool whole = verify_chain(store_reader(s)->db, NULL, &chain, bad_seq);
    chain_hex(chain.head, head);
    return whole;
}

struct check {
    struct aside aside;
    store_checked *done;
    void *arg;
    struct chain chain;
    int64_t bad_seq;
    bool whole, sound; /* the chain; the file as SQLite sees it */
};

static void run(struct aside *a)
{
    struct check *c = (struct check *)(void *)a;
    sqlite3_stmt *stmt;
    if (!a->db)
        return;
    c->whole = verify_chain(a->db, a, &c->chain, &c->bad_seq);
    if (!c->whole || sqlite3_prepare_v2(a->db, "PRAGMA integrity_check(1)", -1, &stmt, NULL) != SQLITE_OK)
        return;
    c->sound = sqlite3_step(stmt) == SQLITE_ROW && strcmp((const char *)sqlite3_column_text(stmt, 0), "ok") == 0;
    sqlite3_finalize(stmt);
}

static void end(struct aside *a)
{
    struct check *c = (struct check *)(void *)a;
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
    c->aside.run = run;
    c->aside.end = end;
    c->done = done;
    c->arg = arg;
    aside_start(&c->aside, s);
    return true;
}
