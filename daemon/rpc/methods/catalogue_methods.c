/* catalogue_methods.c - list, get, put and remove of toners, products, cups and panels. Formulas have their own file:
 * theirs keep every revision. It must not know what a thing holds: the catalogue reads, checks and writes it.
 */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

static const struct put_kind toner_kind = {"toner", "revision", false};
static const char *const toner_names[] = {"id", "toner", NULL};

void method_toner_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *text = json_string_value(json_object_get(params, "text"));

    rpc_answer(call, json_pack("{s:o}", "toners", catalogue_list(d->store, "toner", text)));
}

void method_toner_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault;
    const char *id = put_id(params, toner_names, &fault);
    json_t *toner = id ? catalogue_get(d->store, "toner", id, 0) : NULL;

    if (!id)
        rpc_fail(call, &fault);
    else if (!toner)
        put_unknown(call, "id", id);
    else
        rpc_answer(call, toner);
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

    if (!id)
        rpc_fail(call, &fault);
    else if (!catalogue_toner(d->store, id, &toner))
        put_unknown(call, "id", id);
    else
        put_removal(d, call, params, "toner", id);
}

static const struct put_kind product_kind = {"product", "revision", false};
static const char *const product_names[] = {"product", "id", "code", NULL};

static json_t *with_code(json_t *product)
{
    if (product)
        json_object_set(product, "code", json_object_get(product, "id"));
    return product;
}

void method_product_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *text = json_string_value(json_object_get(params, "text"));
    json_t *list = catalogue_list(d->store, "product", text), *product;
    size_t i;

    json_array_foreach(list, i, product) with_code(product);
    rpc_answer(call, json_pack("{s:o}", "products", list));
}

void method_product_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault;
    const char *id = put_id(params, product_names, &fault);
    json_t *product = id ? with_code(catalogue_get(d->store, "product", id, 0)) : NULL;

    if (!id)
        rpc_fail(call, &fault);
    else if (!product)
        put_unknown(call, "product", id);
    else
        rpc_answer(call, product);
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
    rpc_answer(call, json_pack("{s:o}", "cups", catalogue_list(d->store, "cup", NULL)));
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
    rpc_answer(call, json_pack("{s:o}", "panels", catalogue_list(d->store, "panel", NULL)));
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
