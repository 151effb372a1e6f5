/* rescue.c - grow, dip and cups of the shelf weighed against each other by cost. It must not know a shelf or a station,
 * nor how a program is solved.
 */
#include "mix/rescue.h"

#include "mix/bounds.h"
#include "mix/remedy.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A solver's zero, and how much cheaper a way with cups must be than one without to be worth their lids. */
#define ZERO_G 1e-7
#define WORTH  1e-6
/* Between ways of one price the one that moves less paint: a price a kilogram far below any money. */
#define LESS_PER_KG 1e-6

/* Prices as they are compared: money, or grams where money is not known. */
struct prices {
    bool money;
    double add[MIX_MAX], use[MIX_MAX], waste;
};

/* Money only where every price of a component is known; else grams stand for it, each worth 1, so that the least paint
 * is poured and the least thrown away. A cup of the shelf without a price costs nothing to use. */
static void find_prices(const struct mix_rescue_asked *a, struct prices *p)
{
    p->money = a->price_per_kg != NULL && !isnan(a->waste_per_kg);
    for (size_t i = 0; p->money && i < a->n; i++)
        p->money = !isnan(a->price_per_kg[i]);
    for (size_t i = 0; i < a->n; i++)
        p->add[i] = p->money ? a->price_per_kg[i] : 1;
    for (size_t j = 0; j < a->leftovers; j++) {
        double worth = a->leftover_per_kg ? a->leftover_per_kg[j] : 0;
        p->use[j] = p->money && !isnan(worth) ? worth : 0;
    }
    p->waste = p->money ? a->waste_per_kg : 1;
}

/* Prices are per kg, amounts in grams. */
static double cost_of(const struct mix_rescue_asked *a, const struct prices *p, const struct mix_rescue *r)
{
    double cost = r->take_g * p->waste;
    for (size_t i = 0; i < a->n; i++)
        cost += r->add_g[i] * p->add[i];
    for (size_t j = 0; j < a->leftovers; j++)
        cost += r->use_g[j] * p->use[j];
    return cost / 1000;
}

/* The cheaper of grow and dip; one that does not fit counts only where the other is not possible. */
static bool without_cups(const struct mix_rescue_asked *a, const struct prices *p, struct mix_rescue *out)
{
    struct mix_remedies r;
    mix_remedies(a->share, a->poured_g, a->left, a->n, a->wanted_g, a->tol, a->cup_g, &r);
    struct mix_rescue grow = {.total_g = r.grow.total_g, .fits = r.grow.fits};
    struct mix_rescue dip = {.take_g = r.dip.take_g, .total_g = r.dip.total_g, .fits = true};
    memcpy(grow.add_g, r.grow.add_g, a->n * sizeof *grow.add_g);
    memcpy(dip.add_g, r.dip.add_g, a->n * sizeof *dip.add_g);
    grow.cost = cost_of(a, p, &grow);
    dip.cost = cost_of(a, p, &dip);
    bool fits = r.grow.possible && (r.grow.fits || !r.dip.possible);
    if (!r.grow.possible && !r.dip.possible)
        return false;
    *out = fits && (!r.dip.possible || grow.cost <= dip.cost) ? grow : dip;
    return true;
}

/* The ends that are looked at: from what is wanted, or what the cup holds, to where growing alone would end. */
static void ends(const struct mix_rescue_asked *a, double *from_g, double *to_g)
{
    double to = a->wanted_g;
    for (size_t i = 0; i < a->n; i++) {
        double k = a->left && a->left[i] ? 0 : mix_k_of(a->share[i], a->poured_g[i], a->tol);
        if (k <= MIX_LARGEST) /* a foreign component asks for an end that is no weight */
            to = fmax(to, k);
    }
    *from_g = isnan(a->cup_g) ? a->wanted_g : fmin(a->wanted_g, a->cup_g);
    *to_g = isnan(a->cup_g) ? to : fmax(*from_g, fmin(to, a->cup_g));
}

static int by_size(const void *one, const void *other)
{
    double a = *(const double *)one, b = *(const double *)other;
    return (a > b) - (a < b);
}

/* The totals between two ends where a tolerance changes from one of its rules to another; between two of them each
 * tolerance is a straight line. Returns how many, the ends among them. */
static size_t corners(const struct mix_rescue_asked *a, double from_g, double to_g, double at[3 * MIX_MAX + 2])
{
    size_t n = 0;
    at[n++] = from_g;
    for (size_t i = 0; i < a->n; i++) {
        const double where[] = {a->tol.d_g / 2 / (a->tol.error * a->share[i]),
                                a->tol.abs_g / (a->tol.error * a->share[i]), a->tol.abs_g / (a->tol.rel * a->share[i])};
        for (size_t k = 0; k < 3; k++) {
            if (where[k] > from_g && where[k] < to_g) /* never of a share or rule of 0 */
                at[n++] = where[k];
        }
    }
    at[n++] = to_g;
    qsort(at, n, sizeof *at, by_size);
    return n;
}

enum { KEEP, END, FIRST_USE };

/* One component: s w + add + sum y L - E f between 0 and the tolerance c0 + c1 E. */
static void component(struct mix_program *p, const struct mix_rescue_asked *a, size_t i, double from_g, double to_g)
{
    double t0 = mix_tolerance_g(a->share[i], from_g, a->tol), t1 = mix_tolerance_g(a->share[i], to_g, a->tol);
    double slope = to_g > from_g ? (t1 - t0) / (to_g - from_g) : 0;
    double off = t0 - slope * from_g;
    if (!(a->share[i] > 0))
        off = a->tol.abs_g; /* as for a dip */
    bool left = a->left && a->left[i];
    for (int upper = 0; upper < 2; upper++) {
        mix_program_row(p, upper ? -MIX_FREE : 0, !upper || left ? MIX_FREE : off);
        mix_program_entry(p, KEEP, a->poured_g[i]);
        mix_program_entry(p, END, -(a->share[i] + (upper ? slope : 0)));
        for (size_t j = 0; j < a->leftovers; j++)
            mix_program_entry(p, FIRST_USE + j, a->leftover[j].share[i]);
        mix_program_entry(p, FIRST_USE + a->leftovers + i, 1);
    }
}

/* Columns: the part of the cup that stays, the total at the end, then grams of each cup, then fresh grams of each
 * component. A little cost by weight on top of the money makes of two equal ways the one with less paint. */
static void write_program(struct mix_program *p, const struct mix_rescue_asked *a, const struct prices *prices,
                          double from_g, double to_g)
{
    double in_cup_g = 0;
    for (size_t i = 0; i < a->n; i++)
        in_cup_g += a->poured_g[i];
    mix_program_init(p);
    size_t keep = mix_program_column(p, 0, 1, false);
    mix_program_column(p, from_g, to_g, false);
    p->goal[keep] = -in_cup_g * (prices->waste + LESS_PER_KG);
    for (size_t j = 0; j < a->leftovers; j++) {
        const struct mix_leftover *l = &a->leftover[j];
        size_t use = mix_program_column(p, 0, l->barred || l->foreign > 0 ? 0 : l->grams, false);
        p->goal[use] = prices->use[j] + LESS_PER_KG;
    }
    for (size_t i = 0; i < a->n; i++) {
        size_t add = mix_program_column(p, 0, a->share[i] > 0 ? MIX_FREE : 0, false);
        p->goal[add] = prices->add[i] + LESS_PER_KG;
    }
    for (size_t i = 0; i < a->n; i++)
        component(p, a, i, from_g, to_g);
}

/* A solver leaves crumbs below what any scale shows; they are none. */
static double amount(double x)
{
    return x > ZERO_G ? x : 0;
}

static void read_answer(const struct mix_rescue_asked *a, const struct prices *prices, const double *x,
                        struct mix_rescue *r)
{
    double in_cup_g = 0, keep = fmin(1, x[KEEP]);
    *r = (struct mix_rescue){.total_g = x[END], .fits = true};
    for (size_t i = 0; i < a->n; i++) {
        in_cup_g += a->poured_g[i];
        r->add_g[i] = amount(x[FIRST_USE + a->leftovers + i]);
    }
    for (size_t j = 0; j < a->leftovers; j++) {
        r->use_g[j] = amount(fmin(x[FIRST_USE + j], a->leftover[j].grams));
        r->cups = r->cups || r->use_g[j] > 0;
    }
    r->take_g = amount(in_cup_g * (1 - keep));
    r->cost = cost_of(a, prices, r);
}

/* The tolerance bends where max and min in it change sides, so between two such corners of the total the program is
 * linear; each stretch is solved, and the cheapest of all wins. Without cups the closed form stands as what must be
 * beaten. */
bool mix_rescue(const struct mix_rescue_asked *a, mix_solve *solve, void *solver, struct mix_program *room,
                struct mix_rescue *out)
{
    struct prices prices;
    double from_g, to_g, at[3 * MIX_MAX + 2], x[MIX_COLUMNS];
    find_prices(a, &prices);
    bool found = without_cups(a, &prices, out);
    ends(a, &from_g, &to_g);
    size_t n = a->leftovers > 0 ? corners(a, from_g, to_g, at) : 0;
    for (size_t k = 0; k + 1 < n; k++) {
        struct mix_rescue r;
        write_program(room, a, &prices, at[k], at[k + 1]);
        if (room->overfull || !solve(solver, room, x))
            continue;
        read_answer(a, &prices, x, &r);
        bool better = !found || r.cost < out->cost - WORTH || (!out->fits && r.cost <= out->cost + WORTH);
        if (r.cups && better) {
            *out = r;
            found = true;
        }
    }
    if (found && !prices.money)
        out->cost = NAN;
    return found;
}
