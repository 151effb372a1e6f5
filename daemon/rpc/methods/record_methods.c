/* record_methods.c - what was mixed: batch.get, batch.find.
 *
 * Both are read and worded on a helper thread (inquiry.h); the loop only checks what is asked.
 */
#include "bench/batch_journal.h"
#include "bench/bench.h"
#include "rpc/methods/batch_row.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/record_cache.h"
#include "rpc/methods/record_words.h"
#include "station/batch_record.h"
#include "text/json_read.h"
#include "text/timestamp.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Rows of an answer: what is usual fills a screen several times over, what is most stays below a megabyte. */
enum { EVENTS_MOST = 1000, EVENTS_USUAL = 500, FIND_MOST = 1000, FIND_USUAL = 50, FIND_MOST_MS = 20 };

/* A whole number from 1 to `most`; left out, *out stays. */
static bool whole_number(const json_t *params, const char *name, double most, double *out, struct fault *f)
{
    double value = NAN;
    if (!rpc_get_number(params, name, &value, f))
        return false;
    if (isnan(value))
        return true;
    if (!(value >= 1 && value <= most && value == floor(value)))
        return fault_said(f, FAULT_INVALID, name, "range", "record_whole_number field=%s most=%f", name, most);
    *out = value;
    return true;
}

/* ---- batch.get ---- */

/* What is copied off the daemon, so that the helper thread touches nothing of it. */
struct get_asked {
    struct inquiry inquiry;
    struct record_cache *cache;
    char currency[8];
    bool comma; /* the shop's decimal sign */
    char batch[STORE_NUMBER];
    int events;     /* how many at most */
    int64_t before; /* number of the event before which they end; 0: the newest */
};

/* A page of a batch's story in the making. */
struct page {
    const struct record *record; /* the cache's, until the task ends */
    json_t *events;              /* oldest first */
    int most;                    /* of them */
    int64_t oldest;              /* number of the first of them */
    bool more;                   /* there are older ones */
    bool whole;                  /* false: one could not be read, and so none is told */
};

/* Who was at the keys, as the system knows them (`unix:ines`), and who said that it was them. */
static json_t *who_of(const struct store_event *row)
{
    const char *user = row->client ? strchr(row->client, ':') : NULL;
    return json_pack("{s:o, s:o}", "user", view_text(user ? user + 1 : NULL), "painter", view_text(row->person));
}

/* An event that leaves its scale out was weighed on the one named last (station/batch.h). */
static void add_scale(struct event *e, const struct record_scale *scale)
{
    if (!e->has_weight || e->port[0] || e->profile[0] || !scale)
        return;
    memcpy(e->profile, scale->profile, sizeof e->profile);
    e->d_g = scale->d_g;
}

/* One line of a batch's story; they come newest first. */
static bool add_line(void *arg, const struct store_event *row)
{
    struct page *p = arg;
    struct event e;
    if ((int)json_array_size(p->events) == p->most) {
        p->more = true;
        return false;
    }
    json_t *body = json_read_text(row->body ? row->body : "");
    p->whole = body && event_read(&e, row->kind, body);
    json_decref(body);
    if (!p->whole)
        return false;
    json_t *line =
        json_pack("{s:I, s:I, s:s, s:o, s:s, s:s}", "seq", (json_int_t)row->seq, "revision", (json_int_t)row->revision,
                  "time", row->time, "who", who_of(row), "what", row->kind, "hash", row->hash);
    const struct record_mark *mark = record_mark_of(p->record, row->seq);
    add_scale(&e, record_scale_of(p->record, row->seq));
    record_members(line, &e, &p->record->style);
    if (e.toner[0] || mark)
        json_object_set_new(line, "toner", json_string(e.toner[0] ? e.toner : mark->toner));
    if (mark)
        json_object_set_new(line, "aim_g", number_json(mark->aim_g));
    json_array_insert_new(p->events, 0, line);
    p->oldest = row->seq;
    event_finish(&e);
    return true;
}

/* What the row knows beyond the journal of the pour. */
struct beside {
    json_t *shelf;      /* null: the cup has no place and was not weighed back */
    double discarded_g; /* NaN: nothing */
};

/* A store_batch_get callback. */
static void take_beside(void *arg, const struct store_batch *row)
{
    struct beside *beside = arg;
    if (row->place || !isnan(row->left_g))
        beside->shelf = batch_row_shelf(row);
    beside->discarded_g = row->discarded_g;
}

/* Waste of the pour and of the shelf together. */
static void add_beside(json_t *answer, const struct beside *beside)
{
    json_object_set_new(answer, "shelf", beside->shelf);
    if (beside->discarded_g > 0)
        json_object_set_new(answer, "waste_g",
                            number_json(json_number_value(json_object_get(answer, "waste_g")) + beside->discarded_g));
}

/* The record is kept by record_cache, so its cost is that of the page asked for, not of the batch. */
static void run_get(struct inquiry *inquiry, struct store *view)
{
    struct get_asked *a = (struct get_asked *)(void *)inquiry;
    enum store_found found;
    char shop[STORE_SHOP];
    struct beside beside = {.shelf = json_null(), .discarded_g = NAN};
    const struct record *r = record_cache_get(a->cache, view, a->batch, a->currency, a->comma, &found);
    if (!r && found == STORE_NONE) {
        fault_said(&inquiry->fault, FAULT_UNKNOWN, "batch", "unknown", "record_unknown batch=%s", a->batch);
        return;
    }
    if (!r && record_cache_damaged(a->cache)) {
        fault_said(&inquiry->fault, FAULT_STORE, NULL, "io", "record_damaged batch=%s event=%lld", a->batch,
                   (long long)record_cache_damaged(a->cache));
        return;
    }
    struct page p = {.record = r, .events = json_array(), .most = a->events, .whole = true};
    if (!r || !store_events_before(view, a->batch, a->before, a->events + 1, add_line, &p) || !p.whole ||
        store_batch_get(view, a->batch, take_beside, &beside) == STORE_UNREAD ||
        store_shop(view, shop) != STORE_FOUND) {
        inquiry_unread(inquiry, view);
        json_decref(p.events);
        json_decref(beside.shelf);
        return;
    }
    json_t *answer = json_copy(r->whole);
    json_object_set_new(answer, "shop", json_string(shop));
    add_beside(answer, &beside);
    json_object_set_new(answer, "events", p.events);
    json_object_set_new(answer, "events_before", p.more ? json_integer((json_int_t)p.oldest) : json_null());
    inquiry_answer(inquiry, answer);
}

/* `before` is an event's number, up to 2^53: JSON numbers hold no more exactly. */
void method_batch_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *text = json_string_value(json_object_get(params, "batch"));
    double events = EVENTS_USUAL, before = 0;
    struct fault f = {0};
    if (learn_record(d, call, text))
        return;
    struct get_asked *a = inquiry_new(d, call, params, sizeof *a);
    if (!a)
        return;
    bool good = whole_number(params, "events", EVENTS_MOST, &events, &f) &&
                whole_number(params, "before", 9007199254740991.0, &before, &f);
    if (good && !journal_number(text, a->batch))
        good = fault_said(&f, FAULT_UNKNOWN, "batch", "unknown", "record_unknown batch=%s", text);
    if (good && !d->records && !(d->records = record_cache_create()))
        good = fault_said(&f, FAULT_INTERNAL, NULL, NULL, "no_memory");
    if (!good) {
        inquiry_refuse(&a->inquiry, &f);
        return;
    }
    a->events = (int)events;
    a->before = (int64_t)before;
    a->cache = d->records;
    a->comma = d->config.decimal_comma;
    utf8_copy(a->currency, sizeof a->currency, d->config.currency);
    inquiry_start(&a->inquiry, STORE_QUICK, run_get);
}

/* ---- batch.find ---- */

/* Texts of the search are borrowed from params. */
struct find_asked {
    struct inquiry inquiry;
    struct store_find find;
    const char *number; /* that batch and no other; NULL: a search */
};

/* A store_batch_find callback. */
static void add_row(void *arg, const struct store_batch *b)
{
    batch_rows_add(arg, b, NULL);
}

/* A number off a label that is not there is an empty list: the shop searched, and nothing was found. */
static void run_find(struct inquiry *inquiry, struct store *view)
{
    struct find_asked *a = (struct find_asked *)(void *)inquiry;
    char next[STORE_NUMBER] = "";
    struct batch_rows rows;
    batch_rows_begin(&rows, "batches");
    enum store_found found = a->number ? store_batch_get(view, a->number, add_row, &rows)
                                       : store_batch_find(view, &a->find, add_row, &rows, next);
    if (found == STORE_UNREAD) {
        inquiry_unread(inquiry, view);
    } else if (found == STORE_LATE) {
        fault_said(&inquiry->fault, FAULT_STATE, NULL, "slow", "find_slow");
    } else if (found == STORE_NONE && !a->number) {
        fault_said(&inquiry->fault, FAULT_INVALID, a->find.after ? "after" : "text", "form", "find_not_possible");
    } else {
        inquiry_answer_text(inquiry, batch_rows_end(&rows, next));
    }
    batch_rows_drop(&rows);
}

/* In the shop's time zone, as the days of the journal are. */
static bool a_day(const char *field, const char *text, struct fault *f)
{
    return !text || timestamp_is_day(text) ||
           fault_said(f, FAULT_INVALID, field, "date", "member_not_day field=%s given=%s", field, text);
}

/* Texts are borrowed from params, which the inquiry keeps. */
static bool read_find(const json_t *params, struct store_find *find, struct fault *f)
{
    double limit = FIND_USUAL;
    struct {
        const char *name;
        const char **to;
    } texts[] = {{"text", &find->text},       {"order", &find->order}, {"formula", &find->formula},
                 {"variant", &find->variant}, {"coat", &find->coat},   {"painter", &find->painter},
                 {"place", &find->place},     {"from", &find->from},   {"to", &find->to},
                 {"state", &find->state},     {"after", &find->after}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (!rpc_get_text(params, texts[i].name, texts[i].to, f))
            return false;
    if (!whole_number(params, "limit", FIND_MOST, &limit, f))
        return false;
    find->limit = (int)limit;
    find->most_ms = FIND_MOST_MS;
    return a_day("from", find->from, f) && a_day("to", find->to, f);
}

/* `POISE:1042` off a label, `#1042` as people write it: that batch and no other. NULL: words to search for. */
static const char *scanned_number(const char *text)
{
    if (text && strncmp(text, "POISE:", 6) == 0)
        return text + 6;
    return text && text[0] == '#' ? text + 1 : NULL;
}

/* Newest first, a page at a time: `after` takes what `next` gave. */
void method_batch_find(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault f = {0};
    struct find_asked *a = inquiry_new(d, call, params, sizeof *a);
    if (!a)
        return;
    if (!read_find(params, &a->find, &f)) {
        inquiry_refuse(&a->inquiry, &f);
        return;
    }
    a->number = scanned_number(a->find.text);
    inquiry_start(&a->inquiry, STORE_QUICK, run_find);
}
