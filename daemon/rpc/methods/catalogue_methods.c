/* catalogue_methods.c - list, get, put and remove of toners, formulas, products, cups and panels. It must not know what
 * a thing holds: the catalogue reads, checks and writes it.
 */
#include "catalogue/catalogue.h"
#include "catalogue/codes.h"
#include "catalogue/order.h"
#include "daemon.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"
#include "rpc/methods/thing_rows.h"
#include "text/json_write.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A kind of thing, as the calls of that noun name it. */
struct noun {
    struct put_kind put;
    const char *list;              /* the member of a list's answer */
    const char *names[4];          /* the members that may hold the id; the first is named where all are missing */
    json_t *(*row)(json_t *thing); /* a row of the list in place of the thing, which it takes; NULL: the thing itself */
};

/* A product is called by its code as well. Takes and gives the reference; NULL stays NULL. */
static json_t *with_code(json_t *product)
{
    if (product)
        json_object_set(product, "code", json_object_get(product, "id"));
    return product;
}

/* The variants of a coat in a row of the list; the coat is added where it is not there yet. Borrowed. */
static json_t *coat_of(json_t *coats, const char *name)
{
    size_t i;
    json_t *coat;

    json_array_foreach(coats, i, coat) if (strcmp(json_string_value(json_object_get(coat, "coat")), name) ==
                                           0) return json_object_get(coat, "variants");
    coat = json_pack("{s:s,s:[]}", "coat", name, "variants");
    json_array_append_new(coats, coat);
    return json_object_get(coat, "variants");
}

/* A row of the list: the formula with each coat as its name and variants, without parts. Takes the
 * formula. */
static json_t *formula_row(json_t *formula)
{
    static const char *const kept[] = {"code", "name", "finish", "line", "variants", "formula_revision", "date"};
    json_t *row = json_object(), *coats = json_array(), *coat;
    size_t i;

    for (i = 0; i < sizeof kept / sizeof *kept; i++)
        json_object_set(row, kept[i], json_object_get(formula, kept[i]));
    json_array_foreach(json_object_get(formula, "coats"), i, coat)
    {
        const char *name = json_string_value(json_object_get(coat, "coat"));

        if (name)
            json_array_append(coat_of(coats, name), json_object_get(coat, "variant"));
    }
    json_object_set_new(row, "coats", coats);
    json_decref(formula);
    return row;
}

/* A formula alone has a date and a reason with each revision: batches keep the one they were begun by. */
static const struct noun toners = {{"toner", "revision", false, NULL}, "toners", {"id", "toner"}, NULL},
                         products = {{"product", "revision", false, NULL},
                                     "products",
                                     {"product", "id", "code"},
                                     with_code},
                         cups = {{"cup", "revision", false, NULL}, "cups", {"id"}, NULL},
                         panels = {{"panel", "revision", false, NULL}, "panels", {"id"}, NULL},
                         formulas = {
                             {"formula", "formula_revision", true, NULL}, "formulas", {"formula", "code"}, formula_row};

/* ---- lists, off the loop: they grow with the shop ---- */

/* Texts of the page are borrowed from params. */
struct list_asked {
    struct inquiry inquiry;
    const struct noun *noun;
    struct store_item_page page;
    bool late;    /* too many bear those words */
    bool as_read; /* in the order of the files */
    struct thing_rows rows;
};

enum { LIST_MOST_MS = 200 }; /* on the lane of reports, where no search of batches waits behind it */

static void add_row(void *arg, json_t *thing)
{
    struct list_asked *a = arg;
    char id[ID_MAX];

    snprintf(id, sizeof id, "%s", a->as_read ? json_string_value(json_object_get(thing, "id")) : "");
    thing_rows_add(&a->rows, id, a->noun->row ? a->noun->row(thing) : thing);
}

/* On a helper thread: the rows are read, checked by today's tables and worded there. */
static void run_list(struct inquiry *inquiry, struct store *view)
{
    struct list_asked *a = (struct list_asked *)(void *)inquiry;
    uint64_t unread = store_unread(view);
    char next[ID_MAX];
    json_t *order = a->as_read ? order_kept(view, a->page.kind) : NULL;

    thing_rows_begin(&a->rows, a->noun->list, a->as_read ? order_places(order) : NULL);
    catalogue_page(view, &a->page, add_row, a, next);
    if (store_unread(view) != unread)
        inquiry_unread(inquiry, view);
    else if (a->late)
        fault_said(&inquiry->fault, FAULT_STATE, NULL, "slow", "list_slow");
    else
        inquiry_answer_text(inquiry, thing_rows_end(&a->rows, next));
    thing_rows_drop(&a->rows);
    json_decref(order);
}

/* Starts a list; limit 0: all that there are. Its members were looked at by their shape. */
static void list(struct daemon *d, struct rpc_call *call, const json_t *params, const struct noun *noun, int limit)
{
    struct list_asked *a = inquiry_new(d, call, params, sizeof *a);
    double asked = json_number_value(json_object_get(params, "limit")); /* 0: left out */

    if (!a)
        return;
    a->page = (struct store_item_page){.kind = noun->put.kind,
                                       .text = json_string_value(json_object_get(params, "text")),
                                       .after = json_string_value(json_object_get(params, "after")),
                                       .limit = asked > 0 ? (int)asked : limit};
    if (a->page.text) {
        a->page.most_ms = LIST_MOST_MS;
        a->page.late = &a->late;
    }
    a->noun = noun;
    a->as_read = json_is_true(json_object_get(params, "as_read"));
    inquiry_start(&a->inquiry, STORE_SLOW, run_list);
}

/* Toners, products, cups and panels come all at once where no `limit` is given: a shop has hundreds, and a client shows
 * them as one bank. */
void method_toner_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    list(d, call, params, &toners, 0);
}

void method_product_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    list(d, call, params, &products, 0);
}

void method_cup_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    list(d, call, params, &cups, 0);
}

void method_panel_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    list(d, call, params, &panels, 0);
}

void method_formula_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    enum { USUAL = 200 }; /* formulas a page where a call names no limit: a shop keeps many thousands */

    list(d, call, params, &formulas, USUAL);
}

/* ---- one thing: short, so on the loop ---- */

/* Answers a thing just looked up (takes it); `unread` is store_unread() from before. */
static void answer_thing(struct daemon *d, struct rpc_call *call, uint64_t unread, const char *field, const char *id,
                         json_t *thing)
{
    struct fault fault = {0};

    if (!catalogue_was_read(d->store, unread, &fault)) {
        json_decref(thing);
        rpc_fail(call, &fault);
    } else if (!thing) {
        put_unknown(d, call, field, id);
    } else {
        rpc_answer(call, thing);
    }
}

/* The present one by its id. */
static void get(struct daemon *d, struct rpc_call *call, const json_t *params, const struct noun *noun)
{
    struct fault fault = {0};
    const char *id = put_id(params, noun->names, &fault);
    uint64_t unread = store_unread(d->store);
    json_t *thing = id ? catalogue_get(d->store, noun->put.kind, id, 0) : NULL;

    if (id)
        answer_thing(d, call, unread, noun->names[0], id, thing && noun->row ? noun->row(thing) : thing);
    else
        rpc_fail(call, &fault);
}

/* Checked and made whole by the catalogue's table of the kind. Takes the reference to what is to be kept, which may be
 * more than params. */
static void put(struct daemon *d, struct rpc_call *call, const json_t *params, const struct noun *noun, json_t *given)
{
    struct fault fault = {0};
    json_t *thing = catalogue_shape(noun->put.kind, given, &fault);

    if (thing)
        put_thing(d, call, params, &noun->put, json_string_value(json_object_get(thing, "id")),
                  noun->row ? noun->row(thing) : thing);
    else
        rpc_fail(call, &fault);
    json_decref(given);
}

/* `get` answers what a put takes, so what was read may be changed and sent back. */
void method_toner_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    get(d, call, params, &toners);
}

void method_product_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    get(d, call, params, &products);
}

/* The code does for the id. */
void method_product_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    json_t *given = json_copy((json_t *)(uintptr_t)params);

    if (!json_is_string(json_object_get(given, "id")))
        json_object_set(given, "id", json_object_get(given, "code"));
    put(d, call, params, &products, given);
}

void method_cup_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    put(d, call, params, &cups, json_copy((json_t *)(uintptr_t)params));
}

void method_panel_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    put(d, call, params, &panels, json_copy((json_t *)(uintptr_t)params));
}

/* ---- a toner kept: whether another bears one of its codes is looked up off the loop ---- */

struct codes_asked {
    struct inquiry inquiry;
    json_t *thing;         /* owned */
    struct file_item item; /* the same, as codes_free takes it; its body owned */
    bool free;
    uint64_t puts_ended; /* when the look began */
};

/* On the helper thread: nothing is written, and nothing of the daemon is touched. */
static void run_codes(struct inquiry *inquiry, struct store *view)
{
    struct codes_asked *a = (struct codes_asked *)(void *)inquiry;
    uint64_t unread = store_unread(view);

    a->free = a->item.body && codes_free(view, &a->item, 1, &inquiry->fault);
    if (!a->item.body)
        fault_said(&inquiry->fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    else if (store_unread(view) != unread) {
        a->free = false;
        inquiry_unread(inquiry, view);
    }
}

static void look_at_codes(struct daemon *d, struct rpc_call *call, const json_t *params, json_t *thing);

/* A put that was on its way meanwhile may have taken the code: then the look is done again. */
static void finish_codes(struct inquiry *inquiry)
{
    struct codes_asked *a = (struct codes_asked *)(void *)inquiry;
    struct daemon *d = inquiry->daemon;
    bool moved = put_on_its_way(d, "toner") || d->puts_ended != a->puts_ended;

    if (!a->free)
        rpc_fail(inquiry->call, &inquiry->fault);
    else if (moved)
        look_at_codes(d, inquiry->call, inquiry->params, json_incref(a->thing));
    else
        put_thing(d, inquiry->call, inquiry->params, &toners.put, a->item.id, json_incref(a->thing));
    json_decref(a->thing);
    free(a->item.body);
}

/* Takes the thing, which is whole by now: what is looked at is what would be kept. */
static void look_at_codes(struct daemon *d, struct rpc_call *call, const json_t *params, json_t *thing)
{
    struct codes_asked *a = inquiry_new(d, call, params, sizeof *a);

    if (!a) {
        json_decref(thing);
        return;
    }
    a->thing = thing;
    a->puts_ended = d->puts_ended;
    a->item.body = json_write(thing, JSON_COMPACT);
    snprintf(a->item.kind, sizeof a->item.kind, "toner");
    snprintf(a->item.id, sizeof a->item.id, "%s", json_string_value(json_object_get(thing, "id")));
    a->inquiry.finish = finish_codes;
    inquiry_start(&a->inquiry, STORE_SLOW, run_codes);
}

/* A toner without codes, as most are, needs no look and is written at once. */
void method_toner_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault = {0};
    json_t *thing = catalogue_shape("toner", params, &fault);

    if (!thing)
        rpc_fail(call, &fault);
    else if (json_array_size(json_object_get(thing, "codes")) == 0)
        put_thing(d, call, params, &toners.put, json_string_value(json_object_get(thing, "id")), thing);
    else
        look_at_codes(d, call, params, thing);
}

/* ---- a toner taken off the bank: who names it is looked up off the loop, then the removal is written ---- */

struct removal_asked {
    struct inquiry inquiry;
    char toner[ID_MAX]; /* as it is written, whatever case was typed */
    bool named;         /* or nobody knows: inquiry.fault says which */
};

/* A put of a formula that is still on its way to the disk is not seen; the next plan of that formula then says that the
 * toner is unknown. */
static void run_removal(struct inquiry *inquiry, struct store *view)
{
    struct removal_asked *a = (struct removal_asked *)(void *)inquiry;
    uint64_t unread = store_unread(view);
    char by[ID_MAX];

    a->named = catalogue_names_toner(view, a->toner, by);
    if (a->named) {
        fault_said(&inquiry->fault, FAULT_INVALID, toners.names[0], "used", "toner_used toner=%s by=%s", a->toner, by);
    } else if (store_unread(view) != unread) {
        a->named = true;
        inquiry_unread(inquiry, view);
    }
}

/* On the loop again, where writes are submitted. */
static void finish_removal(struct inquiry *inquiry)
{
    const struct removal_asked *a = (const struct removal_asked *)(const void *)inquiry;

    if (a->named)
        rpc_fail(inquiry->call, &inquiry->fault);
    else
        put_removal(inquiry->daemon, inquiry->call, inquiry->params, "toner", a->toner);
}

/* What a formula or a product names stays: without it neither could be planned any more. */
void method_toner_remove(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct toner toner;
    struct fault fault = {0};
    const char *id = put_id(params, toners.names, &fault);
    uint64_t unread = store_unread(d->store);

    if (!id) {
        rpc_fail(call, &fault);
    } else if (!catalogue_toner(d->store, id, &toner)) {
        answer_thing(d, call, unread, "id", id, NULL);
    } else {
        struct removal_asked *a = inquiry_new(d, call, params, sizeof *a);
        if (!a)
            return;
        snprintf(a->toner, sizeof a->toner, "%s", toner.id);
        a->inquiry.finish = finish_removal;
        inquiry_start(&a->inquiry, STORE_SLOW, run_removal);
    }
}

/* ---- formulas: a put makes a new formula_revision; batches keep theirs ---- */

/* A revision that is not there is told apart from a formula that is not. */
void method_formula_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault = {0};
    int64_t revision = (int64_t)json_number_value(json_object_get(params, "revision")); /* 0: the present one */
    const char *code = put_id(params, formulas.names, &fault);
    json_t *formula, *present = NULL;
    uint64_t unread = store_unread(d->store);

    if (!code) {
        rpc_fail(call, &fault);
        return;
    }
    formula = catalogue_get(d->store, "formula", code, revision);
    if (!formula && revision > 0)
        present = catalogue_get(d->store, "formula", code, 0);
    if (formula)
        rpc_answer(call, formula);
    else if (!catalogue_was_read(d->store, unread, &fault))
        rpc_fail(call, &fault);
    else if (present)
        put_unknown(d, call, "revision", code);
    else
        put_unknown(d, call, "formula", code);
    json_decref(present);
}

/* A toner that nothing describes is refused: it has no density, no caution, and may be a typing error. */
void method_formula_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct formula formula;
    struct fault fault = {0};

    if (!formula_from_json(params, &formula, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    if (formula_toners_known(d->store, &formula, &fault)) {
        formula.revision = 0; /* the store gives it */
        put_thing(d, call, params, &formulas.put, formula.code, formula_to_json(&formula));
    } else {
        rpc_fail(call, &fault);
    }
    formula_finish(&formula);
}

/* A formula as given, or one of the store by its code. */
void method_formula_check(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    bool given = json_is_array(json_object_get(params, "coats"));
    struct formula formula;
    struct fault fault = {0};
    const char *code = put_id(params, formulas.names, &fault);
    uint64_t unread = store_unread(d->store);
    json_t *warnings;

    if (!code || (given && !formula_from_json(params, &formula, &fault))) {
        rpc_fail(call, &fault);
        return;
    }
    if (!given && !catalogue_formula(d->store, code, 0, &formula)) {
        if (catalogue_was_read(d->store, unread, &fault))
            put_unknown(d, call, "formula", code);
        else
            rpc_fail(call, &fault);
        return;
    }
    warnings = formula_check(d->store, &formula);
    if (catalogue_was_read(d->store, unread, &fault)) {
        rpc_answer(call, json_pack("{s:s,s:o}", "formula", formula.code, "warnings", warnings));
    } else {
        json_decref(warnings);
        rpc_fail(call, &fault);
    }
    formula_finish(&formula);
}
