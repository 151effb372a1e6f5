#include "client/screen/clock.h"

#include "client/now.h"

struct moment clock_moment(void)
{
    struct tm wall;
    time_t now = time(NULL);
    struct moment m = {(int64_t)now_ms(), (int64_t)now};
    if (localtime_r(&now, &wall))
        m.wall_s += wall.tm_gmtoff;
    return m;
}
