/* ratio.c - parts to weights and volumes at one total. It knows no recipe: parts are whatever stands in a ratio. */
#include "mix/ratio.h"

#include "mix/shares.h"

#include <math.h>

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

static bool scale_to(struct mix_ratio *unit, size_t n, double factor, bool by_volume, struct mix_ratio *out)
{
    double counts = by_volume ? unit->total_g : 1; /* by volume each density must be there */
    if (!isfinite(factor) || factor < 0 || isnan(counts))
        return false;
    for (size_t i = 0; i < n; i++) {
        unit->weight_g[i] *= factor;
        unit->volume_ml[i] *= factor;
    }
    unit->total_g *= factor;
    unit->total_ml *= factor;
    *out = *unit;
    return true;
}

bool mix_ratio(const double *parts, size_t n, bool by_volume, const double *density_g_per_ml, double total_g,
               double total_ml, struct mix_ratio *out)
{
    struct mix_ratio unit = {0};
    if (n > MIX_MAX || isnan(total_g) == isnan(total_ml))
        return false;
    one_unit(parts, n, by_volume, density_g_per_ml, &unit);
    double factor = isnan(total_g) ? total_ml / unit.total_ml : total_g / unit.total_g;
    return scale_to(&unit, n, factor, by_volume, out);
}

bool mix_ratio_from(const double *parts, size_t n, bool by_volume, const double *density_g_per_ml, double first_g,
                    struct mix_ratio *out)
{
    struct mix_ratio unit = {0};
    if (n == 0 || n > MIX_MAX)
        return false;
    one_unit(parts, n, by_volume, density_g_per_ml, &unit);
    return scale_to(&unit, n, first_g / unit.weight_g[0], by_volume, out);
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
