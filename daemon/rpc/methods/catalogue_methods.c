/* catalogue_methods.c - list, get, put and remove of toners, products, cups and panels. Formulas have their own file:
 * theirs keep every revision. It must not know what a thing holds: the catalogue reads, checks and writes it.
 */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

/* Answers a thing just looked up (takes it); `unread` is store_unread() from before. */
static void answer_thing(struct daemon *d, struct rpc_call *call, uint64_t unread, const char *field, const char *id,
                         json_t *thing)
{
    struct fault fault;

    if (!catalogue_was_read(d->store, unread, &fault)) {
        json_decref(thing);
        rpc_fail(call, &fault);
    } else if (!thing) {
        put_unknown(call, field, id);
    } else {
        rpc_answer(call, thing);
    }
}

/* All of a kind, or those that `text` finds, as the member `list` of the answer. */
static void answer_list(struct daemon *d, struct rpc_call *call, const char *kind, const char *text, const char *list,
                        void (*add)(json_t *thing))
{
    struct fault fault;
    uint64_t unread = store_unread(d->store);
    json_t *all = catalogue_list(d->store, kind, text), *thing;
    size_t i;

    if (!catalogue_was_read(d->store, unread, &fault)) {
        json_decref(all);
        rpc_fail(call, &fault);
        return;
    }
    if (add)
        json_array_foreach(all, i, thing) add(thing);
    rpc_answer(call, json_pack("{s:o}", list, all));
}

static const struct put_kind toner_kind = {"toner", "revision", false};
static const char *const toner_names[] = {"id", "toner", NULL};

void method_toner_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *text = json_string_value(json_object_get(params, "text"));

    answer_list(d, call, "toner", text, "toners", NULL);
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
        put_removal(d, call, params, "toner", id);
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
    const char *text = json_string_value(json_object_get(params, "text"));

    answer_list(d, call, "product", text, "products", add_code);
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
    (void)params;
    answer_list(d, call, "cup", NULL, "cups", NULL);
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
    (void)params;
    answer_list(d, call, "panel", NULL, "panels", NULL);
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
