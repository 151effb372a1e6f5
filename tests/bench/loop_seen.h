/* loop_seen.h - what preload/loop.c saw of a loop, in memory that it shares with a benchmark. The benchmark may set it
 * back to 0 at any time. */
#ifndef TESTS_BENCH_LOOP_SEEN_H
#define TESTS_BENCH_LOOP_SEEN_H
#include <stdint.h>

struct loop_seen {
    volatile int64_t away_ns; /* by the clock: with what others took of the processor */
    volatile int64_t cpu_ns;  /* by the loop's own processor time */
};
#endif
