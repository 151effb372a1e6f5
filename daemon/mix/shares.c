/* shares.c - parts to shares, and sums over them. No tolerance and no scale: that is aim.c. */
#include "mix/shares.h"

#include <math.h>

bool mix_shares(const double *parts, size_t n, double *share)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += parts[i];
    bool sense = sum > 0 && isfinite(sum);
    for (size_t i = 0; i < n; i++)
        share[i] = sense ? parts[i] / sum : 0;
    return sense;
}

double mix_volume_ml(const double *weight_g, const double *density_g_per_ml, size_t n)
{
    double ml = 0;
    for (size_t i = 0; i < n; i++) {
        if (!(weight_g[i] > 0))
            continue;
        if (!(density_g_per_ml[i] > 0))
            return NAN;
        ml += weight_g[i] / density_g_per_ml[i];
    }
    return ml;
}

double mix_density_g_per_ml(const double *share, const double *density_g_per_ml, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += fmax(0, share[i]);
    double ml = mix_volume_ml(share, density_g_per_ml, n);
    return ml > 0 ? sum / ml : NAN;
}

double mix_step_aim_g(double component_aim_g, double done_g, double step_share, double open_share)
{
    if (!(open_share > 0))
        return 0;
    return fmax(0, component_aim_g - done_g) * step_share / open_share;
}
