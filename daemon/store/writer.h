/* writer.h - the writing side: one thread that takes all jobs that wait (writer.c), and the connection on which it puts
 * them into one transaction with one sync (transaction.c).
 *
 * Thread  The functions of struct writer are the loop's; the thread itself touches only the queues (under the mutex)
 * and the commit. commit_open runs on the loop at start, commit_group and commit_tidy on the writer's thread,
 *         commit_close when that has ended.
 * Errors  As in store.h: a refusal leaves no trace; whatever leaves the outcome unknown is STORE_DEAD.
 */
#pragma once

#include "store/apply.h"
#include "store/directory.h"

#include <stdbool.h>
#include <uv.h>

struct commit {
    struct apply apply;
    struct directory *directory;
    int log_pages;  /* in the write-ahead log after the last commit */
    bool may_write; /* as the last look at the directory said; false: not looked at yet */
    bool dead;
    char why[JOB_WHY]; /* of the death */
};

/* Opens DIR/poise.db, brings it to the present schema, settles what the last run left in the log. */
bool commit_open(struct commit *c, const char *dir, struct directory *directory, struct fault *fault);
/* Writes all jobs from `first` on and settles each. A refused job takes no other with it: where a whole group is
 * refused, each is tried alone. Once dead it settles all as STORE_DEAD and touches nothing. */
void commit_group(struct commit *c, struct job *first);
/* Moves the log into the file when it has grown to `pages`; never waits for a reader. What fails here is not a failed
 * commit: a full disk is left for the next time, a failed sync is death. */
void commit_tidy(struct commit *c, int pages);
void commit_close(struct commit *c);

struct writer {
    struct commit *commit;     /* the thread's until writer_ended */
    uv_async_t *finished_note; /* sent when a job is finished, and at the end */
    uv_thread_t thread;
    uv_mutex_t mutex;
    uv_cond_t wake;
    /* under the mutex */
    struct job_list waiting, finished;
    bool stop, dead, ended;
};

/* False: no thread. */
bool writer_start(struct writer *w, struct commit *commit, uv_async_t *finished_note);
void writer_add(struct writer *w, struct job *job);
/* Takes over all finished jobs, in the order they came. *dead, *ended: as of now. */
struct job_list writer_take(struct writer *w, bool *dead, bool *ended);
/* Asks the thread to end once nothing waits. */
void writer_stop(struct writer *w);
/* After *ended: joins and frees. */
void writer_finish(struct writer *w);
