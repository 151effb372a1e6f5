/* product.c - product.list, get, put. A product's id is its code too. */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

static const struct put_kind kind = {"product", "revision", false};
static const char *const id_names[] = {"product", "id", "code", NULL};

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
    const char *id = put_id(params, id_names, &fault);
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
        put_thing(d, call, params, &kind, product.id, with_code(product_to_json(&product)));
    else
        rpc_fail(call, &fault);
    json_decref(json);
}
