/* Put under poised with LD_PRELOAD: the wall clock goes $POISE_DAYS days ahead; the others go as ever. */
#include <stdlib.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

int clock_gettime(clockid_t clock, struct timespec *t)
{
    const char *days = getenv("POISE_DAYS");
    long result = syscall(SYS_clock_gettime, clock, t);
    if (result == 0 && days && clock == CLOCK_REALTIME)
        t->tv_sec += atol(days) * 86400;
    return (int)result;
}
