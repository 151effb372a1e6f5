/* config_reload.c - which settings may change while poised runs. It must not know where they were read, nor who uses
 * them. */
#include "config_reload.h"

#include <stddef.h>
#include <string.h>

/* A setting that somebody took at the start: an open port, an address that is listened on. All others are asked for
 * when they are needed, so a new value is enough. */
struct fixed {
    const char *key;
    size_t at, size;
};

#define OF_STATION(key, member)                                                                                        \
    {                                                                                                                  \
        key, offsetof(struct config_station, member), sizeof(((struct config_station *)0)->member)                     \
    }
#define OF_SHOP(key, member)                                                                                           \
    {                                                                                                                  \
        key, offsetof(struct config, member), sizeof(((struct config *)0)->member)                                     \
    }

/* d_g and its kin are read from the scale's plate: another value is another scale, whose frames the bench would have to
 * judge from the beginning. */
static const struct fixed station_fixed[] = {
    OF_STATION("port", port),
    OF_STATION("profile", profile),
    OF_STATION("speed", speed),
    OF_STATION("frame", frame),
    OF_STATION("poll", poll),
    OF_STATION("poll", poll_len),
    OF_STATION("poll_ms", poll_ms),
    OF_STATION("flow", flow),
    OF_STATION("unit", unit),
    OF_STATION("d_g", d_g),
    OF_STATION("capacity_g", capacity_g),
    OF_STATION("range1_g", range1_g),
    OF_STATION("d2_g", d2_g),
};

/* The listener, its certificate and its tokens are made once. */
static const struct fixed shop_fixed[] = {
    OF_SHOP("http", http),
    OF_SHOP("http port", http_port),
    OF_SHOP("http bind", http_bind),
    OF_SHOP("http hosts", http_hosts),
    OF_SHOP("http token_file", http_token_file),
    OF_SHOP("http role", http_role),
    OF_SHOP("http cert", http_cert),
    OF_SHOP("http key", http_key),
};

/* Tells what differs and puts the old value into the new struct. Both began as zeros and were filled by one reader, so
 * equal values are equal bytes; NaN is too. */
static void keep_fixed(const struct fixed *rows, size_t count, const void *live, void *fresh, const char *station,
                       config_left *left, void *arg)
{
    const char *told = "";
    for (size_t i = 0; i < count; i++) {
        const char *was = (const char *)live + rows[i].at;
        char *is = (char *)fresh + rows[i].at;
        if (memcmp(was, is, rows[i].size) == 0)
            continue;
        if (strcmp(told, rows[i].key) != 0)
            left(arg, station, rows[i].key);
        told = rows[i].key;
        memcpy(is, was, rows[i].size);
    }
}

/* By name: the order in the file is nobody's concern, and each bench points to its own place. */
static void take_over_stations(struct config *live, struct config *fresh, config_left *left, void *arg)
{
    for (size_t i = 0; i < fresh->station_count; i++)
        if (!config_station_find(live, fresh->station[i].name))
            left(arg, fresh->station[i].name, "station");
    for (size_t i = 0; i < live->station_count; i++) {
        struct config_station *was = &live->station[i], *is = NULL;
        for (size_t n = 0; n < fresh->station_count; n++)
            if (strcmp(fresh->station[n].name, was->name) == 0)
                is = &fresh->station[n];
        if (!is) {
            left(arg, was->name, "station");
            continue;
        }
        keep_fixed(station_fixed, sizeof station_fixed / sizeof *station_fixed, was, is, was->name, left, arg);
        *was = *is;
    }
}

void config_take_over(struct config *live, struct config *fresh, config_left *left, void *arg)
{
    take_over_stations(live, fresh, left, arg);
    keep_fixed(shop_fixed, sizeof shop_fixed / sizeof *shop_fixed, live, fresh, "", left, arg);
    fresh->station_count = live->station_count;
    memcpy(fresh->station, live->station, fresh->station_count * sizeof *fresh->station);
    config_copy(live, fresh);
}
