/* record_cache.c - folding a batch into its record, and keeping the last few.
 *
 * Knows the shape of a record, not who asks for it.
 */
#include "rpc/methods/record_cache.h"

#include "bench/bench.h"
#include "clock.h"
#include "rpc/methods/record_words.h"
#include "station/aims.h"
#include "text/json_read.h"
#include "text/json_write.h"
#include "text/utf8.h"

#include <stdlib.h>
#include <string.h>

enum { KEPT = 4 }; /* an open batch of 600 events keeps about 1 MB, an ended one about 10 kB */

struct record_cache {
    uint64_t clock; /* counts the questions, so that the one not asked for longest goes */
    struct record record[KEPT];
    int64_t damaged;
};

/* What the callbacks of one fold need. */
struct folding {
    struct record *record; /* being folded into */
    struct store *view;    /* the helper thread's own */
    bool comma;            /* the shop's decimal sign, for sentences of checks */
    bool whole;            /* so far everything could be read and folded */
    int64_t bad;           /* number of the event that could not be folded; 0: none */
};

/* Made with the first batch.get; it lives as long as the daemon. */
struct record_cache *record_cache_create(void)
{
    return calloc(1, sizeof(struct record_cache));
}

/* The history is the larger part by far; the words stay. */
static void drop_fold(struct record *r)
{
    if (r->fold)
        batch_finish(r->fold);
    free(r->fold);
    r->fold = NULL;
}

/* Ready for another batch. */
static void empty(struct record *r)
{
    drop_fold(r);
    json_decref(r->whole);
    json_decref(r->check);
    json_decref(r->failed);
    free(r->mark);
    free(r->scale);
    *r = (struct record){0};
}

/* A check weight that stood when this batch was weighed: kept, and warned of where it had failed. */
static void add_check(void *arg, const struct store_event *row)
{
    static const char *const kept[] = {"grams", "error_g", "error_d", "zero_g", "tolerance_g", "passed"};
    struct folding *f = arg;
    struct record *r = f->record;
    char words[200];
    if (row->seq == r->check_seq)
        return;
    json_t *body = json_read_text(row->body ? row->body : "{}"), *check = json_object();
    r->check_seq = row->seq;
    json_object_set_new(check, "station", view_text(row->station));
    json_object_set_new(check, "time", view_text(row->time));
    json_object_set_new(check, "who", view_text(row->person));
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++)
        json_object_set(check, kept[i], json_object_get(body, kept[i]));
    json_decref(r->check);
    r->check = check;
    if (!json_is_true(json_object_get(body, "passed"))) {
        bench_check_words(body, row->time ? clock_parse(row->time) : 0, f->comma, words, sizeof words);
        json_array_append_new(r->failed, json_string(words));
    }
    json_decref(body);
}

/* Before the event is folded: what is open then is what it counts for. */
static bool add_mark(struct record *r, int64_t seq)
{
    const struct batch *b = r->fold;
    if (r->marks == r->room) {
        size_t room = r->room ? 2 * r->room : 16;
        struct record_mark *mark = realloc(r->mark, room * sizeof *mark);
        if (!mark)
            return false;
        r->mark = mark;
        r->room = room;
    }
    struct record_mark *m = &r->mark[r->marks++];
    *m = (struct record_mark){.seq = seq, .aim_g = batch_step_aim_g(b, (size_t)b->open)};
    utf8_copy(m->toner, sizeof m->toner, b->recipe.part[b->recipe.step[b->open].part].toner);
    return true;
}

/* One a batch, and one each time that the scale changed or an accept was undone. */
static bool add_scale(struct record *r, const struct event *e, int64_t seq)
{
    if (r->scales == r->scale_room) {
        size_t room = r->scale_room ? 2 * r->scale_room : 2;
        struct record_scale *scale = realloc(r->scale, room * sizeof *scale);
        if (!scale)
            return false;
        r->scale = scale;
        r->scale_room = room;
    }
    struct record_scale *s = &r->scale[r->scales++];
    *s = (struct record_scale){.seq = seq, .d_g = e->d_g};
    utf8_copy(s->profile, sizeof s->profile, e->profile);
    return true;
}

/* What stands in columns of the row beside the body. */
static void stamp(struct event *e, const struct store_event *row)
{
    e->revision = row->revision;
    e->wall_ms = row->time ? clock_parse(row->time) : 0;
    e->mono_ns = row->mono_ns;
    utf8_copy(e->boot, sizeof e->boot, row->boot ? row->boot : "");
    utf8_copy(e->station, sizeof e->station, row->station ? row->station : "");
    utf8_copy(e->person, sizeof e->person, row->person ? row->person : "");
}

/* A store_events_since callback: false ends it, and f->whole says whether for a fault. */
static bool fold_event(void *arg, const struct store_event *row)
{
    struct folding *f = arg;
    struct record *r = f->record;
    struct event e;
    json_t *body = json_read_text(row->body ? row->body : "");
    f->whole = body && event_read(&e, row->kind, body);
    json_decref(body);
    if (!f->whole) {
        f->bad = row->seq;
        return false;
    }
    stamp(&e, row);
    if (e.has_weight && e.kind != EVENT_KEPT && row->station)
        f->whole = store_last_weight_check(f->view, row->station, row->seq, add_check, f) != STORE_UNREAD;
    if (e.kind == EVENT_ACCEPTED && !e.toner[0] && !e.cup[0] && r->fold->open >= 0)
        f->whole = f->whole && add_mark(r, row->seq);
    if (e.port[0] && event_is_act(e.kind))
        f->whole = f->whole && add_scale(r, &e, row->seq);
    if (f->whole && !batch_fold(r->fold, NULL, &e)) {
        f->whole = false;
        f->bad = row->seq;
    }
    event_finish(&e);
    r->seq = row->seq;
    return f->whole;
}

/* What failed of check weights stands among the cautions, as text alone. */
static void word_record(struct record *r, const char *currency)
{
    json_decref(r->whole);
    r->style = batch_number_style(r->fold);
    r->whole = record_words(r->fold, currency);
    json_array_extend(json_object_get(r->whole, "caution"), r->failed);
    json_object_set(r->whole, "check", r->check);
}

/* False: no memory. */
static bool begin(struct record *r, const char *batch)
{
    empty(r);
    r->fold = malloc(sizeof *r->fold);
    if (!r->fold)
        return false;
    batch_init(r->fold);
    utf8_copy(r->batch, sizeof r->batch, batch);
    r->check = json_null();
    r->failed = json_array();
    return true;
}

/* The one that holds the batch, else the one not asked for longest. */
static struct record *place_of(struct record_cache *c, const char *batch)
{
    struct record *oldest = &c->record[0];
    for (int i = 0; i < KEPT; i++) {
        if (strcmp(c->record[i].batch, batch) == 0)
            return &c->record[i];
        if (c->record[i].used < oldest->used)
            oldest = &c->record[i];
    }
    return oldest;
}

/* Three ways: nothing new, some events to fold on top, or the whole batch. A fold that went wrong is dropped whole,
 * never kept half. */
const struct record *record_cache_get(struct record_cache *c, struct store *view, const char *batch,
                                      const char *currency, bool comma, enum store_found *found)
{
    int64_t last;
    struct record *r = place_of(c, batch);
    *found = store_last_event(view, batch, &last);
    c->damaged = 0;
    if (*found != STORE_FOUND)
        return NULL;
    r->used = ++c->clock;
    bool known = strcmp(r->batch, batch) == 0;
    if (known && r->seq == last)
        return r;
    struct folding f = {.record = r, .view = view, .comma = comma, .whole = true};
    if (!(known && r->fold) && !begin(r, batch))
        f.whole = false;
    if (f.whole)
        f.whole = store_events_since(view, batch, r->seq, fold_event, &f) && f.whole && r->fold->id[0];
    c->damaged = f.bad;
    if (!f.whole) {
        empty(r);
        *found = STORE_UNREAD;
        return NULL;
    }
    word_record(r, currency);
    if (json_lost()) { /* it may lack a member, and would be handed out again */
        empty(r);
        *found = STORE_UNREAD;
        return NULL;
    }
    if (r->fold->state >= BATCH_HELD)
        drop_fold(r);
    return r;
}

/* From the back: few, and a page begins with the newest. */
const struct record_scale *record_scale_of(const struct record *r, int64_t seq)
{
    size_t i = r->scales;
    while (i > 0 && r->scale[i - 1].seq > seq)
        i--;
    return i > 0 ? &r->scale[i - 1] : NULL;
}

int64_t record_cache_damaged(const struct record_cache *c)
{
    return c->damaged;
}

/* Marks rise by number, so they are searched by halves. */
const struct record_mark *record_mark_of(const struct record *r, int64_t seq)
{
    size_t low = 0, high = r->marks;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (r->mark[middle].seq < seq)
            low = middle + 1;
        else
            high = middle;
    }
    return low < r->marks && r->mark[low].seq == seq ? &r->mark[low] : NULL;
}
