/* Put under poised with LD_PRELOAD: a wall clock that somebody sets. $POISE_CLOCK names a file of one int64_t, the
 * milliseconds by which it is ahead of the real one; the other clocks go as ever. */
#include <fcntl.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

static _Atomic int64_t *ahead_ms; /* NULL: not at all */

__attribute__((constructor)) static void begin(void)
{
    const char *path = getenv("POISE_CLOCK");
    int fd = path ? open(path, O_RDONLY | O_CLOEXEC) : -1;
    void *page = fd >= 0 ? mmap(NULL, sizeof *ahead_ms, PROT_READ, MAP_SHARED, fd, 0) : MAP_FAILED;
    if (fd >= 0)
        close(fd);
    ahead_ms = page == MAP_FAILED ? NULL : page;
}

int clock_gettime(clockid_t clock, struct timespec *t)
{
    long result = syscall(SYS_clock_gettime, clock, t);
    int64_t ms = result == 0 && ahead_ms && clock == CLOCK_REALTIME ? atomic_load(ahead_ms) : 0;
    t->tv_sec += ms / 1000;
    return (int)result;
}
