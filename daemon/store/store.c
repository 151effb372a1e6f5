#include "store/store.h"

#include "store/aside.h"
#include "store/reader.h"
#include "store/writer.h"

#include <sodium.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

struct store {
    struct lock lock;
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
    int asides;          /* works on helper threads that have not ended */
    char *dir;
};

struct reader *store_reader(struct store *s)
{
    return &s->reader;
}

static void free_store(struct store *s)
{
    free(s->dir);
    free(s);
}

static void forget(uv_handle_t *handle)
{
    struct store *s = handle->data;
    void (*closed)(void *) = s->closed;
    void *arg = s->closed_arg;
    free_store(s);
    if (closed)
        closed(arg);
}

/* The reader goes first: the connection that closes last moves the log into the file and removes it. */
static void close_files(struct store *s)
{
    reader_close(&s->reader);
    commit_close(&s->commit);
    lock_release(&s->lock);
}

static void close_all(struct store *s)
{
    writer_finish(&s->writer);
    close_files(s);
    uv_close((uv_handle_t *)&s->note, forget);
}

static void tell_dead(struct store *s, const char *why)
{
    if (s->told_dead)
        return;
    s->told_dead = true;
    if (s->dead)
        s->dead(s->dead_arg, why);
}

static void answer(struct job_list *finished)
{
    for (struct job *job = job_pop(finished); job; job = job_pop(finished)) {
        if (job->done)
            job->done(job->arg, &job->outcome);
        job_destroy(job);
    }
}

static void on_finished(uv_async_t *note)
{
    struct store *s = note->data;
    bool dead, ended;
    struct job_list finished = writer_take(&s->writer, &dead, &ended);
    answer(&finished);
    if (dead)
        tell_dead(s, s->commit.why);
    if (!ended || s->asides > 0)
        return;
    /* What a callback submitted meanwhile is answered as well, though nobody writes it any more. */
    for (finished = writer_take(&s->writer, &dead, &ended); finished.first;
         finished = writer_take(&s->writer, &dead, &ended))
        answer(&finished);
    close_all(s);
}

static bool open_files(struct store *s, const char *dir, struct fault *fault)
{
    if (!lock_take(&s->lock, dir, fault))
        return false;
    if (commit_open(&s->commit, dir, &s->lock, fault)) {
        if (reader_open(&s->reader, dir, fault))
            return true;
        commit_close(&s->commit);
    }
    lock_release(&s->lock);
    return false;
}

struct store *store_open(uv_loop_t *loop, const char *dir, void (*dead)(void *arg, const char *why), void *arg,
                         struct fault *fault)
{
    static const char help[] = "Free some memory and start again.";
    struct store *s = sodium_init() < 0 ? NULL : calloc(1, sizeof *s);
    if (s && !(s->dir = strdup(dir))) {
        free(s);
        s = NULL;
    }
    if (!s) {
        fault_set(fault, FAULT_STORE, NULL, "io", help, "no memory for the store");
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
    fault_set(fault, FAULT_STORE, NULL, "io", help, "cannot start the store's writer");
    return NULL;
}

void store_submit(struct store *s, const struct store_write *write, store_done *done, void *arg)
{
    struct job *job = job_create(write, done, arg);
    if (job)
        writer_add(&s->writer, job);
    else /* without memory there is nobody to answer through; the daemon ends and recovers by replay */
        tell_dead(s, "no memory");
}

void store_close(struct store *s, void (*closed)(void *arg), void *arg)
{
    if (s->closing)
        return;
    s->closing = true;
    s->closed = closed;
    s->closed_arg = arg;
    writer_stop(&s->writer);
}

bool aside_stopping(const struct aside *a)
{
    return a->store->closing;
}

static void run_aside(uv_work_t *work)
{
    struct aside *a = work->data;
    struct reader reader;
    struct fault ignored;
    bool open = reader_open(&reader, a->store->dir, &ignored);
    a->db = open ? reader.db : NULL;
    a->run(a);
    if (open)
        reader_close(&reader);
}

static void end_aside(uv_work_t *work, int status)
{
    struct aside *a = work->data;
    struct store *s = a->store;
    (void)status; /* it is never cancelled */
    a->end(a);
    s->asides--;
    uv_async_send(&s->note); /* closing may have waited for this */
}

void aside_start(struct aside *a, struct store *s)
{
    a->store = s;
    a->work.data = a;
    s->asides++;
    uv_queue_work(s->note.loop, &a->work, run_aside, end_aside);
}
