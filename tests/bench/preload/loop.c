/* Put under poised with LD_PRELOAD: the longest time that its loop was away from waiting, by its own processor and by
 * the clock, into the file LOOP_SEEN (struct loop_seen of tests/bench/loop_seen.h). Only the first thread counts: that
 * is the loop's.
 */
#include "../loop_seen.h"

#include <dlfcn.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/epoll.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>

static struct loop_seen *seen;
static int64_t back_ns, back_cpu_ns; /* when the last wait ended; 0: none has */

static int64_t now(clockid_t clock)
{
    struct timespec t;
    clock_gettime(clock, &t);
    return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

__attribute__((constructor)) static void begin(void)
{
    const char *path = getenv("LOOP_SEEN");
    int fd = path ? open(path, O_RDWR | O_CLOEXEC) : -1;
    void *map = fd >= 0 ? mmap(0, sizeof *seen, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0) : MAP_FAILED;
    seen = map == MAP_FAILED ? 0 : map;
}

static void leave(void)
{
    if (!seen || gettid() != getpid() || !back_ns)
        return;
    int64_t away = now(CLOCK_MONOTONIC) - back_ns, cpu = now(CLOCK_THREAD_CPUTIME_ID) - back_cpu_ns;
    if (away > seen->away_ns)
        seen->away_ns = away;
    if (cpu > seen->cpu_ns)
        seen->cpu_ns = cpu;
}

static void back(void)
{
    if (!seen || gettid() != getpid())
        return;
    back_ns = now(CLOCK_MONOTONIC);
    back_cpu_ns = now(CLOCK_THREAD_CPUTIME_ID);
}

int epoll_pwait(int fd, struct epoll_event *events, int most, int timeout, const sigset_t *set)
{
    static int (*real)(int, struct epoll_event *, int, int, const sigset_t *);
    if (!real)
        *(void **)&real = dlsym(RTLD_NEXT, "epoll_pwait");
    leave();
    int n = real(fd, events, most, timeout, set);
    back();
    return n;
}

int epoll_wait(int fd, struct epoll_event *events, int most, int timeout)
{
    return epoll_pwait(fd, events, most, timeout, 0);
}
