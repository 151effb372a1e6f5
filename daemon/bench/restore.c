/* restore.c - a batch from its journal, as a start or a look-up reads it. */
#include "bench/bench_parts.h"

#include "clock.h"

#include <stdlib.h>
#include <string.h>

struct loading {
    struct batch *batch;
    struct track *track;
    bool ok;
};

static bool add_event(void *arg, const struct store_event *row)
{
    struct loading *l = arg;
    struct event e;
    json_t *body = json_loads(row->body ? row->body : "{}", 0, NULL);
    l->ok = body && event_read(&e, row->kind, body);
    json_decref(body);
    if (!l->ok)
        return false;
    e.revision = row->revision;
    e.wall_ms = row->time ? clock_parse(row->time) : 0;
    e.mono_ns = row->mono_ns;
    snprintf(e.boot, sizeof e.boot, "%s", row->boot ? row->boot : "");
    snprintf(e.station, sizeof e.station, "%s", row->station ? row->station : "");
    snprintf(e.person, sizeof e.person, "%s", row->person ? row->person : "");
    l->ok = batch_fold(l->batch, l->track, &e);
    event_finish(&e);
    return l->ok;
}

enum store_found bench_load(struct store *s, const char *id, struct track *t, struct batch **out)
{
    struct loading l = {.batch = malloc(sizeof *l.batch), .track = t, .ok = true};
    *out = NULL;
    if (!l.batch)
        return STORE_UNREAD;
    batch_init(l.batch);
    bool read = store_events(s, id, add_event, &l);
    bool none = read && l.ok && !l.batch->id[0];
    if (read && l.ok && !none) {
        *out = l.batch;
        return STORE_FOUND;
    }
    batch_finish(l.batch);
    free(l.batch);
    return none ? STORE_NONE : STORE_UNREAD;
}
