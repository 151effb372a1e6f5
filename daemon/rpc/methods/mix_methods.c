/* mix_methods.c - mix.remedies, mix.ratio, mix.reduce: the arithmetic of daemon/mix, asked for directly. */
#include "mix/ratio.h"
#include "mix/remedy.h"
#include "mix/shares.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/numbers.h"

#include <math.h>

struct asked {
    double parts[MIX_MAX], poured_g[MIX_MAX];
    size_t n;
    double total_g, cup_g;
    double tolerance_g, tolerance_pct, d_g, error_pct;
};

static bool remedies_asked(const json_t *params, struct asked *a, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    size_t poured;

    /* Without a scale no interval, and a small component may err by half its aim. */
    *a = (struct asked){.total_g = NAN, .cup_g = NAN, .error_pct = 50};
    if (!numbers_read(params, "parts", a->parts, MIX_MAX, &a->n, fault) ||
        !numbers_read(params, "poured_g", a->poured_g, MIX_MAX, &poured, fault) ||
        !rpc_get_number(params, "total_g", &a->total_g, fault) ||
        !rpc_get_number(params, "tolerance_g", &a->tolerance_g, fault) ||
        !rpc_get_number(params, "tolerance_pct", &a->tolerance_pct, fault) ||
        !rpc_get_number(params, "d_g", &a->d_g, fault) || !rpc_get_number(params, "error_pct", &a->error_pct, fault) ||
        !rpc_get_number(params, "cup_g", &a->cup_g, fault))
        return false;
    mix_check_parts(&no, "parts", a->parts, a->n);
    mix_check_list(&no, "poured_g", a->poured_g, poured, a->n);
    mix_check_above_0(&no, "total_g", a->total_g);
    mix_check_not_below_0(&no, "tolerance_g", a->tolerance_g);
    mix_check_pct(&no, "tolerance_pct", a->tolerance_pct);
    mix_check_not_below_0(&no, "d_g", a->d_g);
    mix_check_pct(&no, "error_pct", a->error_pct);
    if (!isnan(a->cup_g))
        mix_check_above_0(&no, "cup_g", a->cup_g);
    return numbers_good(&no, fault);
}

static json_t *grow_json(const struct mix_grow *grow, size_t n)
{
    if (!grow->possible)
        return json_null();
    return json_pack("{s:o,s:o,s:b}", "total_g", number_json(grow->total_g), "add_g", numbers_list(grow->add_g, n),
                     "fits", grow->fits);
}

static json_t *dip_json(const struct mix_dip *dip, size_t n)
{
    if (!dip->possible)
        return json_null();
    return json_pack("{s:o,s:o,s:o}", "take_g", number_json(dip->take_g), "total_g", number_json(dip->total_g), "add_g",
                     numbers_list(dip->add_g, n));
}

void method_mix_remedies(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    double share[MIX_MAX];
    struct mix_remedies r;
    struct asked a;
    struct fault fault;
    json_t *result;

    (void)d;
    if (!remedies_asked(params, &a, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_shares(a.parts, a.n, share);
    mix_remedies(share, a.poured_g, NULL, a.n, a.total_g,
                 (struct mix_tolerance){
                     .abs_g = a.tolerance_g, .rel = a.tolerance_pct / 100, .d_g = a.d_g, .error = a.error_pct / 100},
                 a.cup_g, &r);
    result = json_pack("{s:o,s:o,s:{s:o,s:o}}", "grow", grow_json(&r.grow, a.n), "dip", dip_json(&r.dip, a.n), "leave",
                       "deviation_pct", numbers_list(r.leave.deviation_pct, a.n), "foreign_pct",
                       number_json(r.leave.foreign_pct));
    if (!r.grow.possible && r.grow.foreign)
        json_object_set_new(result, "grow_why", json_string("foreign"));
    rpc_answer(call, result);
}

struct ratio_asked {
    double parts[MIX_MAX], density[MIX_MAX];
    size_t n;
    bool by_volume;
    double total_g, total_ml;
};

static bool ratio_asked(const json_t *params, struct ratio_asked *a, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    size_t densities;

    a->total_g = a->total_ml = NAN;
    if (!numbers_read(params, "parts", a->parts, MIX_MAX, &a->n, fault) ||
        !numbers_basis(params, &a->by_volume, fault) ||
        !numbers_read(params, "densities_g_per_ml", a->density, MIX_MAX, &densities, fault) ||
        !rpc_get_number(params, "total_g", &a->total_g, fault) ||
        !rpc_get_number(params, "total_ml", &a->total_ml, fault))
        return false;
    if (!json_is_array(json_object_get(params, "densities_g_per_ml")))
        for (densities = 0; densities < a->n; densities++)
            a->density[densities] = NAN;
    mix_check_parts(&no, "parts", a->parts, a->n);
    mix_check_densities(&no, "densities_g_per_ml", a->density, densities, a->n);
    if (isnan(a->total_g) == isnan(a->total_ml))
        mix_refuse(&no, MIX_FAULT_ONE_OF, "total_g", 0);
    else if (isnan(a->total_ml))
        mix_check_above_0(&no, "total_g", a->total_g);
    else
        mix_check_above_0(&no, "total_ml", a->total_ml);
    return numbers_good(&no, fault);
}

void method_mix_ratio(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    struct ratio_asked a;
    struct mix_ratio out;
    struct fault fault;

    (void)d;
    if (!ratio_asked(params, &a, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    if (!mix_ratio(a.parts, a.n, a.by_volume, a.density, a.total_g, a.total_ml, &out)) {
        mix_refuse(&no, MIX_FAULT_DENSITY, "densities_g_per_ml", 0);
        numbers_good(&no, &fault);
        rpc_fail(call, &fault);
        return;
    }
    rpc_answer(call, json_pack("{s:o,s:o,s:o,s:o}", "weight_g", numbers_list(out.weight_g, a.n), "volume_ml",
                               numbers_list(out.volume_ml, a.n), "total_g", number_json(out.total_g), "total_ml",
                               number_json(out.total_ml)));
}

void method_mix_reduce(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    double paint_g = NAN, paint_density = NAN, pct = NAN, reducer_density = NAN;
    struct mix_refusal no = MIX_REFUSAL_NONE;
    struct mix_reduction out = {NAN, NAN};
    struct fault fault;
    bool by_volume;

    (void)d;
    if (!rpc_get_number(params, "paint_g", &paint_g, &fault) ||
        !rpc_get_number(params, "paint_density_g_per_ml", &paint_density, &fault) ||
        !rpc_get_number(params, "pct", &pct, &fault) || !numbers_basis(params, &by_volume, &fault) ||
        !rpc_get_number(params, "reducer_density_g_per_ml", &reducer_density, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_check_above_0(&no, "paint_g", paint_g);
    mix_check_density(&no, "paint_density_g_per_ml", paint_density);
    mix_check_pct(&no, "pct", pct);
    mix_check_density(&no, "reducer_density_g_per_ml", reducer_density);
    if (by_volume && isnan(paint_density))
        mix_refuse(&no, MIX_FAULT_DENSITY, "paint_density_g_per_ml", 0);
    if (!no.fault && !mix_reduce(paint_g, paint_density, pct, by_volume, reducer_density, &out))
        mix_refuse(&no, MIX_FAULT_DENSITY, "reducer_density_g_per_ml", 0);
    if (!numbers_good(&no, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    rpc_answer(call, json_pack("{s:o,s:o}", "reducer_g", number_json(out.reducer_g), "reducer_ml",
                               number_json(out.reducer_ml)));
}
