/* world.h - a state directory of its own, a loop and an open store, for the tests of daemon/store.
 *
 * Every wait is a turn of the loop, which sleeps until the store has something to say.
 */
#pragma once

#include "store/store.h"

#include <fcntl.h>
#include <ftw.h>
#include <math.h>
#include <setjmp.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

enum { WORLD_RESULTS = 4096 };

struct world {
    char dir[64], state[96], file[112];
    uv_loop_t loop;
    struct store *store;
    struct fault fault;
    int answers; /* done callbacks so far */
    struct {
        int tag;
        enum store_result result;
        int64_t first_seq, revision; /* revision: of the first item */
        char answer[64], method[64], why[96];
    } result[WORLD_RESULTS]; /* in the order of the callbacks */
    int deaths;
    char death[160];
    bool closed;
};

static inline void world_dead(void *arg, const char *why)
{
    struct world *w = arg;
    w->deaths++;
    snprintf(w->death, sizeof w->death, "%s", why);
}

static inline bool world_open(struct world *w)
{
    w->store = store_open(&w->loop, w->state, world_dead, w, &w->fault);
    return w->store != NULL;
}

static inline void world_closed(void *arg)
{
    struct world *w = arg;
    w->closed = true;
    w->store = NULL;
}

static inline void world_close(struct world *w)
{
    w->closed = false;
    store_close(w->store, world_closed, w);
    while (!w->closed)
        uv_run(&w->loop, UV_RUN_ONCE);
}

/* A world whose state directory is not made yet, in a folder below `place`. */
static inline struct world *world_at(const char *place)
{
    struct world *w = calloc(1, sizeof *w);
    assert_non_null(w);
    snprintf(w->dir, sizeof w->dir, "%s/poise-store-XXXXXX", place);
    assert_non_null(mkdtemp(w->dir));
    snprintf(w->state, sizeof w->state, "%s/state", w->dir);
    snprintf(w->file, sizeof w->file, "%s/poise.db", w->state);
    assert_int_equal(uv_loop_init(&w->loop), 0);
    return w;
}

static inline struct world *world_bare(void)
{
    return world_at("/tmp");
}

static inline int world_setup(void **state)
{
    struct world *w = world_bare();
    *state = w;
    if (!world_open(w))
        fail_msg("cannot open: %s", w->fault.message);
    return 0;
}

static inline int world_remove_one(const char *path, const struct stat *st, int kind, struct FTW *ftw)
{
    (void)st, (void)kind, (void)ftw;
    return remove(path);
}

static inline int world_teardown(void **state)
{
    struct world *w = *state;
    if (w->store)
        world_close(w);
    uv_run(&w->loop, UV_RUN_DEFAULT);
    assert_int_equal(uv_loop_close(&w->loop), 0);
    nftw(w->dir, world_remove_one, 8, FTW_DEPTH | FTW_PHYS);
    free(w);
    return 0;
}

struct world_tag {
    struct world *world;
    int tag;
};

static inline void world_done(void *arg, const struct store_outcome *o)
{
    struct world_tag *t = arg;
    struct world *w = t->world;
    assert_true(w->answers < WORLD_RESULTS);
    w->result[w->answers].tag = t->tag;
    w->result[w->answers].result = o->result;
    w->result[w->answers].first_seq = o->first_seq;
    w->result[w->answers].revision = o->item_revisions ? o->item_revisions[0] : 0;
    snprintf(w->result[w->answers].answer, sizeof w->result->answer, "%s", o->answer ? o->answer : "(none)");
    snprintf(w->result[w->answers].method, sizeof w->result->method, "%s", o->method ? o->method : "(none)");
    snprintf(w->result[w->answers].why, sizeof w->result->why, "%s", o->why ? o->why : "(none)");
    w->answers++;
    free(t);
}

static inline void world_submit(struct world *w, int tag, const struct store_write *write)
{
    struct world_tag *t = malloc(sizeof *t);
    assert_non_null(t);
    *t = (struct world_tag){w, tag};
    store_submit(w->store, write, world_done, t);
}

static inline void world_wait(struct world *w, int answers)
{
    while (w->answers < answers)
        uv_run(&w->loop, UV_RUN_ONCE);
}

/* Submits and waits; the result. */
static inline enum store_result world_write(struct world *w, const struct store_write *write)
{
    int before = w->answers;
    world_submit(w, before, write);
    world_wait(w, before + 1);
    return w->result[before].result;
}

/* A station's revision and its open batch, which must be readable; 0 and "" where there is none. */
static inline int64_t world_revision(struct world *w, const char *station)
{
    int64_t revision;
    assert_int_not_equal(store_revision(w->store, station, &revision), STORE_UNREAD);
    return revision;
}

static inline const char *world_open_batch(struct world *w, const char *station)
{
    static char batch[STORE_NUMBER];
    enum store_found found = store_open_batch(w->store, station, batch);
    assert_int_equal(found, batch[0] ? STORE_FOUND : STORE_NONE);
    return batch;
}

/* An event of batch 7 at the bench. */
static inline struct store_event world_event(const char *kind, int64_t revision)
{
    return (struct store_event){.kind = kind,
                                .station = "bench",
                                .batch = "7",
                                .revision = revision,
                                .time = "2026-11-25T14:03:07.412+01:00",
                                .mono_ns = 1000 + revision,
                                .boot = "b00t",
                                .person = "Ann",
                                .client = "test",
                                .method = "batch.accept",
                                .version = "0.1.0",
                                .body = "{\"weight_ug\":1}"};
}

/* One event, with a request unless NULL. */
static inline enum store_result world_note(struct world *w, const char *kind, const char *request)
{
    struct store_event e = world_event(kind, w->answers);
    e.request = request;
    struct store_write write = {
        .events = &e, .event_count = 1, .request = request, .method = "batch.accept", .answer = "{}"};
    return world_write(w, &write);
}

/* Runs SQL on the file as any other program could. */
static inline void world_sql(struct world *w, const char *sql)
{
    sqlite3 *db;
    char *error = NULL;
    assert_int_equal(sqlite3_open(w->file, &db), SQLITE_OK);
    if (sqlite3_exec(db, sql, NULL, NULL, &error) != SQLITE_OK)
        fail_msg("%s: %s", sql, error);
    sqlite3_close(db);
}

static inline int64_t world_number_of(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK || sqlite3_step(stmt) != SQLITE_ROW)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    int64_t number = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    return number;
}

static inline int64_t world_number(struct world *w, const char *sql)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(w->file, &db), SQLITE_OK);
    int64_t number = world_number_of(db, sql);
    sqlite3_close(db);
    return number;
}

static inline char *world_read_file(const char *path, long *length)
{
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    fseek(f, 0, SEEK_END);
    *length = ftell(f);
    rewind(f);
    char *text = malloc((size_t)*length + 1);
    assert_non_null(text);
    assert_int_equal(fread(text, 1, (size_t)*length, f), *length);
    fclose(f);
    return text;
}

static inline void world_write_file(const char *path, const char *text, long length)
{
    FILE *f = fopen(path, "wb");
    assert_non_null(f);
    assert_int_equal(fwrite(text, 1, (size_t)length, f), length);
    fclose(f);
}
