#include "client/request.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/random.h>
#include <time.h>

bool request_make(char id[REQUEST_SIZE], const char *last)
{
    struct timespec t;
    uint64_t chance;
    if (clock_gettime(CLOCK_REALTIME, &t) < 0 || getrandom(&chance, sizeof chance, 0) != (ssize_t)sizeof chance)
        return false;
    uint64_t now = (uint64_t)t.tv_sec * 1000000000u + (uint64_t)t.tv_nsec;
    uint64_t before = last[0] ? strtoull(last, NULL, 16) : 0;
    if (now <= before)
        now = before + 1; /* the clock was set back, or is coarse */
    snprintf(id, REQUEST_SIZE, "%016" PRIx64 "-%016" PRIx64, now, chance);
    return true;
}
