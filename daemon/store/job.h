/* job.h - one write on its way: a copy of what was asked, and what became of it.
 *
 * Owner   Made on the loop (job_create), handed to the writer thread, handed back, freed on the loop (job_destroy).
 *         Whoever holds it is the only one that touches it.
 */
#pragma once

#include "store/store.h"

#include <stdbool.h>

enum { JOB_WHY = 160 };

struct job_list {
    struct job *first, *last;
};

struct job {
    struct job *next;
    store_done *done;
    void *arg;
    struct store_write write; /* points into `text` and behind this struct only */
    struct store_outcome outcome;
    int64_t *revisions; /* as many as items */
    char *first_answer, *first_method;
    char why[JOB_WHY];
    struct job_spares *spares; /* NULL: memory of its own, freed when it is done; else it goes back there */
};

/* Stands in for jobs that no memory was left for: each goes the way of the others, and is refused in its turn. As many
 * as calls may come in one turn of a busy loop. */
enum { JOB_SPARES = 32 };
struct job_spares {
    struct job job[JOB_SPARES];
    struct job_list idle;
};

/* A deep copy of *write in one piece of memory. NULL: no memory. */
struct job *job_create(const struct store_write *write, store_done *done, void *arg);
void job_spares_init(struct job_spares *spares);
/* A write that the store refuses (STORE_REFUSED), without asking for memory. NULL: all are on their way. */
struct job *job_refused(struct job_spares *spares, store_done *done, void *arg);
/* Takes NULL. */
void job_destroy(struct job *job);
/* Sets what became of it; why may be NULL. */
void job_settle(struct job *job, enum store_result result, const char *why);

void job_add(struct job_list *list, struct job *job);
/* Moves all of `from` to the end of `to`. */
void job_move(struct job_list *to, struct job_list *from);
struct job *job_pop(struct job_list *list);
