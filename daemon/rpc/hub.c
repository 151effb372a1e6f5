/* hub.c - watchers by station, and one place for the newest weight of each. It must know no transport by name, and
 * nothing of JSON-RPC.
 */
#include "rpc/hub.h"
#include "text/json_write.h"

#include <stdlib.h>
#include <string.h>

/* A note that could not be sent yet, wrapped; its successor takes its place. */
struct kept {
    char *text;
    size_t len, room;
};

/* What may wait: a weight, and a screen of a revision that the client was sent already. */
enum { KEPT_WEIGHT, KEPT_SCREEN, KEPTS };

struct hub_watching {
    struct hub_subscriber *subscriber;
    struct hub_station *station;
    struct hub_watching *next_here;  /* of the same station; those of one transport stand together */
    struct hub_watching *next_other; /* of the same subscriber */
    struct kept kept[KEPTS];
};

/* A station that somebody watches; the last one to leave takes it with them. Its name is copied, so that a bench may go
 * first. */
struct hub_station {
    struct hub_station *next;
    struct hub_watching *first;
    json_int_t revision; /* of the last screen */
    char name[];
};

/* Only watched stations are in the list: mostly one to sixteen. */
__attribute__((hot)) static struct hub_station *find(const struct hub *hub, const char *name)
{
    for (struct hub_station *s = hub->first; s; s = s->next)
        if (strcmp(s->name, name) == 0)
            return s;
    return NULL;
}

/* Revision -1: the first screen is always a new one. */
static struct hub_station *add_station(struct hub *hub, const char *name)
{
    size_t size = strlen(name) + 1;
    struct hub_station *station = calloc(1, sizeof *station + size);
    if (!station)
        return NULL;
    memcpy(station->name, name, size);
    station->revision = -1;
    station->next = hub->first;
    hub->first = station;
    return station;
}

/* So that a bench that nobody watches makes no notes. */
static void drop_if_unwatched(struct hub *hub, struct hub_station *station)
{
    struct hub_station **at = &hub->first;
    if (station->first)
        return;
    while (*at != station)
        at = &(*at)->next;
    *at = station->next;
    free(station);
}

/* Beside another of its transport, so that a note is wrapped once for them all. */
static void add_here(struct hub_station *station, struct hub_watching *w)
{
    struct hub_watching **at = &station->first;
    while (*at && (*at)->subscriber->transport != w->subscriber->transport)
        at = &(*at)->next_here;
    w->next_here = *at;
    *at = w;
}

/* Watching twice is watching once. */
bool hub_watch(struct hub *hub, struct hub_subscriber *s, const char *station)
{
    for (const struct hub_watching *w = s->first; w; w = w->next_other)
        if (strcmp(w->station->name, station) == 0)
            return true;
    if (s->count >= HUB_WATCH_MAX)
        return false;
    struct hub_watching *w = calloc(1, sizeof *w);
    struct hub_station *here = w ? find(hub, station) : NULL;
    if (w && !here)
        here = add_station(hub, station);
    if (!here) {
        free(w);
        return false;
    }
    *w = (struct hub_watching){.subscriber = s, .station = here, .next_other = s->first};
    s->first = w;
    s->count++;
    add_here(here, w);
    return true;
}

/* *link is where the subscriber's list points to it. */
static void forget(struct hub *hub, struct hub_watching **link)
{
    struct hub_watching *w = *link, **at = &w->station->first;
    *link = w->next_other;
    w->subscriber->count--;
    while (*at != w)
        at = &(*at)->next_here;
    *at = w->next_here;
    drop_if_unwatched(hub, w->station);
    for (int i = 0; i < KEPTS; i++)
        free(w->kept[i].text);
    free(w);
}

/* A station that is not watched is let pass. */
void hub_unwatch(struct hub *hub, struct hub_subscriber *s, const char *station)
{
    for (struct hub_watching **at = &s->first; *at; at = &(*at)->next_other)
        if (strcmp((*at)->station->name, station) == 0) {
            forget(hub, at);
            return;
        }
}

/* What was kept back for them goes as well: it is told of a station that nobody can look at. */
void hub_drop(struct hub *hub, const char *station)
{
    const struct hub_station *here;
    while ((here = find(hub, station)))
        hub_unwatch(hub, here->first->subscriber, station);
}

/* Before the subscriber's memory goes. */
void hub_leave(struct hub *hub, struct hub_subscriber *s)
{
    while (s->first)
        forget(hub, &s->first);
}

/* The newest takes the place of the one before it that was not sent. */
static void keep_newest(struct kept *k, const char *text, size_t len)
{
    if (len > k->room) {
        char *newest = realloc(k->text, len);
        if (!newest)
            return; /* none rather than an old one */
        k->text = newest;
        k->room = len;
    }
    memcpy(k->text, text, len);
    k->len = len;
}

/* The first of any station: which goes first does not matter, all are the newest. */
static struct kept *kept_back(const struct hub_subscriber *s)
{
    for (struct hub_watching *w = s->first; w; w = w->next_other)
        for (int i = 0; i < KEPTS; i++)
            if (w->kept[i].len > 0)
                return &w->kept[i];
    return NULL;
}

/* Called when a client has room again. Ends at the first that it does not take. */
void hub_flush(struct hub_subscriber *s)
{
    for (struct kept *k; (k = kept_back(s));) {
        size_t len = k->len;
        k->len = 0; /* before it is offered: a transport that ends its client frees k */
        if (!s->transport->offer(s, k->text, len)) {
            k->len = len;
            return;
        }
    }
}

/* So that a bench makes no note that nobody takes. */
bool hub_watched(const struct hub *hub, const char *station)
{
    return find(hub, station) != NULL;
}

/* The note as a transport sends it, in the hub's own room. NULL: no memory. */
static const char *wrapped(struct hub *hub, const struct hub_transport *t, enum hub_note note, const char *params,
                           size_t len, size_t *whole)
{
    size_t head = strlen(t->head[note]), tail = strlen(t->tail);
    *whole = head + len + tail;
    if (*whole > hub->frame_room) {
        char *frame = realloc(hub->frame, *whole * 2);
        if (!frame)
            return NULL;
        hub->frame = frame;
        hub->frame_room = *whole * 2;
    }
    memcpy(hub->frame, t->head[note], head);
    memcpy(hub->frame + head, params, len);
    memcpy(hub->frame + head + len, t->tail, tail);
    return hub->frame;
}

/* again: a screen of the revision that was sent last; it may be replaced as a weight may. */
__attribute__((hot)) static void publish(struct hub *hub, const struct hub_station *here, enum hub_note note,
                                         bool again, const char *params, size_t len)
{
    const struct hub_transport *made_for = NULL;
    const char *text = NULL;
    size_t whole = 0;
    struct hub_watching *next;
    for (struct hub_watching *w = here ? here->first : NULL; w; w = next) {
        struct hub_subscriber *s = w->subscriber;
        struct kept *kept = &w->kept[note == HUB_WEIGHT ? KEPT_WEIGHT : KEPT_SCREEN];
        next = w->next_here; /* w goes with a subscriber that ends */
        if (s->transport != made_for)
            text = wrapped(hub, s->transport, note, params, len, &whole);
        if (!text)
            return;
        made_for = s->transport;
        if (note != HUB_SCALE)
            kept->len = 0; /* older than this one: revisions never go back */
        if (note != HUB_WEIGHT && !again)
            s->transport->take(s, text, whole);
        else if (!s->transport->offer(s, text, whole))
            keep_newest(kept, text, whole);
    }
}

/* The way of a weight: its params were printed once by the bench, and are wrapped once a transport. */
__attribute__((hot)) void hub_publish_text(struct hub *hub, const char *station, enum hub_note note, const char *params,
                                           size_t len)
{
    publish(hub, find(hub, station), note, false, params, len);
}

/* Without a watcher nothing is printed at all. */
void hub_publish(struct hub *hub, const char *station, enum hub_note note, json_t *params)
{
    struct hub_station *here = find(hub, station);
    char *text = here ? json_write(params, JSON_COMPACT | JSON_REAL_PRECISION(15)) : NULL;
    const json_t *revision = json_object_get(params, "revision");
    bool again = false;
    if (text && note == HUB_SCREEN && json_is_integer(revision)) {
        again = json_integer_value(revision) == here->revision;
        here->revision = json_integer_value(revision);
    }
    json_decref(params);
    if (text)
        publish(hub, here, note, again, text, strlen(text));
    free(text);
}

/* After the last subscriber has left. */
void hub_finish(struct hub *hub)
{
    free(hub->frame);
    *hub = (struct hub){0};
}
