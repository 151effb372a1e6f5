/* daemon.c - finding a part of the running daemon. It must not know what the parts do, nor who starts them (main.c). */
#include "daemon.h"

#include <string.h>

struct bench *daemon_bench(struct daemon *d, const char *station)
{
    for (size_t i = 0; i < d->config.station_count; i++)
        if (strcmp(d->config.station[i].name, station) == 0)
            return d->bench[i];
    return NULL;
}
