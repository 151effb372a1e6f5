/* moment.h - the time that a page is drawn for. With term.c and what reads the socket, all of the screen that is not
 * pure. */
#pragma once

#include "client/screen/model.h"
#include "client/socket.h"

#include <time.h>

/* The present one, its wall clock in the local zone. */
static inline struct moment moment_now(void)
{
    struct tm wall;
    time_t now = time(NULL);
    struct moment m = {(int64_t)now_ms(), (int64_t)now};
    if (localtime_r(&now, &wall))
        m.wall_s += wall.tm_gmtoff;
    return m;
}
