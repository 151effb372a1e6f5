/* insert.h - a bare durable insert: one row of 600 bytes a commit with the settings that poised's journal has. */
#ifndef TESTS_BENCH_INSERT_H
#define TESTS_BENCH_INSERT_H
#include "tests/bench/world.h"
#include <sqlite3.h>

struct insert {
    sqlite3 *db;
    sqlite3_stmt *add;
    int64_t number;
    char body[600];
};

static inline void insert_open(struct insert *i, const char *path)
{
    memset(i, 0, sizeof *i);
    memset(i->body, 'x', sizeof i->body);
    if (sqlite3_open(path, &i->db) != SQLITE_OK ||
        sqlite3_exec(i->db,
                     "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;"
                     "CREATE TABLE journal (seq INTEGER PRIMARY KEY, body BLOB NOT NULL)",
                     NULL, NULL, NULL) != SQLITE_OK ||
        sqlite3_prepare_v2(i->db, "INSERT INTO journal (seq, body) VALUES (?, ?)", -1, &i->add, NULL) != SQLITE_OK)
        world_fail("%s: %s", path, sqlite3_errmsg(i->db));
}

/* One commit; how long it took, in nanoseconds. */
static inline int64_t insert_one(struct insert *i)
{
    int64_t begun = world_now_ns();
    sqlite3_bind_int64(i->add, 1, ++i->number);
    sqlite3_bind_blob(i->add, 2, i->body, sizeof i->body, SQLITE_STATIC);
    if (sqlite3_step(i->add) != SQLITE_DONE)
        world_fail("insert: %s", sqlite3_errmsg(i->db));
    sqlite3_reset(i->add);
    return world_now_ns() - begun;
}

static inline void insert_close(struct insert *i)
{
    sqlite3_finalize(i->add);
    sqlite3_close(i->db);
}
#endif
