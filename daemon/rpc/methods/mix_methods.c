/* mix_methods.c - mix.remedies, ratio, reduce, weighable, premix, spread, voc, voc_stages: the arithmetic of
 * daemon/mix, asked for directly. It must not know how a sum is done, nor any station.
 *
 * Each reads its members by a table, refuses what makes no sense by daemon/mix's own checks, and words the answer. What
 * is wrong is told of the first member in the order of the call, as the papers list them.
 */
#include "mix/amount.h"
#include "mix/remedy.h"
#include "mix/voc.h"
#include "mix/weighable.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/numbers.h"

#include <math.h>
#include <stddef.h>

/* What is meant where a call leaves it out. Common practice, no source. */
#define HALF_DROP_G   0.03 /* half of the least that falls from a tin, g */
#define ERROR_PCT     5    /* what a dose may err by, % of it */
#define DILUENT_G_MAX 200  /* a premix beyond that is a batch of its own */

/* ---- the ways out of an overpour ---- */

/* Grams and per cents as the call names them; what is left out has its usual value. */
struct remedies_asked {
    double parts[MIX_MAX], poured_g[MIX_MAX];
    size_t n;
    double total_g, tolerance_g, tolerance_pct, d_g, error_pct, cup_g;
};

#define AT(member) offsetof(struct remedies_asked, member)
/* Without a scale there is no interval, and a small component may err by half its aim. */
static const struct number_asked remedies_numbers[] = {
    {"total_g", AT(total_g), NAN, mix_check_above_0},
    {"tolerance_g", AT(tolerance_g), 0, mix_check_not_below_0},
    {"tolerance_pct", AT(tolerance_pct), 0, mix_check_pct},
    {"d_g", AT(d_g), 0, mix_check_not_below_0},
    {"error_pct", AT(error_pct), 50, mix_check_pct},
    {"cup_g", AT(cup_g), NAN, mix_check_density}, /* as of a density: above 0, and null is fine */
    {0},
};
#undef AT

/* Both lists in the order of the formula; what was not poured yet is 0 in poured_g. */
static bool remedies_asked(const json_t *params, struct remedies_asked *a, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    size_t poured;

    if (!numbers_read(params, "parts", a->parts, &a->n, fault) ||
        !numbers_read(params, "poured_g", a->poured_g, &poured, fault))
        return false;
    mix_check_parts(&no, "parts", a->parts, a->n);
    mix_check_list(&no, "poured_g", a->poured_g, poured, a->n);
    return numbers_fill(params, remedies_numbers, a, &no, fault) && numbers_good(&no, fault);
}

/* null where no total makes it right: paint in it that is no part of the formula. */
static json_t *grow_json(const struct mix_grow *grow, size_t n)
{
    if (!grow->possible)
        return json_null();
    return json_pack("{s:o,s:o,s:b}", "total_g", number_json(grow->total_g), "add_g", numbers_list(grow->add_g, n),
                     "fits", grow->fits);
}

/* null where taking out cannot help. */
static json_t *dip_json(const struct mix_dip *dip, size_t n)
{
    if (!dip->possible)
        return json_null();
    return json_pack("{s:o,s:o,s:o}", "take_g", number_json(dip->take_g), "total_g", number_json(dip->total_g), "add_g",
                     numbers_list(dip->add_g, n));
}

/* `add_g` is exact: what is within tolerance of a part already poured is for a station to leave out. */
static json_t *remedies_json(const struct remedies_asked *a)
{
    const struct mix_tolerance tolerance = {
        .abs_g = a->tolerance_g, .rel = a->tolerance_pct / 100, .d_g = a->d_g, .error = a->error_pct / 100};
    double share[MIX_MAX];
    struct mix_remedies r;

    mix_shares(a->parts, a->n, share);
    mix_remedies(share, a->poured_g, NULL, a->n, a->total_g, tolerance, a->cup_g, &r);
    json_t *result = json_pack("{s:o,s:o,s:{s:o,s:o}}", "grow", grow_json(&r.grow, a->n), "dip", dip_json(&r.dip, a->n),
                               "leave", "deviation_pct", numbers_list(r.leave.deviation_pct, a->n), "foreign_pct",
                               number_json(r.leave.foreign_pct));
    if (!r.grow.possible && r.grow.foreign)
        json_object_set_new(result, "grow_why", json_string("foreign"));
    return result;
}

/* The same code as a station's, for whoever wants to know before it happens. */
void method_mix_remedies(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct remedies_asked a;
    struct fault fault = {0};

    (void)d;
    numbers_answer(call, remedies_asked(params, &a, &fault) ? remedies_json(&a) : NULL, &fault);
}

/* ---- ratio and reducer ---- */

struct ratio_asked {
    double parts[MIX_MAX], density[MIX_MAX]; /* NaN: not known */
    size_t n;
    bool by_volume;
    double total_g, total_ml; /* one of them NaN */
};

/* Densities may be left out by weight; each may be null. Exactly one of the totals. */
static bool ratio_asked(const json_t *params, struct ratio_asked *a, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    size_t densities;

    a->total_g = a->total_ml = NAN;
    if (!numbers_read(params, "parts", a->parts, &a->n, fault) || !numbers_basis(params, &a->by_volume, fault) ||
        !numbers_read(params, "densities_g_per_ml", a->density, &densities, fault) ||
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
    mix_check_density(&no, "total_g", a->total_g);
    mix_check_density(&no, "total_ml", a->total_ml);
    return numbers_good(&no, fault);
}

/* NULL: by volume, and a density that is needed is not known. */
static json_t *ratio_json(const struct ratio_asked *a, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    struct mix_ratio out;

    if (!mix_ratio(a->parts, a->n, a->by_volume, a->density, a->total_g, a->total_ml, &out)) {
        mix_refuse(&no, MIX_FAULT_DENSITY, "densities_g_per_ml", 0);
        numbers_good(&no, fault);
        return NULL;
    }
    return json_pack("{s:o,s:o,s:o,s:o}", "weight_g", numbers_list(out.weight_g, a->n), "volume_ml",
                     numbers_list(out.volume_ml, a->n), "total_g", number_json(out.total_g), "total_ml",
                     number_json(out.total_ml));
}

/* 4:1:1 by volume to grams and back. */
void method_mix_ratio(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct ratio_asked a;
    struct fault fault = {0};

    (void)d;
    numbers_answer(call, ratio_asked(params, &a, &fault) ? ratio_json(&a, &fault) : NULL, &fault);
}

/* Densities in grams a millilitre, NaN where not known. */
struct reduce_asked {
    double paint_g, paint_density, pct, reducer_density;
};

/* A density that is left out is unknown; by volume both are needed. */
static const struct number_asked reduce_numbers[] = {
    {"paint_g", offsetof(struct reduce_asked, paint_g), NAN, mix_check_above_0},
    {"paint_density_g_per_ml", offsetof(struct reduce_asked, paint_density), NAN, mix_check_density},
    {"pct", offsetof(struct reduce_asked, pct), NAN, mix_check_pct},
    {"reducer_density_g_per_ml", offsetof(struct reduce_asked, reducer_density), NAN, mix_check_density},
    {0},
};

/* `pct` is of the paint, on top of it: 10 % of 260 g are 26 g, and the mix is 286 g. */
void method_mix_reduce(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    struct mix_reduction out = {NAN, NAN};
    struct reduce_asked a;
    struct fault fault = {0};
    bool by_volume;

    (void)d;
    if (!numbers_basis(params, &by_volume, &fault) || !numbers_fill(params, reduce_numbers, &a, &no, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    if (by_volume && isnan(a.paint_density))
        mix_refuse(&no, MIX_FAULT_DENSITY, "paint_density_g_per_ml", 0);
    if (!no.fault && !mix_reduce(a.paint_g, a.paint_density, a.pct, by_volume, a.reducer_density, &out))
        mix_refuse(&no, MIX_FAULT_DENSITY, "reducer_density_g_per_ml", 0);
    numbers_answer(call,
                   numbers_good(&no, &fault) ? json_pack("{s:o,s:o}", "reducer_g", number_json(out.reducer_g),
                                                         "reducer_ml", number_json(out.reducer_ml))
                                             : NULL,
                   &fault);
}

/* ---- what a scale can weigh, and what to do about what it cannot ---- */

struct weighable_asked {
    double grams[MIX_MAX]; /* parts of a formula; of a premix each small toner in the batch */
    size_t n;
    double d_g, error_pct, half_drop_g, diluent_g_max;
};

#define AT(member) offsetof(struct weighable_asked, member)
/* d_g is the scale's interval; half_drop_g half a drop, the least that a hand can give. */
static const struct number_asked weighable_numbers[] = {
    {"d_g", AT(d_g), 0, mix_check_not_below_0}, /* 0: half a drop alone limits what can be dosed */
    {"error_pct", AT(error_pct), ERROR_PCT, mix_check_pct_above_0},
    {"half_drop_g", AT(half_drop_g), HALF_DROP_G, mix_check_not_below_0},
    {0},
};
/* Of a premix alone. */
static const struct number_asked premix_numbers[] = {
    {"diluent_g_max", AT(diluent_g_max), DILUENT_G_MAX, mix_check_not_below_0},
    {0},
};
#undef AT

/* Of a list named `list`: parts of a formula, or grams of toners, of which none may then be 0. */
static bool weighable_asked(const json_t *params, const char *list, bool premix, struct weighable_asked *a,
                            struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;

    if (!numbers_read(params, list, a->grams, &a->n, fault))
        return false;
    mix_check_parts(&no, list, a->grams, a->n);
    for (size_t i = 0; premix && i < a->n; i++)
        mix_check_above_0(&no, list, a->grams[i]);
    return numbers_fill(params, weighable_numbers, a, &no, fault) &&
           (!premix || numbers_fill(params, premix_numbers, a, &no, fault)) && numbers_good(&no, fault);
}

/* smallest_g: the least total of which every part can be weighed within error_pct; component is the one that decides
 * it. */
void method_mix_weighable(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct weighable_asked a;
    double smallest_g = NAN;
    size_t index = 0;
    struct fault fault = {0};

    (void)d;
    if (!weighable_asked(params, "parts", false, &a, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_weighable(a.grams, a.n, a.d_g, a.half_drop_g, a.error_pct, &smallest_g, &index);
    rpc_answer(call, json_pack("{s:o,s:I}", "smallest_g", number_json(smallest_g), "component", (json_int_t)index));
}

/* A share of 0 has a place in a formula, but a premix doses every toner that it names. All else was refused before:
 * what is left to go wrong is the limit. */
void method_mix_premix(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct weighable_asked a;
    struct mix_premix out;
    struct fault fault = {0};

    (void)d;
    if (!weighable_asked(params, "grams", true, &a, &fault)) {
        rpc_fail(call, &fault);
    } else if (!mix_premix(a.grams, a.n, a.d_g, a.half_drop_g, a.error_pct, a.diluent_g_max, &out)) {
        fault_said(&fault, FAULT_INVALID, "diluent_g_max", "diluent", "premix_diluent most_g=%f", a.diluent_g_max);
        rpc_fail(call, &fault);
    } else {
        rpc_answer(call, json_pack("{s:o,s:o,s:o,s:o,s:o}", "toner_g", numbers_list(out.toner_g, a.n), "diluent_g",
                                   number_json(out.diluent_g), "take_g", number_json(out.take_g), "total_g",
                                   number_json(out.total_g), "dose_error_pct", numbers_list(out.dose_error_pct, a.n)));
    }
}

/* ---- how far a mix goes, and what of it evaporates ---- */

/* Film is dry film of one coat; solids are those of the mix ready to spray. */
struct spread_asked {
    double area_m2, coats, film_um, solids_vol_pct, transfer_pct, loss_ml;
};

#define AT(member) offsetof(struct spread_asked, member)
/* transfer_pct is the part of the paint that reaches the panel; loss_ml what stays in cup and gun. */
static const struct number_asked spread_numbers[] = {
    {"area_m2", AT(area_m2), NAN, mix_check_above_0},
    {"coats", AT(coats), NAN, mix_check_above_0},
    {"film_um", AT(film_um), NAN, mix_check_above_0},
    {"solids_vol_pct", AT(solids_vol_pct), NAN, mix_check_pct_above_0},
    {"transfer_pct", AT(transfer_pct), NAN, mix_check_pct_above_0},
    {"loss_ml", AT(loss_ml), 0, mix_check_not_below_0},
    {0},
};
#undef AT

/* Source of the sum: area x coats x dry film / solids by volume / transfer (mix/quantity.h), plus what stays in cup
 * and gun. */
void method_mix_spread(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    struct mix_spread out = {NAN, NAN};
    struct spread_asked a;
    struct fault fault = {0};

    (void)d;
    if (!numbers_fill(params, spread_numbers, &a, &no, &fault) || !numbers_good(&no, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_spread(a.area_m2, a.coats, a.film_um, a.solids_vol_pct, a.transfer_pct, a.loss_ml, &out);
    rpc_answer(call,
               json_pack("{s:o,s:o}", "volume_ml", number_json(out.volume_ml), "m2_per_l", number_json(out.m2_per_l)));
}

#define AT(member) offsetof(struct mix_voc_part, member)
/* Of a component of the mix; what is left out of water and exempt counts as 0, a density as unknown. */
static const struct number_asked component_numbers[] = {
    {"grams", AT(grams), NAN, mix_check_not_below_0},
    {"density_g_per_ml", AT(density_g_per_ml), NAN, mix_check_density},
    {"voc_pct", AT(voc_pct), NAN, mix_check_pct},
    {"water_pct", AT(water_pct), 0, mix_check_pct},
    {"exempt_pct", AT(exempt_pct), 0, mix_check_pct},
    {"exempt_density_g_per_ml", AT(exempt_density_g_per_ml), NAN, mix_check_density},
    {0},
};
#undef AT

/* Per cents are of the component's mass and may not come to more than all of it; 1e-9 of slack for figures that were
 * rounded. */
static bool component(const json_t *entry, struct mix_voc_part *part, struct mix_refusal *no, struct fault *fault)
{
    if (!json_is_object(entry))
        return fault_said(fault, FAULT_PARAMS, "components", "type", "member_not_object field=%s", "components");
    if (!numbers_fill(entry, component_numbers, part, no, fault))
        return false;
    if (part->voc_pct + part->water_pct + part->exempt_pct > 100 + 1e-9)
        mix_refuse(no, MIX_FAULT_TOO_LARGE, "voc_pct", 0); /* more than all of it */
    return numbers_good(no, fault);
}

/* Source: the two VOC figures of mix/voc.h. At least one component must weigh something. */
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
        parts[i] = (struct mix_voc_part){0};
        if (!component(json_array_get(list, i), &parts[i], &no, fault))
            return false;
        sum += parts[i].grams;
    }
    if (!(sum > 0))
        mix_refuse(&no, MIX_FAULT_ALL_ZERO, "grams", 0);
    return numbers_good(&no, fault);
}

/* regulatory_g_per_l is null, with `why`, where water and exempt compounds leave nothing to divide by. */
void method_mix_voc(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct mix_voc_part parts[MIX_MAX];
    struct mix_voc out;
    struct fault fault = {0};
    size_t n;

    (void)d;
    if (!components(json_object_get(params, "components"), parts, &n, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_voc(parts, n, &out);
    json_t *result =
        json_pack("{s:o,s:o,s:o,s:o,s:o}", "actual_g_per_l", number_json(out.actual_g_per_l), "regulatory_g_per_l",
                  number_json(out.regulatory_g_per_l), "density_g_per_ml", number_json(out.density_g_per_ml),
                  "volume_ml", number_json(out.volume_ml), "voc_g", number_json(out.voc_g));
    if (out.why)
        json_object_set_new(result, "why", json_string(out.why));
    rpc_answer(call, result);
}

/* The average of ground, mid and clear coats as multistage rules count it (mix/voc.h). */
void method_mix_voc_stages(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    double ground = NAN, mids[MIX_MAX], clear = NAN;
    struct mix_refusal no = MIX_REFUSAL_NONE;
    struct fault fault = {0};
    size_t n;

    (void)d;
    if (!rpc_get_number(params, "ground_g_per_l", &ground, &fault) ||
        !numbers_read(params, "mids_g_per_l", mids, &n, &fault) ||
        !rpc_get_number(params, "clear_g_per_l", &clear, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_check_not_below_0(&no, "ground_g_per_l", ground);
    mix_check_list(&no, "mids_g_per_l", mids, n, n);
    mix_check_not_below_0(&no, "clear_g_per_l", clear);
    numbers_answer(call,
                   numbers_good(&no, &fault) ? json_pack("{s:o}", "average_g_per_l",
                                                         number_json(mix_voc_stages_g_per_l(ground, mids, n, clear)))
                                             : NULL,
                   &fault);
}
