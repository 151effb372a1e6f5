/* blend_methods.c - mix.workoff and mix.rescue by figures alone: leftovers as parts, no shelf (shelf_blend.c has that).
 * They must not know how a program is written or solved.
 *
 * Both are solved on a helper thread (inquiry.h): 64 leftovers of 64 components take longer than a frame may wait.
 */
#include "mix/amount.h"
#include "mix/rescue.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/numbers.h"
#include "rpc/methods/shelf_blend.h"
#include "rpc/methods/solving.h"

#include <math.h>
#include <string.h>

/* Grams and per cents as both calls name them. */
struct blend_asked {
    struct inquiry inquiry;
    double share[MIX_MAX];
    size_t n;
    double total_g, tolerance_g, tolerance_pct, d_g, error_pct;
    double smallest_g;                                   /* of a work-off */
    double poured_g[MIX_MAX], cup_g, waste_per_kg;       /* of a rescue */
    double price_per_kg[MIX_MAX], worth_per_kg[MIX_MAX]; /* NaN: not known */
    bool priced;
    struct mix_leftover leftover[MIX_MAX];
    size_t leftovers;
    struct mix_program room;
};

#define AT(member) offsetof(struct blend_asked, member)
/* Total and tolerances as mix.remedies has them; error_pct is what a small part may err by. */
static const struct number_asked both_numbers[] = {
    {"total_g", AT(total_g), NAN, mix_check_above_0},       {"tolerance_g", AT(tolerance_g), 0, mix_check_not_below_0},
    {"tolerance_pct", AT(tolerance_pct), 0, mix_check_pct}, {"d_g", AT(d_g), 0, mix_check_not_below_0},
    {"error_pct", AT(error_pct), 50, mix_check_pct},        {0},
};
static const struct number_asked workoff_numbers[] = {{"smallest_g", AT(smallest_g), 0, mix_check_not_below_0}, {0}};
/* cup_g is all that the cup holds, waste_per_kg what it costs to get rid of what is taken out. */
static const struct number_asked rescue_numbers[] = {
    {"cup_g", AT(cup_g), NAN, mix_check_density}, /* as of a density: above 0, and null is fine */
    {"waste_per_kg", AT(waste_per_kg), 0, mix_check_not_below_0},
    {0},
};
#undef AT

/* Per cents as parts of 1, as the arithmetic takes them. */
static struct mix_tolerance tolerance_of(const struct blend_asked *a)
{
    return (struct mix_tolerance){
        .abs_g = a->tolerance_g, .rel = a->tolerance_pct / 100, .d_g = a->d_g, .error = a->error_pct / 100};
}

/* One cup of the shelf: its parts in the order of the formula's. None at all is no fault: a rescue has grow and dip
 * besides. */
static bool leftover(void *arg, const json_t *entry, struct mix_refusal *no, struct fault *fault)
{
    struct blend_asked *a = arg;
    double parts[MIX_MAX], grams = NAN, worth = NAN;
    size_t n;

    if (!json_is_object(entry))
        return fault_said(fault, FAULT_PARAMS, "leftovers", "type", "member_not_object field=%s", "leftovers");
    if (!rpc_get_number(entry, "grams", &grams, fault) || !numbers_read(entry, "parts", parts, &n, fault) ||
        !rpc_get_number(entry, "price_per_kg", &worth, fault))
        return false;
    mix_check_not_below_0(no, "grams", grams);
    mix_check_parts(no, "parts", parts, n);
    if (n != a->n)
        mix_refuse(no, MIX_FAULT_LENGTHS, "parts", 0);
    if (!isnan(worth))
        mix_check_not_below_0(no, "price_per_kg", worth);
    if (!numbers_good(no, fault))
        return false;
    a->leftover[a->leftovers].grams = grams;
    mix_shares(parts, n, a->leftover[a->leftovers].share);
    a->worth_per_kg[a->leftovers++] = worth;
    return true;
}

/* Prices may be null, one or all: then no cost is told. */
static bool prices(const json_t *params, struct blend_asked *a, struct mix_refusal *no, struct fault *fault)
{
    size_t n;

    if (!numbers_read(params, "prices_per_kg", a->price_per_kg, &n, fault))
        return false;
    a->priced = json_is_array(json_object_get(params, "prices_per_kg"));
    if (a->priced && n != a->n)
        mix_refuse(no, MIX_FAULT_LENGTHS, "prices_per_kg", 0);
    for (size_t i = 0; i < n; i++) {
        if (!isnan(a->price_per_kg[i]))
            mix_check_not_below_0(no, "prices_per_kg", a->price_per_kg[i]);
    }
    return true;
}

/* In the order of the papers; `rescue` reads what was poured as well. */
static bool blend_asked(const json_t *params, bool rescue, struct blend_asked *a, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    double parts[MIX_MAX];
    size_t poured = 0;

    if (!numbers_read(params, "parts", parts, &a->n, fault) ||
        (rescue && !numbers_read(params, "poured_g", a->poured_g, &poured, fault)))
        return false;
    mix_check_parts(&no, "parts", parts, a->n);
    if (rescue)
        mix_check_list(&no, "poured_g", a->poured_g, poured, a->n);
    if (!numbers_fill(params, both_numbers, a, &no, fault) ||
        !numbers_fill(params, rescue ? rescue_numbers : workoff_numbers, a, &no, fault) ||
        !prices(params, a, &no, fault) || !numbers_good(&no, fault))
        return false;
    mix_shares(parts, a->n, a->share);
    return numbers_each(params, "leftovers", leftover, a, &no, fault);
}

/* The cost is that of the fresh paint to add; what stands in the shelf is paid for. */
static void run_workoff(struct inquiry *r, struct store *view)
{
    struct blend_asked *a = (struct blend_asked *)(void *)r;
    const struct mix_workoff_asked asked = {a->share,      a->n,        a->total_g,  tolerance_of(a),
                                            a->smallest_g, a->leftover, a->leftovers};
    struct mix_workoff out;
    struct solver solver;
    double cost = a->priced ? 0 : NAN;

    (void)view;
    solving_begin(&solver, r);
    bool good = mix_workoff(&asked, solver_run, &solver, &a->room, &out);
    solver_end(&solver);
    if (!good) {
        solving_failed(r, &solver);
        return;
    }
    for (size_t i = 0; a->priced && i < a->n; i++) {
        if (out.add_g[i] > 0)
            cost += out.add_g[i] * a->price_per_kg[i] / 1000;
    }
    inquiry_answer(r, json_pack("{s:o,s:o,s:o,s:o,s:o}", "use_g", numbers_list(out.use_g, a->leftovers), "add_g",
                                numbers_list(out.add_g, a->n), "total_g", number_json(out.total_g), "cost",
                                number_json_money(cost), "why", solving_why(&out, a->leftovers, NULL)));
}

/* A price that is missing leaves the cost null, and all is then compared by grams. */
static void run_rescue(struct inquiry *r, struct store *view)
{
    struct blend_asked *a = (struct blend_asked *)(void *)r;
    const struct mix_rescue_asked asked = {.share = a->share,
                                           .poured_g = a->poured_g,
                                           .n = a->n,
                                           .wanted_g = a->total_g,
                                           .tol = tolerance_of(a),
                                           .cup_g = a->cup_g,
                                           .price_per_kg = a->priced ? a->price_per_kg : NULL,
                                           .waste_per_kg = a->waste_per_kg,
                                           .leftover = a->leftover,
                                           .leftover_per_kg = a->worth_per_kg,
                                           .leftovers = a->leftovers};
    struct mix_rescue out;
    struct solver solver;

    (void)view;
    solving_begin(&solver, r);
    /* Of many programs, one that found no time may have held the cheapest. */
    bool good = mix_rescue(&asked, solver_run, &solver, &a->room, &out);
    solver_end(&solver);
    if (!good || solver.trouble != SOLVER_NONE) {
        solving_failed(r, &solver);
        return;
    }
    inquiry_answer(r,
                   json_pack("{s:o,s:o,s:o,s:o,s:o,s:b}", "take_g", number_json(out.take_g), "use_g",
                             numbers_list(out.use_g, a->leftovers), "add_g", numbers_list(out.add_g, a->n), "total_g",
                             number_json(out.total_g), "cost", number_json_money(out.cost), "fits", out.fits));
}

static void finish(struct inquiry *r)
{
    solving_leave(r->daemon);
    if (r->answer)
        rpc_answer_text(r->call, r->answer);
    else
        rpc_fail(r->call, &r->fault);
}

/* Members are read on the loop, so that a wrong one is refused at once and in order. */
static void begin(struct daemon *d, struct rpc_call *call, const json_t *params, bool rescue)
{
    struct fault fault = {0};
    struct blend_asked *a = inquiry_new(d, call, params, sizeof *a);

    if (!a)
        return;
    a->inquiry.finish = finish;
    if (!blend_asked(params, rescue, a, &fault) || !solving_enter(d, &fault))
        inquiry_refuse(&a->inquiry, &fault);
    else
        inquiry_start(&a->inquiry, STORE_SLOW, rescue ? run_rescue : run_workoff);
}

/* By figures, leftovers standing oldest first; or of a colour of the shop, with its own cups. */
void method_mix_workoff(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    if (workoff_is_of_shop(params))
        workoff_of_shop(d, call, params);
    else
        begin(d, call, params, false);
}

/* The cheapest of growing, dipping and cups of the shelf. */
void method_mix_rescue(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    begin(d, call, params, true);
}
