/* under_way.c - see under_way.h. It must not know how an act is decided, nor what comes of it. */
#include "bench/under_way.h"

#include "bench/bench_parts.h"

#include <string.h>
#include <strings.h>

/* The event that some bench's act begins with; NULL: that bench writes none. A practice takes nothing of the shop's. */
static const struct event *first_of(const struct daemon *d, size_t station)
{
    const struct bench *b = d->bench[station];
    return b && b->act ? &b->act->event[0] : NULL;
}

/* A write is there for who reads before its bench has heard of it. */
static bool is_read(const struct daemon *d, size_t station, const struct bench_act *act)
{
    int64_t revision;
    return store_revision(d->store, d->config.station[station].name, &revision) == STORE_FOUND &&
           revision >= act->event[act->events - 1].revision;
}

double under_way_taking_g(const struct daemon *d, const char *batch)
{
    double grams = 0;
    for (size_t i = 0; i < d->config.station_count; i++) {
        const struct bench_act *act = d->bench[i] ? d->bench[i]->act : NULL;
        double takes_g = 0;
        for (size_t t = 0; act && t < act->takes; t++)
            if (strcmp(act->take[t].batch, batch) == 0)
                takes_g += act->take[t].grams;
        grams += act && takes_g > 0 && !is_read(d, i, act) ? takes_g : 0;
    }
    return grams;
}

/* A beginning may be the second event of its act, behind the end of the batch that it is made again of: that one had
 * the same half, so the first is all that is looked at. */
void under_way_halves(const struct daemon *d, const char *order, int coat_n, bool half[HALVES])
{
    for (size_t i = 0; i < d->config.station_count; i++) {
        const struct event *e = first_of(d, i);
        const struct event_begun *g = e ? e->begun : NULL;
        if (g && g->coat_n == coat_n && strcmp(g->order, order) == 0 && g->edges >= 0 && g->edges < HALVES)
            half[g->edges] = true;
    }
}

bool under_way_resumed(const struct daemon *d, const char *batch)
{
    for (size_t i = 0; i < d->config.station_count; i++) {
        const struct event *e = first_of(d, i);
        if (e && e->kind == EVENT_RESUMED && strcmp(d->bench[i]->act->after->id, batch) == 0)
            return true;
    }
    return false;
}

bool under_way_kept(const struct daemon *d, const char *toner)
{
    for (size_t i = 0; i < d->config.station_count; i++) {
        const struct event *e = first_of(d, i);
        if (e && e->kind == EVENT_FINISHED && strcasecmp(e->kept_as, toner) == 0)
            return true;
    }
    return false;
}
