/* catalogue_methods.c - list, get, put and remove of toners, formulas, products, cups and panels. It must not know what
 * a thing holds: the catalogue reads, checks and writes it.
 */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

#include <string.h>

/* Answers a thing just looked up (takes it); `unread` is store_unread() from before. */
static void answer_thing(struct daemon *d, struct rpc_call *call, uint64_t unread, const char *field, const char *id,
                         json_t *thing)
{
    struct fault fault;

    if (!catalogue_was_read(d->store, unread, &fault)) {
        json_decref(thing);
        rpc_fail(call, &fault);
    } else if (!thing) {
        put_unknown(d, call, field, id);
    } else {
        rpc_answer(call, thing);
    }
}

/* ---- lists, off the loop: they grow with the shop ---- */

struct list_asked {
    struct inquiry inquiry;
    struct store_item_page page;
    const char *member;                  /* the list's name in the answer */
    void (*add)(json_t *thing);          /* to each row; NULL: nothing */
    json_t *(*row)(const json_t *thing); /* the row in place of the thing; NULL: the thing itself */
};

static void run_list(struct inquiry *inquiry, struct store *view)
{
    struct list_asked *a = (struct list_asked *)(void *)inquiry;
    uint64_t unread = store_unread(view);
    char next[ID_MAX];
    json_t *all = catalogue_page(view, &a->page, next), *thing;
    size_t i;

    if (store_unread(view) != unread) {
        inquiry_unread(inquiry, view);
        json_decref(all);
        return;
    }
    json_array_foreach(all, i, thing)
    {
        if (a->add)
            a->add(thing);
        if (a->row)
            json_array_set_new(all, i, a->row(thing));
    }
    inquiry_answer(inquiry, json_pack("{s:o,s:s?}", a->member, all, "next", next[0] ? next : NULL));
}

/* The list's params; limit 0: all that there are. Its text was looked at by its shape. */
static struct list_asked *new_list(struct daemon *d, struct rpc_call *call, const json_t *params, const char *kind,
                                   const char *member, int limit)
{
    struct list_asked *a = inquiry_new(d, call, params, sizeof *a);
    double asked = json_number_value(json_object_get(params, "limit")); /* 0: left out */

    if (!a)
        return NULL;
    a->page = (struct store_item_page){.kind = kind,
                                       .text = json_string_value(json_object_get(params, "text")),
                                       .after = json_string_value(json_object_get(params, "after")),
                                       .limit = asked > 0 ? (int)asked : limit};
    a->member = member;
    return a;
}

static void answer_list(struct daemon *d, struct rpc_call *call, const json_t *params, const char *kind,
                        const char *member, void (*add)(json_t *thing))
{
    struct list_asked *a = new_list(d, call, params, kind, member, 0);

    if (!a)
        return;
    a->add = add;
    inquiry_start(&a->inquiry, STORE_SLOW, run_list);
}

/* ---- toners ---- */

static const struct put_kind toner_kind = {"toner", "revision", false};
static const char *const toner_names[] = {"id", "toner", NULL};

void method_toner_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    answer_list(d, call, params, "toner", "toners", NULL);
}

void method_toner_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault;
    const char *id = put_id(params, toner_names, &fault);
    uint64_t unread = store_unread(d->store);

    if (id)
        answer_thing(d, call, unread, "id", id, catalogue_get(d->store, "toner", id, 0));
    else
        rpc_fail(call, &fault);
}

void method_toner_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct toner toner;
    struct fault fault;

    if (!toner_from_json(params, &toner, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    put_thing(d, call, params, &toner_kind, toner.id, toner_to_json(&toner));
}

void method_toner_remove(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct toner toner;
    struct fault fault;
    const char *id = put_id(params, toner_names, &fault);
    uint64_t unread = store_unread(d->store);

    if (!id)
        rpc_fail(call, &fault);
    else if (!catalogue_toner(d->store, id, &toner))
        answer_thing(d, call, unread, "id", id, NULL);
    else
        put_removal(d, call, params, "toner", toner.id); /* as it is written, whatever case was typed */
}

static const struct put_kind product_kind = {"product", "revision", false};
static const char *const product_names[] = {"product", "id", "code", NULL};

static void add_code(json_t *product)
{
    json_object_set(product, "code", json_object_get(product, "id"));
}

static json_t *with_code(json_t *product)
{
    if (product)
        add_code(product);
    return product;
}

void method_product_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    answer_list(d, call, params, "product", "products", add_code);
}

void method_product_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault;
    const char *id = put_id(params, product_names, &fault);
    uint64_t unread = store_unread(d->store);

    if (id)
        answer_thing(d, call, unread, "product", id, with_code(catalogue_get(d->store, "product", id, 0)));
    else
        rpc_fail(call, &fault);
}

void method_product_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    json_t *json = json_copy((json_t *)(uintptr_t)params);
    struct product product;
    struct fault fault;

    if (!json_is_string(json_object_get(json, "id")))
        json_object_set(json, "id", json_object_get(json, "code"));
    if (product_from_json(json, &product, &fault))
        put_thing(d, call, params, &product_kind, product.id, with_code(product_to_json(&product)));
    else
        rpc_fail(call, &fault);
    json_decref(json);
}

static const struct put_kind cup_put_kind = {"cup", "revision", false};

void method_cup_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    answer_list(d, call, params, "cup", "cups", NULL);
}

void method_cup_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct cup_kind cup;
    struct fault fault;

    if (cup_from_json(params, &cup, &fault))
        put_thing(d, call, params, &cup_put_kind, cup.id, shape_write(&cup_shape, &cup));
    else
        rpc_fail(call, &fault);
}

static const struct put_kind panel_kind = {"panel", "revision", false};

void method_panel_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    answer_list(d, call, params, "panel", "panels", NULL);
}

void method_panel_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct panel panel;
    struct fault fault;

    if (panel_from_json(params, &panel, &fault))
        put_thing(d, call, params, &panel_kind, panel.id, shape_write(&panel_shape, &panel));
    else
        rpc_fail(call, &fault);
}

/* ---- formulas: a put makes a new formula_revision; batches keep theirs ---- */

enum { FORMULAS_USUAL = 200 }; /* a page where a call names no limit */

static const struct put_kind formula_kind = {"formula", "formula_revision", true};
static const char *const code_names[] = {"formula", "code", NULL};

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

/* A row of the list: the formula with each coat as its name and variants, without parts. */
static json_t *row_of(const json_t *formula)
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
    return row;
}

void method_formula_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct list_asked *a = new_list(d, call, params, "formula", "formulas", FORMULAS_USUAL);

    if (!a)
        return;
    a->row = row_of;
    inquiry_start(&a->inquiry, STORE_SLOW, run_list);
}

void method_formula_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault;
    int64_t revision = (int64_t)json_number_value(json_object_get(params, "revision")); /* 0: the present one */
    const char *code = put_id(params, code_names, &fault);
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

void method_formula_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct formula formula;
    struct fault fault;

    if (!formula_from_json(params, &formula, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    if (formula_toners_known(d->store, &formula, &fault)) {
        formula.revision = 0; /* the store gives it */
        put_thing(d, call, params, &formula_kind, formula.code, formula_to_json(&formula));
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
    struct fault fault;
    const char *code = put_id(params, code_names, &fault);
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
