/* toner_methods.c - toner.list, get, put, remove. It must not know what a toner holds: the catalogue does. */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

static const struct put_kind kind = {"toner", "revision", false};
static const char *const id_names[] = {"id", "toner", NULL};

void method_toner_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *text = json_string_value(json_object_get(params, "text"));

    rpc_answer(call, json_pack("{s:o}", "toners", catalogue_list(d->store, "toner", text)));
}

void method_toner_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault;
    const char *id = put_id(params, id_names, &fault);
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
    put_thing(d, call, params, &kind, toner.id, toner_to_json(&toner));
}

void method_toner_remove(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct toner toner;
    struct fault fault;
    const char *id = put_id(params, id_names, &fault);

    if (!id)
        rpc_fail(call, &fault);
    else if (!catalogue_toner(d->store, id, &toner))
        put_unknown(call, "id", id);
    else
        put_removal(d, call, params, "toner", id);
}
