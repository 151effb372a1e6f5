/* lock.h - the state directory: made where it is missing, and held by one poised at a time.
 *
 * Thread  lock_take and lock_release block: for start and end. lock_refusal is the writer thread's, a few system calls.
 */
#pragma once

#include "fault.h"

#include <stdbool.h>

struct lock {
    int dir;  /* the directory itself, O_PATH-like use only: a name below it stays ours when the path is renamed */
    int file; /* DIR/lock, held by flock() until it is closed; close-on-exec, so that a child never holds it */
};

/* Makes the last part of the path with mode 0700 if it is missing, opens DIR/lock and locks it. False: *fault is
 * FAULT_NOT_PERMITTED with why `busy`, or FAULT_STORE with why `readonly`, `full` or `io`. */
bool lock_take(struct lock *l, const char *dir, struct fault *fault);
void lock_release(struct lock *l);
/* Whether writing is refused just now, though descriptors opened earlier would let it pass: 0, or EROFS, EACCES, EPERM
 * (somebody made the directory or the file read-only; a mode without any write bit is believed even by root), or ENOENT
 * (the file is gone: what is written to it now would be lost). */
int lock_refusal(const struct lock *l, const char *file);
