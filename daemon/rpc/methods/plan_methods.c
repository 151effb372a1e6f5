/* plan_methods.c - mix.plan: of one batch, or of an order with all its coats. It must not know how either is worked
 * out.
 */
#include "rpc/methods/layers.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/plans.h"

/* Whether an order is asked for and nothing else that could be mixed. */
static bool is_whole_order(const json_t *params)
{
    static const char *const one[] = {"coat_n", "formula", "product", "repeat"};
    for (size_t i = 0; i < sizeof one / sizeof *one; i++) {
        const json_t *given = json_object_get(params, one[i]);
        if (given && !json_is_null(given))
            return false;
    }
    return json_is_string(json_object_get(params, "order"));
}

void method_mix_plan(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *station = json_string_value(json_object_get(params, "station"));
    struct fault f = {0};
    if (station && !method_bench(d, call, params))
        return;
    if (is_whole_order(params)) {
        layers_plan(d, call, params);
        return;
    }
    json_t *plan = plans_make(d, plans_station(d, station), params, NULL, NULL, &f);
    if (plan)
        rpc_answer(call, plan);
    else
        rpc_fail(call, &f);
}
