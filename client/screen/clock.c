#include "client/screen/clock.h"

#include <time.h>

struct moment clock_moment(void)
{
    struct timespec t;
    struct tm wall;
    clock_gettime(CLOCK_MONOTONIC, &t);
    time_t now = time(NULL);
    struct moment m = {(int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000, (int64_t)now};
    if (localtime_r(&now, &wall))
        m.wall_s += wall.tm_gmtoff;
    return m;
}
