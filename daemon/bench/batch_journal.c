/* batch_journal.c - a batch from its journal, as a start, a resume or a look-up reads it. It must not know a bench. */
#include "bench/batch_journal.h"

#include "clock.h"
#include "rpc/rpc.h"
#include "station/event.h"
#include "text/json_read.h"
#include "text/utf8.h"

#include <stdlib.h>
#include <string.h>

struct loading {
    struct batch *batch;
    struct track *track;
    const char *id;
    /* what was kept of the open step; seq -1: nothing, or it is folded already */
    struct event kept;
    int64_t kept_seq;
    int64_t until; /* the last event that counts */
    bool ok;
};

/* Reads a body of that kind. False: it is damaged (NULL too: none was ever written without), or there is no memory. */
static bool read_body(struct event *e, const char *kind, const char *text)
{
    json_t *body = json_read_text(text);
    bool ok = body && event_read(e, kind, body);
    json_decref(body);
    return ok;
}

/* A reading that was kept of another batch says nothing of this one. */
static void take_kept(void *arg, const struct store_kept *k)
{
    struct loading *l = arg;
    if (!k->batch || strcmp(k->batch, l->id) != 0)
        return;
    l->ok = read_body(&l->kept, event_names[EVENT_KEPT], k->body);
    l->kept_seq = l->ok ? k->seq : -1;
}

/* At its place among the events, as it stood in the journal itself before schema 3. */
static bool fold_kept(struct loading *l)
{
    l->kept_seq = -1;
    bool ok = batch_fold(l->batch, l->track, &l->kept);
    event_finish(&l->kept);
    return ok;
}

/* A store_events callback. What stands in columns is not repeated in a body: time, revision, boot, station and person
 * come from the row. */
static bool add_event(void *arg, const struct store_event *row)
{
    struct loading *l = arg;
    struct event e;
    if (row->seq > l->until)
        return false; /* and l->ok holds: what came before is whole */
    if (l->kept_seq >= 0 && row->seq > l->kept_seq)
        l->ok = fold_kept(l);
    l->ok = l->ok && read_body(&e, row->kind, row->body);
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

/* station NULL: what was kept of an open step is of no matter. */
static enum store_found load(struct store *s, const char *id, const char *station, int64_t until, struct track *t,
                             struct batch **out)
{
    struct loading l = {
        .batch = malloc(sizeof *l.batch), .track = t, .id = id, .kept_seq = -1, .until = until, .ok = true};
    *out = NULL;
    if (!l.batch)
        return STORE_UNREAD;
    batch_init(l.batch);
    bool read = (!station || store_kept_get(s, station, take_kept, &l) != STORE_UNREAD) && l.ok &&
                store_events(s, id, add_event, &l);
    if (read && l.ok && l.kept_seq >= 0 && l.batch->id[0])
        l.ok = fold_kept(&l);
    bool none = read && l.ok && !l.batch->id[0];
    if (read && l.ok && !none) {
        *out = l.batch;
        return STORE_FOUND;
    }
    batch_finish(l.batch);
    free(l.batch);
    return none ? STORE_NONE : STORE_UNREAD;
}

enum store_found journal_load(struct store *s, const char *id, const char *station, struct track *t, struct batch **out)
{
    return load(s, id, station, INT64_MAX, t, out);
}

/* As it stood once: a repeated request is answered by what the screen said then. That tracker looks at no scale. */
enum store_found journal_load_until(struct store *s, const char *id, int64_t seq, struct track *t, struct batch **out)
{
    track_init(t);
    return load(s, id, NULL, seq, t, out);
}

/* At most 18 digits, so that every number fits what SQLite counts with. */
bool journal_number(const char *text, char out[STORE_NUMBER])
{
    if (strncmp(text, "POISE:", 6) == 0)
        text += 6;
    else if (*text == '#')
        text++;
    size_t digits = strspn(text, "0123456789");
    return digits > 0 && digits < 19 && !text[digits] && utf8_copy(out, STORE_NUMBER, text);
}

/* A number that makes no sense is unknown, not malformed: whoever scanned a wrong label is told the same in both cases.
 */
struct batch *journal_find(struct daemon *d, const char *text, const char *field, struct fault *fault)
{
    char digits[STORE_NUMBER];
    struct batch *b = NULL;
    enum store_found found = journal_number(text, digits) ? journal_load(d->store, digits, NULL, NULL, &b) : STORE_NONE;
    if (found == STORE_NONE)
        fault_said(fault, FAULT_UNKNOWN, field, "unknown", "batch_unknown batch=%s", text);
    else if (found == STORE_UNREAD)
        fault_said(fault, FAULT_STORE, field, "io", "journal_unreadable batch=%s", digits);
    return b;
}

/* Found, but not held, names the state it is in: mostly it is open at another bench. */
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
