/* batch_journal.c - a batch from its journal, as a start, a resume or a look-up reads it. It must not know a bench. */
#include "bench/batch_journal.h"

#include "clock.h"
#include "rpc/rpc.h"
#include "station/event.h"

#include <ctype.h>
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

enum store_found journal_load(struct store *s, const char *id, struct track *t, struct batch **out)
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

struct batch *journal_find(struct daemon *d, const char *text, const char *field, struct fault *fault)
{
    const char *digits = text;
    if (strncmp(digits, "POISE:", 6) == 0)
        digits += 6;
    else if (*digits == '#')
        digits++;
    bool sound = *digits && strlen(digits) < 19;
    for (const char *p = digits; *p; p++)
        sound = sound && isdigit((unsigned char)*p);
    struct batch *b = NULL;
    enum store_found found = sound ? journal_load(d->store, digits, NULL, &b) : STORE_NONE;
    if (found == STORE_NONE)
        fault_said(fault, FAULT_UNKNOWN, field, "unknown", "batch_unknown batch=%s", text);
    else if (found == STORE_UNREAD)
        fault_said(fault, FAULT_STORE, field, "io", "journal_unreadable batch=%s", digits);
    return b;
}

struct batch *journal_held(struct daemon *d, const json_t *params, struct fault *fault)
{
    const char *text = NULL;
    if (!rpc_get_text(params, "batch", &text, fault))
        return NULL;
    struct batch *b = journal_find(d, text ? text : "", "batch", fault);
    if (b && b->state != BATCH_HELD) {
        fault_said(fault, FAULT_STATE, "batch", "not_held", "batch_not_held batch=%s state=%s", b->id,
                   batch_state_names[b->state]);
        batch_finish(b);
        free(b);
        return NULL;
    }
    return b;
}
