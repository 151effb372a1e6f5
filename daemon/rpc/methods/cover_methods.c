/* cover_methods.c - mix.spread, mix.voc, mix.voc_stages: how far a mix goes, and what of it evaporates.
 *
 * Reads and checks members only; the arithmetic is mix/quantity.h and mix/voc.h.
 */
#include "mix/quantity.h"
#include "mix/voc.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/numbers.h"

#include <math.h>

void method_mix_spread(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    double area = NAN, coats = NAN, film = NAN, solids = NAN, transfer = NAN, loss = 0;
    struct mix_refusal no = MIX_REFUSAL_NONE;
    struct mix_spread out = {NAN, NAN};
    struct fault fault;

    (void)d;
    if (!rpc_get_number(params, "area_m2", &area, &fault) || !rpc_get_number(params, "coats", &coats, &fault) ||
        !rpc_get_number(params, "film_um", &film, &fault) ||
        !rpc_get_number(params, "solids_vol_pct", &solids, &fault) ||
        !rpc_get_number(params, "transfer_pct", &transfer, &fault) ||
        !rpc_get_number(params, "loss_ml", &loss, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_check_above_0(&no, "area_m2", area);
    mix_check_above_0(&no, "coats", coats);
    mix_check_above_0(&no, "film_um", film);
    mix_check_pct_above_0(&no, "solids_vol_pct", solids);
    mix_check_pct_above_0(&no, "transfer_pct", transfer);
    mix_check_not_below_0(&no, "loss_ml", loss);
    if (!numbers_good(&no, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_spread(area, coats, film, solids, transfer, loss, &out);
    rpc_answer(call,
               json_pack("{s:o,s:o}", "volume_ml", number_json(out.volume_ml), "m2_per_l", number_json(out.m2_per_l)));
}

static bool component(const json_t *entry, struct mix_voc_part *part, struct mix_refusal *no, struct fault *fault)
{
    *part = (struct mix_voc_part){NAN, NAN, NAN, 0, 0, NAN};
    if (!json_is_object(entry))
        return fault_said(fault, FAULT_PARAMS, "components", "type", "member_not_object field=%s", "components");
    if (!rpc_get_number(entry, "grams", &part->grams, fault) ||
        !rpc_get_number(entry, "density_g_per_ml", &part->density_g_per_ml, fault) ||
        !rpc_get_number(entry, "voc_pct", &part->voc_pct, fault) ||
        !rpc_get_number(entry, "water_pct", &part->water_pct, fault) ||
        !rpc_get_number(entry, "exempt_pct", &part->exempt_pct, fault) ||
        !rpc_get_number(entry, "exempt_density_g_per_ml", &part->exempt_density_g_per_ml, fault))
        return false;
    mix_check_not_below_0(no, "grams", part->grams);
    mix_check_density(no, "density_g_per_ml", part->density_g_per_ml);
    mix_check_pct(no, "voc_pct", part->voc_pct);
    mix_check_pct(no, "water_pct", part->water_pct);
    mix_check_pct(no, "exempt_pct", part->exempt_pct);
    mix_check_density(no, "exempt_density_g_per_ml", part->exempt_density_g_per_ml);
    if (part->voc_pct + part->water_pct + part->exempt_pct > 100 + 1e-9)
        mix_refuse(no, MIX_FAULT_TOO_LARGE, "voc_pct", 0); /* more than all of it */
    return numbers_good(no, fault);
}

static bool components(const json_t *list, struct mix_voc_part *parts, size_t *n, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    double sum = 0;

    *n = json_array_size(list);
    if (*n == 0)
        mix_refuse(&no, MIX_FAULT_MISSING, "components", 0);
    if (*n > MIX_MAX)
        mix_refuse(&no, MIX_FAULT_TOO_MANY, "components", 0);
    if (!numbers_good(&no, fault))
        return false;
    for (size_t i = 0; i < *n; i++) {
        if (!component(json_array_get(list, i), &parts[i], &no, fault))
            return false;
        sum += parts[i].grams;
    }
    if (!(sum > 0))
        mix_refuse(&no, MIX_FAULT_ALL_ZERO, "grams", 0);
    return numbers_good(&no, fault);
}

void method_mix_voc(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct mix_voc_part parts[MIX_MAX];
    struct mix_voc out;
    struct fault fault;
    json_t *result;
    size_t n;

    (void)d;
    if (!components(json_object_get(params, "components"), parts, &n, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_voc(parts, n, &out);
    result = json_pack("{s:o,s:o,s:o,s:o,s:o}", "actual_g_per_l", number_json(out.actual_g_per_l), "regulatory_g_per_l",
                       number_json(out.regulatory_g_per_l), "density_g_per_ml", number_json(out.density_g_per_ml),
                       "volume_ml", number_json(out.volume_ml), "voc_g", number_json(out.voc_g));
    if (out.why)
        json_object_set_new(result, "why", json_string(out.why));
    rpc_answer(call, result);
}

void method_mix_voc_stages(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    double ground = NAN, mids[MIX_MAX], clear = NAN;
    struct mix_refusal no = MIX_REFUSAL_NONE;
    struct fault fault;
    size_t n;

    (void)d;
    if (!rpc_get_number(params, "ground_g_per_l", &ground, &fault) ||
        !numbers_read(params, "mids_g_per_l", mids, MIX_MAX, &n, &fault) ||
        !rpc_get_number(params, "clear_g_per_l", &clear, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_check_not_below_0(&no, "ground_g_per_l", ground);
    mix_check_list(&no, "mids_g_per_l", mids, n, n);
    mix_check_not_below_0(&no, "clear_g_per_l", clear);
    if (!numbers_good(&no, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    rpc_answer(call,
               json_pack("{s:o}", "average_g_per_l", number_json(mix_voc_stages_g_per_l(ground, mids, n, clear))));
}
