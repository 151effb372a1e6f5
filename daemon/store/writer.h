/* writer.h - the one thread that writes: takes all jobs that wait, commits them as a group, hands them back.
 *
 * Thread  Every function here is the loop's; the thread itself touches only the queues (under the mutex) and the
 * commit.
 */
#pragma once

#include "store/transaction.h"

#include <uv.h>

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
