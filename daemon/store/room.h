/* room.h - room on the disk: whether there is any, and room for the log made beforehand.
 *
 * A commit that only overwrites a log of ready size has no new size to note: its sync then takes half the time, and
 * does not wait for the file system's own journal (measured on ext4: 145 us for one page against 250, 264 for nine
 * against 481; with other programs syncing 4 ms for the growing log alone). With that room a full disk would be noticed
 * only a hundred acts later; so the store asks before each commit. Thread  The writer's. A few system calls each.
 */
#pragma once

#include "store/lock.h"

/* Whether the file system of the state directory has no room left: 0 or ENOSPC. */
int room_refusal(const struct lock *l);
/* Makes the log longer, by noughts that say nothing to SQLite, when fewer than 128 KiB are left behind `used` bytes; up
 * to what it needs between two moves, and only where the disk has plenty. 0, or the errno of a failed sync. */
int room_for_log(const struct lock *l, long used);
