/* daemon.h - what main owns and every method is handed. The one place where the parts meet.
 *
 * Owner   main.c; lives from start to end. Thread: the loop's.
 */
#pragma once

#include "clock.h"
#include "config.h"
#include "rpc/hub.h"
#include "rpc/rpc.h"
#include "store/store.h"

#include <string.h>
#include <uv.h>

struct http_server;  /* http/http.h */
struct bench;        /* bench/bench.h: one station at work */
struct search;       /* bench/port_search.c: finding out what a port speaks */
struct put;          /* rpc/methods/put.c: a change of the catalogue on its way to the disk */
struct errand;       /* rpc/methods/errand.h: an act outside a station on its way */
struct label;        /* rpc/methods/label_methods.c: a label on its way to the printer */
struct record_cache; /* rpc/methods/record_cache.h */

enum { PRACTICES_MAX = 64 }; /* people who practise at once: a class of a school, and some more */

struct daemon {
    uv_loop_t *loop;
    struct config config;
    struct store *store;
    struct hub hub; /* who watches what, over any transport */
    struct rpc_server *rpc;
    struct http_server *http;              /* NULL: no HTTP is served */
    char http_url[96];                     /* of the page, for a browser on this machine; "": none */
    struct bench *bench[STATIONS_MAX];     /* as many as config.station_count, in its order */
    struct search *searches;               /* under way; NULL: none */
    struct bench *practice[PRACTICES_MAX]; /* benches to practise at (bench/practice.h); NULL: free */
    char practice_name[PRACTICES_MAX][ID_MAX];
    int64_t last_practice_batch;  /* `L1`, `L2` ... */
    struct put *puts;             /* newest first; NULL: none */
    uint64_t puts_ended;          /* since the start, written or refused */
    struct errand *errands;       /* the first is at work; NULL: none */
    int solving;                  /* linear programs asked for and not answered (rpc/methods/solving.h) */
    int64_t settings;             /* how often a setting was changed since the start */
    bool ending;                  /* nothing new is decided outside the stations */
    struct print_jobs *prints;    /* labels that are drawn or printed just now */
    struct label *labels;         /* being printed for a request; NULL: none */
    struct record_cache *records; /* of the thread that reads records; NULL: none asked for yet */
    /* Answers a call whose request a station has done before (STORE_AGAIN); takes the call. NULL: no method does. */
    void (*again)(struct daemon *d, struct rpc_call *call, const char *request);
    char started[36]; /* RFC 3339 */
    struct clock_watch clock;
    char boot[40];            /* clock_boot_id, which cannot change while we run */
    int64_t last_batch;       /* the highest batch number given */
    bool holds;               /* a batch of the shop is held: one can be gone on with */
    char label_program[512];  /* path of poise-label, beside our own program */
    char solver_program[512]; /* and of poise-solve */
    char socket_path[256];
};

/* The bench of a station; NULL: no such station. */
static inline struct bench *daemon_bench(const struct daemon *d, const char *station)
{
    const struct config_station *s = config_station_find(&d->config, station);
    return s ? d->bench[s - d->config.station] : NULL;
}

/* A bench to practise at; NULL: none of that name. */
static inline struct bench *daemon_practice(const struct daemon *d, const char *station)
{
    for (int i = 0; i < PRACTICES_MAX && station; i++)
        if (d->practice[i] && strcmp(d->practice_name[i], station) == 0)
            return d->practice[i];
    return NULL;
}
