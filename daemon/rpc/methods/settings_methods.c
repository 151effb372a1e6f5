/* settings_methods.c - what of poised.ini is changed at a screen: settings.list and settings.put. It must not know
 * which keys those are. */
#include "bench/bench.h"
#include "config_settings.h"
#include "daemon.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

void method_settings_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)params;
    rpc_answer(call, json_pack("{s:o}", "settings", settings_list(&d->config)));
}

/* A put_kind's kept: on disk, so from now on it holds. */
static void apply(struct daemon *d, const json_t *thing)
{
    settings_apply(&d->config, json_string_value(json_object_get(thing, "key")), json_object_get(thing, "value"));
    bench_settings_changed(d);
}

/* The row is made before it is kept, since a repeat of the request gets the same. */
void method_settings_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    static const struct put_kind kind = {.kind = "setting", .kept = apply};
    const char *key = json_string_value(json_object_get(params, "key"));
    json_t *value = json_object_get(params, "value");
    struct fault fault = {0};
    if (!value)
        value = json_null(); /* its default again */
    json_t *row = settings_try(&d->config, key, value, &fault);
    if (row)
        put_answered(d, call, params, &kind, key, json_pack("{s:s, s:O}", "key", key, "value", value), row);
    else
        rpc_fail(call, &fault);
}
