/* aim.c - the rule of how far a component may be from its aim, and the totals that follow from it. A sum over
 * shares: it knows nothing of steps, scales or batches. */
#include "mix/aim.h"

#include <math.h>

double mix_tolerance_g(double share, double total_g, struct mix_tolerance tol)
{
    double aim_g = share * total_g;
    if (!(aim_g > 0))
        return 0;
    return fmax(tol.rel * aim_g, fmin(tol.abs_g, fmax(tol.d_g / 2, tol.error * aim_g)));
}

double mix_k_of(double share, double poured_g, struct mix_tolerance tol)
{
    if (!(poured_g > 0))
        return 0;
    if (!(share > 0))
        return poured_g > tol.abs_g + MIX_SLACK_G ? INFINITY : 0;
    /* w <= K f + t(K), solved for K: each bound of t alone gives a total; where t takes the wider of two
     * (max) the smaller total counts, where it takes the narrower (min) the larger one. */
    double by_small = fmin((poured_g - tol.d_g / 2) / share, poured_g / ((1 + tol.error) * share));
    double by_abs = fmax((poured_g - tol.abs_g) / share, by_small);
    return fmax(0, fmin(by_abs, poured_g / ((1 + tol.rel) * share)));
}

double mix_k_lo(const double *share, const double *poured_g, const bool *left, size_t n, double wanted_g,
                struct mix_tolerance tol)
{
    double k_lo_g = wanted_g;
    for (size_t i = 0; i < n; i++) {
        /* What is in tolerance at wanted_g within the slack must not raise the total by a hair. */
        if ((left && left[i]) || !mix_is_over(share[i], poured_g[i], wanted_g, tol))
            continue;
        k_lo_g = fmax(k_lo_g, mix_k_of(share[i], poured_g[i], tol));
    }
    return k_lo_g;
}

double mix_k_aim(const double *share, const double *poured_g, const bool *done, size_t n, double k_lo_g,
                 struct mix_tolerance tol)
{
    double w_done = 0;
    double f_done = 0;
    for (size_t i = 0; i < n; i++) {
        if (!done[i] || !(share[i] > 0))
            continue;
        w_done += poured_g[i];
        f_done += share[i];
    }
    if (!(f_done > 0))
        return k_lo_g;
    return fmin(fmax(k_lo_g, w_done / f_done), (1 + tol.rel) * k_lo_g);
}

bool mix_is_over(double share, double poured_g, double total_g, struct mix_tolerance tol)
{
    if (!(share > 0))
        return poured_g > tol.abs_g + MIX_SLACK_G;
    return poured_g > share * total_g + mix_tolerance_g(share, total_g, tol) + MIX_SLACK_G;
}

bool mix_is_under(double share, double poured_g, double total_g, struct mix_tolerance tol)
{
    if (!(share > 0))
        return false;
    /* What the scale cannot show may be within tolerance of nothing; it is not done for that. */
    if (!(poured_g > 0))
        return share * total_g > MIX_SLACK_G;
    return poured_g < share * total_g - mix_tolerance_g(share, total_g, tol) - MIX_SLACK_G;
}
