/* hub.h - who watches which station, and the notes that they are sent.
 *
 * A transport (unix.c is one, http/events.c another, equal one) embeds struct hub_subscriber in each of its clients
 * and says in one const table how its notes are wrapped and sent. A bench publishes params alone; nothing here knows
 * JSON-RPC. A note's text is made once for all watchers of a transport, and costs only the watchers of its station.
 * Newest  A weight that a client did not take yet is replaced by the next one, and so is a screen of the revision that
 *         was sent last; every other note is delivered. Revisions ascend.
 * Owner   The daemon owns the hub: zeroed it is ready, hub_finish ends it. A transport owns its subscribers and calls
 *         hub_leave before their memory goes.
 * Thread  The loop's.
 */
#pragma once

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

#define HUB_WATCH_MAX 64 /* stations of one subscriber */

enum hub_note { HUB_WEIGHT, HUB_SCREEN, HUB_SCALE, HUB_NOTES };

struct hub_subscriber;

/* What all clients of one kind share. `take` and `offer` may end the subscriber that they are called for, no other. */
struct hub_transport {
    const char *head[HUB_NOTES], *tail; /* what stands before and behind the params */
    /* A note that must arrive: sent, or queued. */
    void (*take)(struct hub_subscriber *s, const char *text, size_t len);
    /* A note whose successor replaces it: sent at once, or false where anything waits already. True for one that is
     * gone. The text is the hub's. */
    bool (*offer)(struct hub_subscriber *s, const char *text, size_t len);
};

struct hub_watching; /* one station watched by one subscriber */
struct hub_station;

struct hub_subscriber {
    const struct hub_transport *transport; /* set by the transport before the first watch */
    struct hub_watching *first;
    size_t count;
};

struct hub {
    struct hub_station *first; /* those that somebody watches */
    char *frame;               /* the note at hand as one transport sends it */
    size_t frame_room;
};

/* From now on the subscriber is sent the station's notes; again is nothing. False: no memory, or too many stations. */
bool hub_watch(struct hub *hub, struct hub_subscriber *s, const char *station);
/* No more of that station; of none. */
void hub_unwatch(struct hub *hub, struct hub_subscriber *s, const char *station);
void hub_leave(struct hub *hub, struct hub_subscriber *s);
/* Nobody watches that station any more: it is gone for good. */
void hub_drop(struct hub *hub, const char *station);
/* Nothing waits any more in the transport: sends what was kept back, the newest of each station. */
void hub_flush(struct hub_subscriber *s);

/* Anybody there? Saves making the note. */
bool hub_watched(const struct hub *hub, const char *station);
/* To all who watch the station. Takes the reference. */
void hub_publish(struct hub *hub, const char *station, enum hub_note note, json_t *params);
/* The same with the params as JSON text. For weights, many a second: no memory is asked for where clients keep up. */
void hub_publish_text(struct hub *hub, const char *station, enum hub_note note, const char *params, size_t len);
void hub_finish(struct hub *hub);
