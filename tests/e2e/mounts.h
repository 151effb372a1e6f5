/* mounts.h - small and read-only disks for one test program, in a mount namespace of its own.
 *
 * Nothing is seen outside, and all of it is gone when the program ends. Where the kernel does not allow it (neither
 * root nor user namespaces) mounts_begin says so, and the caller skips.
 */
#ifndef TESTS_E2E_MOUNTS_H
#define TESTS_E2E_MOUNTS_H

#include <stdbool.h>

/* Parts this process, and the children it makes from now on, from the mounts of the others. False: not allowed here. */
bool mounts_begin(void);
/* An empty disk of that many KiB over a folder. */
bool mounts_small(const char *folder, int kib);
/* The folder stays as it is, but nothing can be written in it, until mounts_undo. */
bool mounts_read_only(const char *folder);
/* Takes away what was mounted last over that folder. */
bool mounts_undo(const char *folder);

#endif
