/* transaction.h - the writing connection: all jobs of a group in one transaction, with one sync.
 *
 * Thread  commit_open on the loop at start; commit_group and commit_tidy the writer's; commit_close when that has
 * ended. Errors  See store.h: refused (full, read-only) leaves no trace; whatever leaves the outcome unknown is
 * STORE_DEAD.
 */
#pragma once

#include "store/apply.h"
#include "store/directory.h"

#include <stdbool.h>

struct commit {
    struct apply apply;
    const struct directory *directory;
    int log_pages; /* in the write-ahead log after the last commit */
    bool dead;
    char why[JOB_WHY]; /* of the death */
};

/* Opens DIR/poise.db, brings it to the present schema, settles what the last run left in the log. */
bool commit_open(struct commit *c, const char *dir, const struct directory *directory, struct fault *fault);
/* Writes all jobs from `first` on and settles each. A refused job takes no other with it: where a whole group is
 * refused, each is tried alone. Once dead it settles all as STORE_DEAD and touches nothing. */
void commit_group(struct commit *c, struct job *first);
/* Moves the log into the file when it has grown to `pages`; never waits for a reader. What fails here is not a failed
 * commit: a full disk is left for the next time, a failed sync is death. */
void commit_tidy(struct commit *c, int pages);
void commit_close(struct commit *c);
