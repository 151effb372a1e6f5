/* now.h - the clock that deadlines are measured with: it never goes back. */
#pragma once

#include <time.h>

/* Milliseconds since some moment of this machine's. */
static inline long long now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (long long)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}
