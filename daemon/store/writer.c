/* writer.c - the one thread that writes, and the two queues between it and the loop.
 *
 * Knows nothing of SQLite.
 */
#include "store/writer.h"

#include <signal.h>

/* From so many pages on the log is moved as soon as nobody writes for QUIET_NS, and from LOG_PAGES_BUSY on at once. */
enum { LOG_PAGES = 1000, LOG_PAGES_BUSY = 8000, QUIET_NS = 250000000 };

/* Sleeps until there is something to do. Empty list: the end (w->ended), or a long log and nobody who writes: moving it
 * takes two syncs, and an act that comes meanwhile waits for them. */
static struct job_list wait_for_jobs(struct writer *w)
{
    struct job_list taken = {0};
    bool quiet = false;
    uv_mutex_lock(&w->mutex);
    while (!w->waiting.first && !w->stop && !quiet) {
        if (w->commit->log_pages < LOG_PAGES || w->commit->dead)
            uv_cond_wait(&w->wake, &w->mutex);
        else
            quiet = uv_cond_timedwait(&w->wake, &w->mutex, QUIET_NS) == UV_ETIMEDOUT;
    }
    job_move(&taken, &w->waiting);
    w->ended = !taken.first && w->stop;
    uv_mutex_unlock(&w->mutex);
    return taken;
}

static void hand_back(struct writer *w, struct job_list *done)
{
    uv_mutex_lock(&w->mutex);
    job_move(&w->finished, done);
    w->dead = w->commit->dead;
    uv_mutex_unlock(&w->mutex);
    uv_async_send(w->finished_note);
}

/* Answers go out before anything is tidied: that may take as long as a slow disk likes. */
static void run(void *arg)
{
    struct writer *w = arg;
    sigset_t all;
    sigfillset(&all); /* signals are the loop's; and a file size limit is then an error, not the end */
    pthread_sigmask(SIG_BLOCK, &all, NULL);
    for (struct job_list jobs = wait_for_jobs(w); !w->ended; jobs = wait_for_jobs(w)) {
        bool quiet = !jobs.first;
        if (!quiet) {
            commit_group(w->commit, jobs.first);
            hand_back(w, &jobs);
        }
        commit_tidy(w->commit, quiet ? LOG_PAGES : LOG_PAGES_BUSY);
        if (w->commit->dead)
            hand_back(w, &jobs);
    }
    uv_async_send(w->finished_note);
}

bool writer_start(struct writer *w, struct commit *commit, uv_async_t *finished_note)
{
    *w = (struct writer){.commit = commit, .finished_note = finished_note};
    if (uv_mutex_init(&w->mutex) != 0)
        return false;
    if (uv_cond_init(&w->wake) != 0) {
        uv_mutex_destroy(&w->mutex);
        return false;
    }
    if (uv_thread_create(&w->thread, run, w) == 0)
        return true;
    uv_cond_destroy(&w->wake);
    uv_mutex_destroy(&w->mutex);
    return false;
}

void writer_add(struct writer *w, struct job *job)
{
    uv_mutex_lock(&w->mutex);
    bool late = w->ended; /* submitted by a callback of the last answers */
    if (late)
        job_settle(job, STORE_DEAD, "the store is closed");
    job_add(late ? &w->finished : &w->waiting, job);
    uv_mutex_unlock(&w->mutex);
    uv_cond_signal(&w->wake); /* who wakes finds the lock free */
}

struct job_list writer_take(struct writer *w, bool *dead, bool *ended)
{
    struct job_list taken = {0};
    uv_mutex_lock(&w->mutex);
    job_move(&taken, &w->finished);
    *dead = w->dead;
    *ended = w->ended;
    uv_mutex_unlock(&w->mutex);
    return taken;
}

/* What waits is still written. */
void writer_stop(struct writer *w)
{
    uv_mutex_lock(&w->mutex);
    w->stop = true;
    uv_cond_signal(&w->wake);
    uv_mutex_unlock(&w->mutex);
}

void writer_finish(struct writer *w)
{
    uv_thread_join(&w->thread);
    uv_cond_destroy(&w->wake);
    uv_mutex_destroy(&w->mutex);
}
