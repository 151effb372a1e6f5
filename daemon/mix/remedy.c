/* remedy.c - the three ways out of an overpour: grow, dip, leave. Figures alone; which is offered is the station's. */
#include "mix/remedy.h"

#include "mix/bounds.h"

#include <math.h>

/* The list that the remedies look at, so that no function takes nine arguments. */
struct cup {
    const double *share;
    const double *poured_g;
    const bool *left;
    size_t n;
    double wanted_g;
    struct mix_tolerance tol;
};

static double more_g(double aim_g, double have_g)
{
    return fmax(0, aim_g - have_g);
}

/* More of everything else, until what is over is right. A foreign component has no share, so no total helps. */
static void grow(const struct cup *cup, double cup_g, struct mix_grow *out)
{
    double k_g = mix_k_lo(cup->share, cup->poured_g, cup->left, cup->n, cup->wanted_g, cup->tol);
    /* A share so small that its total is beyond all sense is as good as foreign. */
    if (!(k_g <= MIX_LARGEST)) {
        out->foreign = true;
        return;
    }
    out->possible = true;
    out->total_g = k_g;
    for (size_t i = 0; i < cup->n; i++)
        out->add_g[i] = more_g(k_g * cup->share[i], cup->poured_g[i]);
    out->fits = isnan(cup_g) || k_g <= cup_g + MIX_SLACK_G;
}

/* What may stay so that nothing is over at end_g. A component whose excess was accepted does not count. */
static double keep_of(const struct cup *cup, double end_g)
{
    double keep = 1;
    for (size_t i = 0; i < cup->n; i++) {
        double f = cup->share[i];
        double w = cup->poured_g[i];
        if ((cup->left && cup->left[i]) || !mix_is_over(f, w, end_g, cup->tol))
            continue;
        double most_g = f > 0 ? f * end_g + mix_tolerance_g(f, end_g, cup->tol) : cup->tol.abs_g;
        keep = fmin(keep, most_g / w);
    }
    return fmax(keep, 0);
}

/* Takes out a part of the whole mix, then pours each component up to its aim at the total wanted, or what the
 * cup holds. */
static void dip(const struct cup *cup, double in_cup_g, double cup_g, struct mix_dip *out)
{
    double end_g = isnan(cup_g) ? cup->wanted_g : fmin(cup->wanted_g, cup_g);
    if (!(end_g > 0))
        return;
    out->possible = true;
    out->keep = keep_of(cup, end_g);
    out->take_g = more_g(in_cup_g, in_cup_g * out->keep);
    out->total_g = end_g;
    for (size_t i = 0; i < cup->n; i++)
        out->add_g[i] = more_g(end_g * cup->share[i], out->keep * cup->poured_g[i]);
}

static void leave(const struct cup *cup, double in_cup_g, struct mix_leave *out)
{
    double foreign_g = 0;
    for (size_t i = 0; i < cup->n; i++) {
        double aim_g = cup->wanted_g * cup->share[i];
        double w = cup->poured_g[i];
        bool known = aim_g > 0 && w > 0;
        out->deviation_pct[i] = known ? 100 * (w - aim_g) / aim_g : NAN;
        if (!(cup->share[i] > 0))
            foreign_g += w;
    }
    out->foreign_pct = in_cup_g > 0 ? 100 * foreign_g / in_cup_g : 0;
}

void mix_remedies(const double *share, const double *poured_g, const bool *left, size_t n, double wanted_g,
                  struct mix_tolerance tol, double cup_g, struct mix_remedies *out)
{
    const struct cup cup = {share, poured_g, left, n < MIX_ROOM ? n : MIX_ROOM, wanted_g, tol};
    double in_cup_g = 0;
    for (size_t i = 0; i < cup.n; i++)
        in_cup_g += poured_g[i];
    *out = (struct mix_remedies){0};
    grow(&cup, cup_g, &out->grow);
    dip(&cup, in_cup_g, cup_g, &out->dip);
    leave(&cup, in_cup_g, &out->leave);
}

bool mix_less_total(const double *share, const double *poured_g, size_t n, size_t which, struct mix_tolerance tol,
                    double *total_g)
{
    if (which >= n || !(share[which] > 0) || !(poured_g[which] > 0))
        return false;
    double less_g = poured_g[which] / share[which];
    for (size_t i = 0; i < n; i++) {
        if (i != which && mix_is_over(share[i], poured_g[i], less_g, tol))
            return false;
    }
    *total_g = less_g;
    return true;
}
