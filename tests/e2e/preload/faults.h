/* faults.h - how a test and the shim under poised talk: one page that both have mapped. */
#ifndef TESTS_E2E_PRELOAD_FAULTS_H
#define TESTS_E2E_PRELOAD_FAULTS_H

#include <stdatomic.h>
#include <stdint.h>

enum fault_of { OF_MEMORY, OF_WRITE, OF_SYNC, FAULTS_OF };

enum { FAULTS_KILL = -1 }; /* in place of an errno: the process is killed before that write or sync */

/* Of each kind: how many calls there were so far, and the number of the one that fails, 0: none. A call fails once. */
struct faults {
    _Atomic uint64_t count[FAULTS_OF], fails_at[FAULTS_OF];
    _Atomic int error; /* errno of a write or sync that fails */
};

#endif
