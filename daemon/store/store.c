/* store.c - the store as a whole: opening, handing writes to the writer and reads to helper threads, closing.
 *
 * Knows no table; the parts do.
 */
#include "store/store.h"

#include "store/newest.h"
#include "store/reader.h"
#include "store/writer.h"
#include "text/json_write.h"

#include <malloc.h>
#include <sodium.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

/* One after another on a helper thread. */
struct lane {
    uv_work_t work;
    struct store *view; /* only its reader is used, and that is opened by the first task */
    struct store_task *first, *last;
};

struct store {
    struct directory directory;
    struct commit commit;
    struct reader reader;
    struct writer writer;
    uv_async_t note;
    void (*dead)(void *arg, const char *why);
    void *dead_arg;
    void (*closed)(void *arg);
    void *closed_arg;
    bool told_dead;
    atomic_bool closing; /* helper threads look at it */
    int tasks;           /* that have not ended */
    struct lane lane[STORE_LANES];
    struct job_spares spares;
    char *dir;
};

/* Of the loop, or of a lane's view: whichever thread asks has its own connection, so no reader is shared. */
struct reader *store_reader(struct store *s)
{
    return &s->reader;
}

sqlite3 *store_view_db(struct store *view)
{
    return view->reader.statements.db;
}

const char *store_why(struct store *s)
{
    return s->reader.why;
}

bool store_say_unread(struct store *s, struct fault *fault)
{
    return fault_said(fault, FAULT_STORE, NULL, "io", "store_unreadable why=%s", store_why(s));
}

uint64_t store_unread(struct store *s)
{
    return store_reader(s)->unread;
}

void store_lost(struct store *s)
{
    reader_failed(store_reader(s), "out of memory");
}

/* What only a start reads (the journal's head, items by the dozen) would be kept in memory for ever: 120 kB of the
 * daemon at rest. What is asked for again is in the system's cache. */
void store_serve(struct store *s)
{
    s->reader.loud = true;
    newest_forget(&s->reader);
    sqlite3_db_release_memory(s->reader.statements.db);
    malloc_trim(0);
}

/* The loop's handle has been closed before. */
static void free_store(struct store *s)
{
    for (int i = 0; i < STORE_LANES; i++)
        free(s->lane[i].view);
    free(s->dir);
    free(s);
}

/* The handle of the last moment; whoever waits for the end is told after the memory is gone. */
static void forget(uv_handle_t *handle)
{
    struct store *s = handle->data;
    void (*closed)(void *) = s->closed;
    void *arg = s->closed_arg;
    free_store(s);
    if (closed)
        closed(arg);
}

/* The readers go first: the connection that closes last moves the log into the file and removes it. */
static void close_files(struct store *s)
{
    for (int i = 0; i < STORE_LANES; i++)
        reader_close(&s->lane[i].view->reader);
    reader_close(&s->reader);
    commit_close(&s->commit);
    directory_release(&s->directory);
}

/* The note is closed last: it is what the writer thread wakes the loop by until it has ended. */
static void close_all(struct store *s)
{
    writer_finish(&s->writer);
    close_files(s);
    uv_close((uv_handle_t *)&s->note, forget);
}

/* Once, whatever comes after: the daemon is ending already. */
static void tell_dead(struct store *s, const char *why)
{
    if (s->told_dead)
        return;
    s->told_dead = true;
    if (s->dead)
        s->dead(s->dead_arg, why);
}

/* A callback may submit again: that is another job in another list. */
static void answer(struct job_list *finished)
{
    for (struct job *job = job_pop(finished); job; job = job_pop(finished)) {
        if (job->done)
            job->done(job->arg, &job->outcome);
        job_destroy(job);
    }
}

/* On the loop: answers what the writer thread has finished, in the order of submission. One wake may stand for many
 * jobs, as uv_async_send joins what comes close together. */
static void on_finished(uv_async_t *note)
{
    struct store *s = note->data;
    bool dead, ended;
    struct job_list finished = writer_take(&s->writer, &dead, &ended);
    answer(&finished);
    if (dead)
        tell_dead(s, s->commit.why);
    if (!ended || s->tasks > 0)
        return;
    /* What a callback submitted meanwhile is answered as well, though nobody writes it any more. */
    for (finished = writer_take(&s->writer, &dead, &ended); finished.first;
         finished = writer_take(&s->writer, &dead, &ended))
        answer(&finished);
    close_all(s);
}

/* The lock first: of two daemons on one directory the second writes nothing at all. */
static bool open_files(struct store *s, const char *dir, struct fault *fault)
{
    if (!directory_take(&s->directory, dir, fault))
        return false;
    if (commit_open(&s->commit, dir, &s->directory, fault)) {
        if (reader_open(&s->reader, dir, fault))
            return true;
        commit_close(&s->commit);
    }
    directory_release(&s->directory);
    return false;
}

/* All that is asked for here need not be asked for while serving, when nobody could be told of a refusal. NULL: no
 * memory. */
static struct store *new_store(const char *dir)
{
    struct store *s = sodium_init() < 0 ? NULL : calloc(1, sizeof *s);
    if (!s)
        return NULL;
    bool good = (s->dir = strdup(dir)) != NULL;
    for (int i = 0; i < STORE_LANES; i++)
        good = (s->lane[i].view = calloc(1, sizeof *s)) && good;
    job_spares_init(&s->spares);
    if (good)
        return s;
    free_store(s);
    return NULL;
}

struct store *store_open(uv_loop_t *loop, const char *dir, void (*dead)(void *arg, const char *why), void *arg,
                         struct fault *fault)
{
    /* Pages one by one as they are read, not twenty beforehand for each connection, which then stay for ever. Once a
     * connection was open this does nothing. */
    sqlite3_config(SQLITE_CONFIG_PAGECACHE, NULL, 0, 0);
    struct store *s = new_store(dir);
    if (!s) {
        fault_said(fault, FAULT_STORE, NULL, "io", "no_memory");
        return NULL;
    }
    s->dead = dead;
    s->dead_arg = arg;
    s->note.data = s;
    if (!open_files(s, dir, fault)) {
        free_store(s);
        return NULL;
    }
    int error = uv_async_init(loop, &s->note, on_finished);
    if (error == 0 && writer_start(&s->writer, &s->commit, &s->note))
        return s;
    close_files(s);
    if (error == 0)
        uv_close((uv_handle_t *)&s->note, forget);
    else
        free_store(s);
    fault_said(fault, FAULT_STORE, NULL, "io", "no_memory");
    return NULL;
}

void store_submit(struct store *s, const struct store_write *write, store_done *done, void *arg)
{
    struct job *job = job_create(write, done, arg);
    if (!job)
        job = job_refused(&s->spares, done, arg);
    if (job)
        writer_add(&s->writer, job);
    else /* there is nobody left to answer through; the daemon ends and recovers by replay */
        tell_dead(s, "no memory");
}

/* The writer finishes what was submitted and then wakes the loop; files are closed there, after the last answer and the
 * last task. */
void store_close(struct store *s, void (*closed)(void *arg), void *arg)
{
    if (s->closing)
        return;
    s->closing = true;
    s->closed = closed;
    s->closed_arg = arg;
    writer_stop(&s->writer);
}

/* ---- tasks ---- */

bool store_task_stopping(const struct store_task *t)
{
    return t->store->closing;
}

/* A megabyte of cache for what a person waits for: a search for words walks ten segments of the index several times
 * over, and with 256 KiB it read them anew each time, a third of what it took. */
static void open_view(struct lane *lane, struct store *s)
{
    struct reader *r = &lane->view->reader;
    struct fault ignored; /* the task finds that nothing can be read */
    if (reader_open(r, s->dir, &ignored) && lane == &s->lane[STORE_QUICK])
        sqlite3_exec(r->statements.db, "PRAGMA cache_size = -1024", NULL, NULL, NULL);
}

/* BEGIN or COMMIT of a view, kept prepared. What fails leaves it shut, for the next task to open anew: left within a
 * transaction it would go on showing the store of that moment. */
static void bracket(struct reader *r, const char *sql)
{
    int rc;
    sqlite3_stmt *stmt = r->statements.db ? statements_take(&r->statements, sql, &rc) : NULL;
    bool done = stmt && statement_run(stmt) == SQLITE_OK;
    if (done || !r->statements.db)
        return;
    reader_close(r);
    reader_failed(r, "out of memory");
}

/* On a helper thread of libuv. One transaction around the whole task: what it reads is the store of one moment, though
 * the writer goes on. */
static void run_task(uv_work_t *work)
{
    static const char begin[] = "BEGIN", commit[] = "COMMIT";
    struct lane *lane = work->data;
    struct store_task *t = lane->first;
    struct reader *r = &lane->view->reader;
    if (!r->statements.db)
        open_view(lane, t->store);
    r->loud = true;
    json_forget();
    bracket(r, begin);
    t->run(t, lane->view);
    bracket(r, commit);
}

static void end_task(uv_work_t *work, int status);

static void run_next(struct store *s, struct lane *lane)
{
    lane->work.data = lane;
    uv_queue_work(s->note.loop, &lane->work, run_task, end_task);
}

static void end_task(uv_work_t *work, int status)
{
    struct lane *lane = work->data;
    struct store_task *t = lane->first;
    struct store *s = t->store;
    (void)status; /* it is never cancelled */
    lane->first = t->next;
    if (lane->first)
        run_next(s, lane);
    t->end(t);
    s->tasks--;
    uv_async_send(&s->note); /* closing may have waited for this */
}

void store_task_start(struct store *s, enum store_lane lane_of, struct store_task *t)
{
    struct lane *lane = &s->lane[lane_of];
    t->store = s;
    t->next = NULL;
    s->tasks++;
    if (lane->first) {
        lane->last->next = t;
        lane->last = t;
        return;
    }
    lane->first = lane->last = t;
    run_next(s, lane);
}
