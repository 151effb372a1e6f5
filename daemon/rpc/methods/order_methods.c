/* order_methods.c - order.put, order.get, order.list: what a vehicle is to be painted with, coat by coat. It must not
 * know how a coat is mixed: batch.begin with `order` and `coat_n` does. */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/errand.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/orders.h"
#include "rpc/methods/paging.h"
#include "station/batch_record.h"
#include "station/event.h"
#include "text/json_read.h"
#include "text/json_write.h"
#include "text/timestamp.h"
#include "text/utf8.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { COATS_MOST = 20, PANELS_MOST = 64 };

/* A store_item_get callback: the body as it was put. */
static void take_body(void *arg, const struct store_item *item)
{
    *(json_t **)arg = json_read_text(item->body);
}

/* ---- order.put ---- */

/* Members of an object as they were given, and what stands for one left out. */
static void copy_members(json_t *to, const json_t *from, const char *const names[])
{
    for (; *names; names++) {
        json_t *value = json_object_get(from, *names);
        json_object_set(to, *names, value ? value : json_null());
    }
}

/* PANEL with what is left out made plain. */
static json_t *panel_of(const json_t *given)
{
    json_t *panel = json_object(), *coats = json_object_get(given, "coats"),
           *share = json_object_get(given, "share_pct");
    copy_members(panel, given, (const char *const[]){"name", "area_m2", NULL});
    json_object_set_new(panel, "coats", json_is_number(coats) ? json_incref(coats) : json_integer(2));
    json_object_set_new(panel, "share_pct", json_is_number(share) ? json_incref(share) : json_integer(100));
    json_object_set_new(panel, "edges", json_boolean(json_is_true(json_object_get(given, "edges"))));
    return panel;
}

/* Whether the shop has such a thing; a text left out is fine. False: -32001 with `field`. */
static bool known(struct errand *e, const char *kind, const json_t *of, struct fault *f)
{
    const char *id = json_string_value(json_object_get(of, kind));
    json_t *body = NULL;
    if (!id)
        return true;
    enum store_found found = store_item_get(e->daemon->store, kind, id, 0, take_body, &body);
    json_decref(body);
    if (found == STORE_UNREAD)
        return store_say_unread(e->daemon->store, f);
    return found == STORE_FOUND ||
           fault_said(f, FAULT_UNKNOWN, kind, "unknown", "order_names_unknown field=%s given=%s", kind, id);
}

/* What stood there before stands, though the formula may have lost it since. was NULL: nothing did. */
static bool coat_known(struct errand *e, const json_t *was, const json_t *given, struct fault *f)
{
    const char *formula = json_string_value(json_object_get(given, "formula"));
    bool same = was != NULL;
    for (const char *const *m = (const char *const[]){"formula", "coat", "variant", NULL}; same && *m; m++)
        same = json_equal(json_object_get(was, *m), json_object_get(given, *m));
    return same || !formula ||
           catalogue_coat_known(e->daemon->store, formula, json_string_value(json_object_get(given, "coat")),
                                json_string_value(json_object_get(given, "variant")), f);
}

/* A coat is a formula's, a product, or both (a product that takes its ratio to the formula). was: what stood in its
 * place; NULL: nothing. */
static bool add_coat(struct errand *e, json_t *coats, const json_t *was, const json_t *given, struct fault *f)
{
    static const char *const members[] = {"coat", "formula", "variant",      "product", "grams",
                                          "mids", "film_um", "transfer_pct", "loss_ml", NULL};
    const json_t *panels = json_object_get(given, "panels"), *panel;
    size_t i;
    if (!json_is_string(json_object_get(given, "formula")) && !json_is_string(json_object_get(given, "product")))
        return fault_said(f, FAULT_INVALID, "coats", "missing", "coat_of_what n=%zu", json_array_size(coats) + 1);
    if (json_array_size(panels) > PANELS_MOST)
        return fault_said(f, FAULT_INVALID, "coats", "many", "member_many field=%s most=%d", "panels", PANELS_MOST);
    if (!known(e, "formula", given, f) || !known(e, "product", given, f) || !coat_known(e, was, given, f))
        return false;
    json_t *coat = json_object(), *list = json_array();
    copy_members(coat, given, members);
    json_object_set_new(coat, "control_coat", json_boolean(json_is_true(json_object_get(given, "control_coat"))));
    json_array_foreach(panels, i, panel) json_array_append_new(list, panel_of(panel));
    json_object_set_new(coat, "panels", list);
    json_array_append_new(coats, coat);
    return true;
}

/* What was mixed already stays as it was mixed. was NULL: a new order. */
static bool used_stay(const json_t *was, const json_t *coats, struct fault *f)
{
    static const char *const same[] = {"coat", "formula", "variant", "product", NULL};
    size_t i;
    json_t *old;
    json_array_foreach(json_object_get(was, "coats"), i, old)
    {
        const json_t *now = json_array_get(coats, i);
        bool stays = now || order_coat_batches(was, i) == 0;
        for (const char *const *m = same; stays && order_coat_batches(was, i) > 0 && *m; m++)
            stays = json_equal(json_object_get(old, *m), json_object_get(now, *m));
        if (!stays)
            return fault_said(f, FAULT_INVALID, "coats", "used", "coat_used n=%zu", i + 1);
    }
    return true;
}

/* The words that an order is found by: its name, vehicle, painter and colours. */
static void found_by(const json_t *order, char *out, size_t size)
{
    static const char *const names[] = {"order", "vehicle", "painter", NULL};
    size_t i, used = 0;
    json_t *coat;
    out[0] = '\0';
    for (const char *const *m = names; *m; m++) {
        const char *text = json_string_value(json_object_get(order, *m));
        used += (size_t)snprintf(out + used, size - used, "%s ", text ? text : "");
    }
    json_array_foreach(json_object_get(order, "coats"), i, coat)
    {
        const char *text = json_string_value(json_object_get(coat, "formula"));
        if (text && used + strlen(text) + 2 < size)
            used += (size_t)snprintf(out + used, size - used, "%s ", text);
    }
}

/* What a put makes of its params; *was is the order as it stands with its states, NULL: there is none. False: *fault,
 * and *order is the caller's all the same. */
static bool order_of(struct errand *e, const json_t *was, json_t *order, struct fault *f)
{
    const json_t *given = json_object_get(e->params, "coats"), *coat, *begun = json_object_get(was, "begun"),
                 *before = json_object_get(was, "coats");
    const char *due = json_string_value(json_object_get(e->params, "due"));
    json_t *coats = json_array();
    size_t i;
    copy_members(order, e->params, (const char *const[]){"order", "vehicle", "painter", "due", "card", NULL});
    json_object_set_new(order, "coats", coats);
    json_object_set_new(order, "closed", json_boolean(json_is_true(json_object_get(e->params, "closed"))));
    json_object_set_new(order, "begun", begun ? json_deep_copy(begun) : json_string(e->time));
    if (due && !timestamp_is_day(due))
        return fault_said(f, FAULT_INVALID, "due", "date", "member_not_day field=%s given=%s", "due", due);
    if (json_array_size(given) > COATS_MOST)
        return fault_said(f, FAULT_INVALID, "coats", "many", "member_many field=%s most=%d", "coats", COATS_MOST);
    json_array_foreach(given, i, coat) if (!add_coat(e, coats, json_array_get(before, i), coat, f)) return false;
    return known(e, "card", e->params, f) && used_stay(was, coats, f);
}

/* The order as it stands, NULL: there is none. False: it could not be read. */
static bool present(struct errand *e, const char *id, json_t **was, struct fault *f)
{
    struct store *s = e->daemon->store;
    *was = NULL;
    if (store_item_get(s, STORE_JOB, id, 0, take_body, was) != STORE_UNREAD &&
        (!*was || order_complete(s, *was, e->daemon->config.currency)))
        return true;
    json_decref(*was);
    *was = NULL;
    return store_say_unread(s, f);
}

/* Stored as it was put; the answer has the states of its coats beside it, which follow from their batches. */
static bool write_order(struct errand *e, const char *id, json_t *order, struct fault *f)
{
    char words[1024], *body = json_write(order, JSON_COMPACT);
    found_by(order, words, sizeof words);
    bool closed = json_is_true(json_object_get(order, "closed"));
    struct store_item item = {
        .kind = STORE_JOB, .id = id, .time = e->time, .body = body, .text = words, .about = closed ? NULL : STORE_OPEN};
    json_t *answer = json_deep_copy(order);
    bool good = answer && body && order_complete(e->daemon->store, answer, e->daemon->config.currency);
    if (!good) {
        json_decref(answer);
        free(body);
        return fault_said(f, FAULT_INTERNAL, NULL, NULL, "no_memory");
    }
    good = errand_write(e, "order.put", json_incref(order), answer,
                        &(struct store_write){.items = &item, .item_count = 1}, f);
    free(body);
    return good;
}

/* The name of an order is whatever the shop calls it, so it is bounded by what a screen shows. */
static bool put_order(struct errand *e, struct fault *f)
{
    const char *id = json_string_value(json_object_get(e->params, "order"));
    json_t *was, *order = json_object();
    if (utf8_count(id) > EVENT_NAME_CHARACTERS) {
        json_decref(order);
        return fault_said(f, FAULT_INVALID, "order", "long", "name_too_long field=%s most=%d", "order",
                          EVENT_NAME_CHARACTERS);
    }
    bool good = present(e, id, &was, f) && order_of(e, was, order, f) && write_order(e, id, order, f);
    json_decref(was);
    json_decref(order);
    return good;
}

void method_order_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    errand_start(d, call, params, put_order);
}

/* ---- order.get, order.list ---- */

/* Texts are borrowed from params. */
struct orders_asked {
    struct inquiry inquiry;
    struct store *view;
    char currency[8];
    const char *id, *text, *after;
    bool open, unread;
    int limit;
    json_t *orders;
    int64_t last;
    char next[STORE_NUMBER];
};

/* An order that was never put is -32001, also where batches bear its name as free text. */
static void run_get(struct inquiry *inquiry, struct store *view)
{
    struct orders_asked *a = (struct orders_asked *)(void *)inquiry;
    json_t *order = NULL;
    enum store_found found = store_item_get(view, STORE_JOB, a->id, 0, take_body, &order);
    if (found == STORE_FOUND && order && order_complete(view, order, a->currency)) {
        inquiry_answer(inquiry, order);
        return;
    }
    json_decref(order);
    if (found == STORE_NONE)
        fault_said(&inquiry->fault, FAULT_UNKNOWN, "order", "unknown", "order_unknown order=%s", a->id);
    else
        inquiry_unread(inquiry, view);
}

/* A store_item_newest callback. */
static bool add_order(void *arg, const struct store_item *item, int64_t place)
{
    struct orders_asked *a = arg;
    json_t *order = json_read_text(item->body);
    if (a->open && json_is_true(json_object_get(order, "closed"))) {
        json_decref(order);
        return true;
    }
    if ((int)json_array_size(a->orders) == a->limit) {
        snprintf(a->next, sizeof a->next, "%" PRId64, a->last);
        json_decref(order);
        return false;
    }
    a->last = place;
    json_array_append_new(a->orders, order);
    return true;
}

/* States are looked up for the orders of this page alone. */
static void run_list(struct inquiry *inquiry, struct store *view)
{
    struct orders_asked *a = (struct orders_asked *)(void *)inquiry;
    size_t i;
    json_t *order;
    a->orders = json_array();
    const struct store_newest newest = {.kind = STORE_JOB,
                                        .text = a->text,
                                        .about = a->open ? STORE_OPEN : NULL,
                                        .after = a->after ? strtoll(a->after, NULL, 10) : 0};
    bool read = store_item_newest(view, &newest, add_order, a);
    json_array_foreach(a->orders, i, order) read = read && order_complete(view, order, a->currency);
    if (read)
        inquiry_answer(inquiry, json_pack("{s:O, s:o}", "orders", a->orders, "next", view_text(a->next)));
    else
        inquiry_unread(inquiry, view);
    json_decref(a->orders);
}

/* Without a text only a flag and a page are asked. */
static void start(struct daemon *d, struct rpc_call *call, const json_t *params,
                  void (*run)(struct inquiry *r, struct store *view))
{
    struct fault f = {0};
    struct orders_asked *a = inquiry_new(d, call, params, sizeof *a);
    if (!a)
        return;
    a->open = true;
    a->id = json_string_value(json_object_get(params, "order"));
    utf8_copy(a->currency, sizeof a->currency, d->config.currency);
    if (rpc_get_text(params, "text", &a->text, &f) && rpc_get_flag(params, "open", &a->open, &f) &&
        page_read(params, &a->limit, &a->after, &f))
        /* The open ones are led to; else all orders ever may be looked through. */
        inquiry_start(&a->inquiry, run == run_list && (a->text || !a->open) ? STORE_SLOW : STORE_QUICK, run);
    else
        inquiry_refuse(&a->inquiry, &f);
}

void method_order_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    start(d, call, params, run_get);
}

void method_order_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    start(d, call, params, run_list);
}
