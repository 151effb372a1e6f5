/* amount.c - parts to shares, weights and volumes, and areas to paint. It knows no recipe and no panel by name: parts
 * are whatever stands in a ratio. Tolerances and what is poured already are aim.c's. */
#include "mix/amount.h"

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

static double density_of(const double *density_g_per_ml, size_t i)
{
    return density_g_per_ml && density_g_per_ml[i] > 0 ? density_g_per_ml[i] : NAN;
}

/* Weight and volume of one unit of each part. NaN where a density is missing. */
static void one_unit(const double *parts, size_t n, bool by_volume, const double *density_g_per_ml,
                     struct mix_ratio *out)
{
    for (size_t i = 0; i < n; i++) {
        double rho = density_of(density_g_per_ml, i);
        out->weight_g[i] = by_volume ? parts[i] * rho : parts[i];
        out->volume_ml[i] = by_volume ? parts[i] : parts[i] / rho;
        if (!by_volume && !(parts[i] > 0))
            out->volume_ml[i] = 0; /* nothing of it needs no density */
        out->total_g += out->weight_g[i];
        out->total_ml += out->volume_ml[i];
    }
}

bool mix_ratio(const double *parts, size_t n, bool by_volume, const double *density_g_per_ml, double total_g,
               double total_ml, struct mix_ratio *out)
{
    struct mix_ratio unit = {0};
    if (n > MIX_MAX || isnan(total_g) == isnan(total_ml))
        return false;
    one_unit(parts, n, by_volume, density_g_per_ml, &unit);
    double factor = isnan(total_g) ? total_ml / unit.total_ml : total_g / unit.total_g;
    /* By volume each density must be there, also where the total is a volume: grams are what gets poured. */
    if (!isfinite(factor) || factor < 0 || (by_volume && isnan(unit.total_g)))
        return false;
    for (size_t i = 0; i < n; i++) {
        unit.weight_g[i] *= factor;
        unit.volume_ml[i] *= factor;
    }
    unit.total_g *= factor;
    unit.total_ml *= factor;
    *out = unit;
    return true;
}

bool mix_reduce(double paint_g, double paint_density_g_per_ml, double pct, bool by_volume,
                double reducer_density_g_per_ml, struct mix_reduction *out)
{
    double paint_rho = density_of(&paint_density_g_per_ml, 0);
    double reducer_rho = density_of(&reducer_density_g_per_ml, 0);
    double grams = paint_g * pct / 100;
    if (by_volume)
        grams *= reducer_rho / paint_rho;
    if (isnan(grams))
        return false;
    *out = (struct mix_reduction){.reducer_g = grams, .reducer_ml = grams / reducer_rho};
    return true;
}

double mix_solids_vol_pct(const double ml[], const double solids_vol_pct[], size_t n)
{
    double all = 0, solid = 0;
    for (size_t i = 0; i < n; i++) {
        all += ml[i];
        solid += ml[i] == 0 ? 0 : ml[i] * solids_vol_pct[i];
    }
    return solid / all;
}

bool mix_spread(double area_m2, double coats, double film_um, double solids_vol_pct, double transfer_pct,
                double loss_ml, struct mix_spread *out)
{
    if (!(film_um > 0) || !(solids_vol_pct > 0) || !(transfer_pct > 0))
        return false;
    double film_ml = area_m2 * coats * film_um; /* 1 m2 x 1 um = 1e-6 m3 = 1 mL */
    out->volume_ml = film_ml / (solids_vol_pct / 100 * (transfer_pct / 100)) + loss_ml;
    out->m2_per_l = 10 * solids_vol_pct / film_um;
    return true;
}
