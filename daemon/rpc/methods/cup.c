/* cup.c - cup.list, put: kinds of cups, with what they hold and weigh. */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

static const struct put_kind kind = {"cup", "revision", false};

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
        put_thing(d, call, params, &kind, cup.id, shape_write(&cup_shape, &cup));
    else
        rpc_fail(call, &fault);
}
