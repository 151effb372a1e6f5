/* stock_methods.c - what is in the shop's tins: stock.list, stock.receive, stock.count, stock.stir. Pours take from it
 * by themselves (bench/stock_taken.c); what nobody counted or received is not known, and so not told. */
#include "daemon.h"
#include "rpc/methods/errand.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/paging.h"
#include "station/batch_record.h"
#include "text/json_read.h"
#include "text/number.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DAY_MS 86400000LL
/* Use is looked at over four weeks, and a first week counts whole: a tin opened yesterday foretells nothing. */
enum { USE_DAYS = 28, USE_DAYS_LEAST = 7 };

/* A toner's row in the making. */
struct row {
    json_t *lots;
    double grams; /* of all lots; NaN: none was counted or received */
};

static void take_body(void *arg, const struct store_item *item)
{
    *(json_t **)arg = json_read_text(item->body);
}

/* A store_tins callback. */
static void add_tin(void *arg, const struct store_tin *t)
{
    struct row *r = arg;
    r->grams = isnan(r->grams) ? t->grams : r->grams + t->grams;
    json_array_append_new(r->lots, json_pack("{s:o, s:o, s:o}", "lot", view_text(t->lot), "grams",
                                             number_json(t->grams), "opened", view_text(t->opened)));
}

/* A day of the shop's own zone, as the journal's days are. */
static void day_of(int64_t ms, char day[CLOCK_TEXT])
{
    clock_text(ms, day);
    day[10] = '\0';
}

/* The day on which a toner runs out if it is used as lately; null where it is not used, or not known how much there is.
 */
static json_t *runs_out(struct store *s, const char *toner, double grams)
{
    char from[CLOCK_TEXT], day[CLOCK_TEXT], first[16], noon[48];
    int64_t now = clock_wall_ms();
    double used = 0;
    day_of(now - (USE_DAYS - 1) * DAY_MS, from);
    if (isnan(grams) || store_toner_used(s, toner, from, &used, first) != STORE_FOUND || !(used > 0))
        return json_null();
    snprintf(noon, sizeof noon, "%sT12:00:00.000+00:00", first);
    int64_t days = (now - clock_parse(noon)) / DAY_MS + 1;
    double rate = used / (double)(days < USE_DAYS_LEAST ? USE_DAYS_LEAST : days), left = fmax(0, grams) / rate;
    if (left > 3650)
        return json_null(); /* ten years are no forecast */
    day_of(now + (int64_t)left * DAY_MS, day);
    return json_string(day);
}

/* What stock.list says of a toner; grams_more is what is on its way to the disk. NULL: it could not be read. */
static json_t *row_of(struct store *s, const char *id, const json_t *toner, struct row *r)
{
    char stirred[STORE_TIME];
    r->lots = json_array();
    r->grams = NAN;
    if (!store_tins(s, id, add_tin, r) || store_stirred(s, id, stirred) == STORE_UNREAD) {
        json_decref(r->lots);
        return NULL;
    }
    const json_t *reorder = json_object_get(toner, "reorder_g");
    const char *name = json_string_value(json_object_get(toner, "name"));
    json_t *row =
        json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o}", "toner", id, "name", name ? name : id, "place",
                  view_text(json_string_value(json_object_get(toner, "bank"))), "grams", number_json(r->grams), "lots",
                  r->lots, "reorder_g", json_is_number(reorder) ? json_deep_copy(reorder) : json_null(), "runs_out",
                  runs_out(s, id, r->grams), "stirred", view_text(stirred));
    const struct number_style style = {.point = '.'};
    if (r->grams < 0) {
        struct said said = say("stock_below toner=%s grams=%f", id, r->grams);
        json_object_set_new(row, "said", said_json(&said, &style));
    }
    return row;
}

/* ---- stock.list ---- */

struct stock_asked {
    struct inquiry inquiry;
    struct store *view;
    const char *toner, *after;
    bool reorder, unread;
    int limit;
    json_t *rows;
    char next[64];
};

/* A store_item_page callback; items come by id. */
static void add_toner(void *arg, const struct store_item *item)
{
    struct stock_asked *a = arg;
    struct row r;
    size_t count = json_array_size(a->rows);
    if (a->unread || a->next[0] || (a->reorder && strstr(item->body, "\"reorder_g\":null")))
        return;
    json_t *toner = json_read_text(item->body), *row = row_of(a->view, item->id, toner, &r);
    const json_t *least = json_object_get(toner, "reorder_g");
    bool wanted = !a->reorder || (json_is_number(least) && r.grams < json_number_value(least));
    a->unread = !row;
    if (row && wanted && (int)count == a->limit)
        utf8_copy(a->next, sizeof a->next,
                  json_string_value(json_object_get(json_array_get(a->rows, count - 1), "toner")));
    else if (row && wanted)
        json_array_append(a->rows, row);
    json_decref(row);
    json_decref(toner);
}

/* On a helper thread: a bank of hundreds of toners with their lots is no work for the loop. */
static void run_list(struct inquiry *inquiry, struct store *view)
{
    struct stock_asked *a = (struct stock_asked *)(void *)inquiry;
    a->view = view;
    a->rows = json_array();
    /* Only for those to reorder all must be looked at; one more than the page tells that there are more. */
    const struct store_item_page page = {.kind = "toner", .after = a->after, .limit = a->reorder ? 0 : a->limit + 1};
    bool read = a->toner && (!a->after || strcmp(a->toner, a->after) > 0)
                    ? store_item_get(view, "toner", a->toner, 0, add_toner, a) != STORE_UNREAD
                    : a->toner || store_item_page(view, &page, add_toner, a);
    if (read && !a->unread)
        inquiry_answer(inquiry, json_pack("{s:O, s:o}", "stock", a->rows, "next", view_text(a->next)));
    else
        inquiry_unread(inquiry, view);
    json_decref(a->rows);
}

void method_stock_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault f = {0};
    struct stock_asked *a = inquiry_new(d, call, params, sizeof *a);
    if (!a)
        return;
    if (rpc_get_text(params, "toner", &a->toner, &f) && rpc_get_flag(params, "reorder", &a->reorder, &f) &&
        page_read(params, &a->limit, &a->after, &f))
        inquiry_start(&a->inquiry, a->reorder ? STORE_SLOW : STORE_QUICK, run_list);
    else
        inquiry_refuse(&a->inquiry, &f);
}

/* ---- stock.receive, stock.count ---- */

/* Grams of one lot in a row's list; 0: there is no such tin. */
static double lot_g(const json_t *row, const char *lot)
{
    size_t i;
    json_t *one;
    json_array_foreach(json_object_get(row, "lots"), i, one)
    {
        const char *name = json_string_value(json_object_get(one, "lot"));
        if (strcmp(name ? name : "", lot) == 0)
            return json_number_value(json_object_get(one, "grams"));
    }
    return 0;
}

/* The row as the move leaves it: what is told is what a look a moment later finds. */
static json_t *row_after(const json_t *row, const char *lot, double grams)
{
    json_t *after = json_deep_copy(row), *one;
    double whole = 0;
    bool found = false;
    size_t i;
    json_array_foreach(json_object_get(after, "lots"), i, one)
    {
        const char *name = json_string_value(json_object_get(one, "lot"));
        double has = json_number_value(json_object_get(one, "grams"));
        if (strcmp(name ? name : "", lot) == 0) {
            found = true;
            json_object_set_new(one, "grams", number_json(has + grams));
            has += grams;
        }
        whole += has;
    }
    if (!found) {
        whole += grams;
        json_array_append_new(json_object_get(after, "lots"), json_pack("{s:o, s:o, s:n}", "lot", view_text(lot),
                                                                        "grams", number_json(grams), "opened"));
    }
    json_object_set_new(after, "grams", number_json(whole));
    if (whole >= 0)
        json_object_del(after, "said");
    return after;
}

/* Without a lot a count is of all tins together, and what differs is booked to the first of them. */
static bool move_stock(struct errand *e, bool counts, struct fault *f)
{
    const char *id = json_string_value(json_object_get(e->params, "toner"));
    const char *given = json_string_value(json_object_get(e->params, "lot")), *lot = given ? given : "";
    double grams = json_number_value(json_object_get(e->params, "grams"));
    struct store *s = e->daemon->store;
    struct row r;
    json_t *toner = NULL;
    if (!(counts ? grams >= 0 : grams > 0) || grams > 1e9)
        return fault_said(f, FAULT_INVALID, "grams", "range", "stock_grams");
    if (utf8_count(lot) > 60 || strlen(lot) > 63)
        return fault_said(f, FAULT_INVALID, "lot", "long", "member_too_long field=%s most=%zu", "lot", (size_t)60);
    enum store_found found = store_item_get(s, "toner", id, 0, take_body, &toner);
    json_t *row = found == STORE_FOUND ? row_of(s, id, toner, &r) : NULL;
    json_decref(toner);
    if (found == STORE_NONE)
        return fault_said(f, FAULT_UNKNOWN, "toner", "unknown", "order_names_unknown field=%s given=%s", "toner", id);
    if (!row)
        return store_say_unread(s, f);
    const char *first = json_string_value(json_object_get(json_array_get(json_object_get(row, "lots"), 0), "lot"));
    if (counts && !given && first)
        lot = first;
    double had = given ? lot_g(row, lot) : isnan(r.grams) ? 0 : r.grams, moved = counts ? grams - had : grams;
    struct store_move move = {.toner = id, .lot = lot, .grams = moved};
    json_t *answer = row_after(row, lot, moved);
    json_t *body = json_pack("{s:s, s:s, s:o, s:o, s:O?}", "toner", id, "lot", lot, "grams", number_json(grams),
                             "moved_g", number_json(moved), "cost", json_object_get(e->params, "cost"));
    if (counts)
        json_object_set_new(answer, "difference_g", number_json(moved));
    bool good = errand_write(e, counts ? "stock.count" : "stock.receive", body, answer,
                             &(struct store_write){.moves = &move, .move_count = 1}, f);
    json_decref(row);
    return good;
}

static bool receive(struct errand *e, struct fault *f)
{
    return move_stock(e, false, f);
}

static bool count(struct errand *e, struct fault *f)
{
    return move_stock(e, true, f);
}

void method_stock_receive(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, receive);
}

void method_stock_count(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, count);
}

/* ---- stock.stir ---- */

enum { STIRS_MOST = 4096 };

struct stirring {
    struct store_stir *stir;
    size_t count;
    const char *time;
};

/* A store_item_page callback. The ids are copied, since a row lives no longer than its call. */
static void add_stir(void *arg, const struct store_item *item)
{
    struct stirring *s = arg;
    char *id = s->count < STIRS_MOST ? strdup(item->id) : NULL;
    if (id)
        s->stir[s->count++] = (struct store_stir){.toner = id, .time = s->time};
}

static bool stir(struct errand *e, struct fault *f)
{
    const char *id = json_string_value(json_object_get(e->params, "toner"));
    bool all = json_is_true(json_object_get(e->params, "all"));
    struct stirring s = {.stir = calloc(STIRS_MOST, sizeof *s.stir), .time = e->time};
    bool good = false;
    if (!id == !all)
        fault_said(f, FAULT_INVALID, "toner", "one_of", "stir_what");
    else if (!s.stir)
        fault_said(f, FAULT_INTERNAL, NULL, NULL, "no_memory");
    else if (all)
        good = store_item_page(e->daemon->store, &(struct store_item_page){.kind = "toner", .limit = STIRS_MOST},
                               add_stir, &s) ||
               store_say_unread(e->daemon->store, f);
    else
        good = store_item_get(e->daemon->store, "toner", id, 0, add_stir, &s) == STORE_FOUND ||
               fault_said(f, FAULT_UNKNOWN, "toner", "unknown", "order_names_unknown field=%s given=%s", "toner", id);
    good = good && errand_write(e, "stock.stir", json_pack("{s:s?, s:b}", "toner", id, "all", all),
                                json_pack("{s:s}", "time", e->time),
                                &(struct store_write){.stirs = s.stir, .stir_count = s.count}, f);
    for (size_t i = 0; i < s.count; i++)
        free((char *)(uintptr_t)s.stir[i].toner);
    free(s.stir);
    return good;
}

void method_stock_stir(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, stir);
}
