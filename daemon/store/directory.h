/* directory.h - the state directory: made where it is missing, held by one poised at a time, asked for rights and room.
 *
 * The log keeps its size once it has grown, so a commit that overwrites it takes no room, and a full disk would be
 * noticed only when the log is moved into the file: so the store asks for room, between two commits.
 * Thread  directory_take and directory_release block: for start and end. The rest is the writer thread's, a few system
 *         calls each.
 */
#pragma once

#include "fault.h"

#include <stdbool.h>
#include <sys/types.h>

/* What a name stood for, and who might write it. */
struct directory_seen {
    ino_t inode; /* 0: nothing was there */
    dev_t device;
    mode_t mode;
    uid_t user;
    gid_t group;
};

struct directory {
    int fd;                        /* the directory itself: a name below it stays ours when the path is renamed */
    struct directory_seen seen[2]; /* the directory and the file in it, when directory_touched looked last */
    int lock; /* DIR/lock, held by flock() until it is closed; close-on-exec, so that a child never holds it */
};

/* Makes the last part of the path with mode 0700 if it is missing, opens DIR/lock, locks it and writes our process
 * number there. What was open to others is shut (0700, 0600), and logged. False: *fault is FAULT_NOT_PERMITTED with why
 * `busy`, or FAULT_STORE with why `readonly`, `full`, `io`, or `open`: others may write there, and we may not forbid
 * it. */
bool directory_take(struct directory *d, const char *path, struct fault *fault);
void directory_release(struct directory *d);
/* Whether the rights of the directory or of that file in it, or the file itself, are others than when this was asked
 * last; the first time: yes. Two system calls. */
bool directory_touched(struct directory *d, const char *file);
/* Whether writing is refused just now, though descriptors opened earlier would let it pass: 0, or EROFS, EACCES, EPERM
 * (somebody made the directory or the file read-only; a mode without any write bit is believed even by root), or ENOENT
 * (the file is gone: what is written to it now would be lost). */
int directory_refusal(const struct directory *d, const char *file);
/* Whether the file system has no room left: 0 or ENOSPC. */
int directory_full(const struct directory *d);
