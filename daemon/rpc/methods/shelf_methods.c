/* shelf_methods.c - what becomes of a cup after the job: batch.weigh_back, batch.shelve, batch.discard, shelf.list.
 *
 * A finished batch's row holds where its cup stands and what is left in it; the journal holds each act. What a batch
 * was is never touched here.
 */
#include "bench/batch_journal.h"
#include "bench/learnt.h"
#include "bench/under_way.h"
#include "clock.h"
#include "daemon.h"
#include "rpc/methods/batch_row.h"
#include "rpc/methods/errand.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/paging.h"
#include "station/aims.h"
#include "station/batch_record.h"
#include "text/number.h"
#include "text/timestamp.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PLACE_CHARACTERS = 40 };
#define HAIR_G 5e-7 /* half of what a number on the wire can show */

/* One act on a cup, while its row is at hand. */
struct cup {
    struct errand *errand;
    struct fault *fault;
    bool good; /* it was written */
    void (*act)(struct cup *c, const struct store_batch *row);
    double taking_g;            /* out of it by benches, beside what the row tells */
    bool moved;                 /* that came to the disk while the row was read */
    double gross_g, tare_g;     /* weigh_back */
    double most_g;              /* of the record, with 2 d */
    double grams;               /* discard; NaN: all */
    const char *order;          /* of a touch-up; NULL: none */
    const struct batch *batch;  /* weigh_back: as its journal tells it */
    const char *place, *use_by; /* shelve */
    const char *why;            /* discard, as typed; NULL: not said */
};

/* ---- common ---- */

/* What the cup holds as far as anybody knows: what was weighed back, else all of the record. */
static double left_of(const struct store_batch *row)
{
    return isnan(row->left_g) ? row->total_g : row->left_g;
}

/* Only a finished batch has a cup to put away; the fault tells the batch's state. */
static bool is_finished(const struct store_batch *row, struct fault *f)
{
    if (strcmp(row->state, "finished") == 0)
        return true;
    fault_said(f, FAULT_STATE, "batch", row->state, "batch_not_finished batch=%s", row->batch);
    utf8_copy(f->state, sizeof f->state, row->state);
    return false;
}

/* A store_batch_get callback. The row will be written whole, behind what benches are taking out of the cup just now. */
static void act_on(void *arg, const struct store_batch *row)
{
    struct cup *c = arg;
    struct store_batch seen = *row;
    double left_g = left_of(row) - c->taking_g;
    if (c->taking_g > 0)
        seen.left_g = left_g < HAIR_G ? 0 : left_g;
    c->moved = fabs(under_way_taking_g(c->errand->daemon, row->batch) - c->taking_g) > HAIR_G;
    if (!c->moved)
        c->act(c, &seen);
}

/* Looks the batch up and hands its row to act(), which writes. False: unknown, unread, or refused there. */
static bool with_row(struct cup *c, void (*act)(struct cup *c, const struct store_batch *row))
{
    c->act = act;
    const char *text = json_string_value(json_object_get(c->errand->params, "batch"));
    char number[STORE_NUMBER];
    enum store_found found = STORE_NONE;
    for (bool again = journal_number(text, number); again; again = c->moved) {
        c->moved = false;
        c->taking_g = under_way_taking_g(c->errand->daemon, number);
        found = store_batch_get(c->errand->daemon->store, number, act_on, c);
    }
    if (found == STORE_NONE)
        return fault_said(c->fault, FAULT_UNKNOWN, "batch", "unknown", "record_unknown batch=%s", text);
    if (found == STORE_UNREAD)
        return store_say_unread(c->errand->daemon->store, c->fault);
    return c->good;
}

/* ---- batch.weigh_back ---- */

static void weigh_row(struct cup *c, const struct store_batch *row)
{
    struct errand *e = c->errand;
    struct store_batch now = *row;
    double left_g = c->gross_g - c->tare_g;
    if (!is_finished(row, c->fault))
        return;
    if (left_g < -HAIR_G || left_g > c->most_g + HAIR_G) {
        fault_said(c->fault, FAULT_INVALID, "gross_g", left_g < 0 ? "less" : "more",
                   "weigh_back_range tare_g=%f most_g=%f", c->tare_g, c->most_g);
        return;
    }
    double used_g = fmax(0, left_of(row) - left_g);
    struct learnt_job job = {.body = NULL};
    /* A touch-up of another vehicle says nothing of what this job took. */
    bool own = !c->order || (row->order && strcmp(c->order, row->order) == 0);
    if (own && !learnt_job(e->daemon->store, c->batch, row->total_g, used_g, &job)) {
        store_say_unread(e->daemon->store, c->fault);
        return;
    }
    struct store_item item = {
        .kind = STORE_LEARNT, .id = job.id, .time = e->time, .body = job.body, .about = job.about};
    now.left_g = left_g < HAIR_G ? 0 : left_g; /* a hair would keep an empty cup on the shelf */
    now.weighed = e->time;
    struct store_touch touch = {.batch = row->batch, .order = c->order, .time = e->time, .grams = used_g};
    struct store_write rows = {.batches = &now,
                               .batch_count = 1,
                               .touch = c->order && used_g > 0 ? &touch : NULL,
                               .items = &item,
                               .item_count = job.body ? 1 : 0};
    json_t *body = json_pack("{s:s, s:o, s:o, s:o, s:o, s:s?}", "batch", row->batch, "gross_g", number_json(c->gross_g),
                             "tare_g", number_json(c->tare_g), "left_g", number_json(now.left_g), "used_g",
                             number_json(used_g), "order", c->order);
    json_t *answer = json_pack("{s:s, s:o, s:o, s:o}", "batch", row->batch, "left_g", number_json(now.left_g), "used_g",
                               number_json(used_g), "shelf", batch_row_shelf(&now));
    c->good = errand_write(e, "batch.weigh_back", body, answer, &rows, c->fault);
    free(job.body);
}

/* The tare: as given, else what the cup's accept took, else that of the cup's kind. The fold alone knows these. */
static bool weigh_back(struct errand *e, struct fault *f)
{
    struct cup c = {.errand = e, .fault = f, .gross_g = NAN, .tare_g = NAN};
    const char *text = json_string_value(json_object_get(e->params, "batch"));
    c.order = json_string_value(json_object_get(e->params, "order"));
    if (!rpc_get_number(e->params, "gross_g", &c.gross_g, f) || !rpc_get_number(e->params, "cup_tare_g", &c.tare_g, f))
        return false;
    if (c.tare_g < 0)
        return fault_said(f, FAULT_INVALID, "cup_tare_g", "negative", "cup_tare_below_0");
    if (c.order && utf8_count(c.order) > EVENT_NAME_CHARACTERS)
        return fault_said(f, FAULT_INVALID, "order", "long", "name_too_long field=%s most=%d", "order",
                          EVENT_NAME_CHARACTERS);
    struct batch *b = journal_find(e->daemon, text, "batch", f);
    if (!b)
        return false;
    bool ended = b->state == BATCH_FINISHED;
    if (isnan(c.tare_g))
        c.tare_g = isnan(b->tare_g) ? b->kind_tare_g : b->tare_g;
    c.most_g = batch_content_g(b) + 2 * b->set.d_g;
    c.batch = b;
    bool good = isnan(c.tare_g) && ended
                    ? fault_said(f, FAULT_INVALID, "cup_tare_g", "unknown", "cup_tare_unknown batch=%s", text)
                    : with_row(&c, weigh_row);
    batch_finish(b);
    free(b);
    return good;
}

void method_batch_weigh_back(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, weigh_back);
}

/* ---- batch.shelve ---- */

/* Activated paint has its pot life and no other date. */
static void shelve_row(struct cup *c, const struct store_batch *row)
{
    struct store_batch now = *row;
    if (!is_finished(row, c->fault))
        return;
    now.place = c->place;
    if (row->activated != 1)
        now.use_by = c->use_by;
    struct store_write rows = {.batches = &now, .batch_count = 1};
    json_t *body = json_pack("{s:s, s:s, s:s?}", "batch", row->batch, "place", c->place, "use_by", now.use_by);
    json_t *answer = json_pack("{s:s, s:o}", "batch", row->batch, "shelf", batch_row_shelf(&now));
    c->good = errand_write(c->errand, "batch.shelve", body, answer, &rows, c->fault);
}

static bool shelve(struct errand *e, struct fault *f)
{
    struct cup c = {.errand = e, .fault = f};
    c.place = json_string_value(json_object_get(e->params, "place"));
    c.use_by = json_string_value(json_object_get(e->params, "use_by"));
    if (!c.place)
        return fault_said(f, FAULT_PARAMS, "place", "missing", "member_missing field=%s", "place");
    if (!*c.place || utf8_count(c.place) > PLACE_CHARACTERS)
        return fault_said(f, FAULT_INVALID, "place", *c.place ? "long" : "empty", "place_length most=%d",
                          PLACE_CHARACTERS);
    if (c.use_by && !timestamp_is_day(c.use_by))
        return fault_said(f, FAULT_INVALID, "use_by", "date", "member_not_day field=%s given=%s", "use_by", c.use_by);
    char day[11], begun[CLOCK_TEXT];
    struct batch *b =
        c.use_by ? NULL : journal_find(e->daemon, json_string_value(json_object_get(e->params, "batch")), "batch", f);
    if (!c.use_by && !b)
        return false;
    if (b)
        clock_text(b->begun_ms, begun);
    if (b && config_keeps_until(&e->daemon->config, b->recipe.line, begun, day))
        c.use_by = day;
    bool good = with_row(&c, shelve_row);
    if (b)
        batch_finish(b);
    free(b);
    return good;
}

void method_batch_shelve(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, shelve);
}

/* ---- batch.discard ---- */

/* An empty cup stands nowhere any more. What hardener is in must cure in the open: shut up it grows hot and bursts. */
static void discard_row(struct cup *c, const struct store_batch *row)
{
    struct store_batch now = *row;
    double left_g = left_of(row), waste_g = isnan(c->grams) ? left_g : c->grams;
    if (!is_finished(row, c->fault))
        return;
    if (!(left_g > 0)) {
        fault_said(c->fault, FAULT_STATE, "batch", "nothing", "discard_nothing batch=%s", row->batch);
        utf8_copy(c->fault->state, sizeof c->fault->state, row->state);
        return;
    }
    if (!(waste_g > 0) || waste_g > left_g + HAIR_G) {
        fault_said(c->fault, FAULT_INVALID, "grams", "range", "discard_range left_g=%f", left_g);
        return;
    }
    now.left_g = left_g - waste_g < HAIR_G ? 0 : left_g - waste_g;
    now.discarded_g = isnan(row->discarded_g) ? waste_g : row->discarded_g + waste_g;
    if (now.left_g == 0)
        now.place = NULL;
    struct said said = row->activated == 1
                           ? say("discarded_activated batch=%s waste_g=%f", row->batch, waste_g)
                           : say("discarded batch=%s waste_g=%f left_g=%f", row->batch, waste_g, now.left_g);
    const struct number_style style = {.point = '.'};
    struct store_write rows = {.batches = &now, .batch_count = 1};
    json_t *body = json_pack("{s:s, s:o, s:o, s:b, s:s?}", "batch", row->batch, "waste_g", number_json(waste_g),
                             "left_g", number_json(now.left_g), "activated", row->activated == 1, "why", c->why);
    json_t *answer = json_pack("{s:s, s:o, s:o, s:o}", "batch", row->batch, "waste_g", number_json(waste_g), "left_g",
                               number_json(now.left_g), "said", said_json(&said, &style));
    c->good = errand_write(c->errand, "batch.discard", body, answer, &rows, c->fault);
}

static bool discard(struct errand *e, struct fault *f)
{
    struct cup c = {.errand = e, .fault = f, .grams = NAN};
    c.why = json_string_value(json_object_get(e->params, "why"));
    return rpc_get_number(e->params, "grams", &c.grams, f) && with_row(&c, discard_row);
}

void method_batch_discard(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, discard);
}

/* ---- shelf.list ---- */

/* Texts are borrowed from params. */
struct shelf_asked {
    struct inquiry inquiry;
    struct store_shelf find;
    char today[CLOCK_TEXT];
    struct batch_rows cups;
};

static void add_cup(void *arg, const struct store_batch *b)
{
    struct shelf_asked *a = arg;
    bool past = b->use_by && strncmp(b->use_by, a->today, 10) < 0;
    const char *why = b->activated == 1 ? "activated" : past ? "past" : NULL;
    batch_rows_add(&a->cups, b, &why);
}

static void run_shelf(struct inquiry *inquiry, struct store *view)
{
    struct shelf_asked *a = (struct shelf_asked *)(void *)inquiry;
    char next[STORE_NUMBER];
    batch_rows_begin(&a->cups, "cups");
    enum store_found found = store_shelf_page(view, &a->find, add_cup, a, next);
    if (found == STORE_FOUND)
        inquiry_answer_text(inquiry, batch_rows_end(&a->cups, next));
    else if (found == STORE_NONE)
        fault_said(&inquiry->fault, FAULT_INVALID, "after", "form", "find_not_possible");
    else
        inquiry_unread(inquiry, view);
    batch_rows_drop(&a->cups);
}

/* The day is the shop's, as the dates on the cups are. */
void method_shelf_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault f = {0};
    bool due = false;
    struct shelf_asked *a = inquiry_new(d, call, params, sizeof *a);
    if (!a)
        return;
    clock_text(clock_wall_ms(), a->today);
    a->today[10] = '\0';
    if (!rpc_get_text(params, "formula", &a->find.formula, &f) || !rpc_get_text(params, "place", &a->find.place, &f) ||
        !rpc_get_flag(params, "due", &due, &f) || !page_read(params, &a->find.limit, &a->find.after, &f)) {
        inquiry_refuse(&a->inquiry, &f);
        return;
    }
    a->find.due = due ? a->today : NULL;
    /* A place or a date leads to no cup: the whole shelf may be looked through. */
    inquiry_start(&a->inquiry, due || a->find.place ? STORE_SLOW : STORE_QUICK, run_shelf);
}
