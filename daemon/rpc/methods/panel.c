/* panel.c - panel.list, put: panels of vehicles with their areas. */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

static const struct put_kind kind = {"panel", "revision", false};

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
        put_thing(d, call, params, &kind, panel.id, shape_write(&panel_shape, &panel));
    else
        rpc_fail(call, &fault);
}
