/* ratio.h - materials mixed by ratio (4:1:1), and reduction by per cent.
 *
 * Units   grams, mL, g/mL; NaN is "not known" for a density and "null" for an answer that needs one.
 * Errors  A function that cannot answer returns false and leaves *out as it was.
 * Source  Per cent of reduction is of the paint, on top of it: common practice, no source (the base
 *         must be stated for each product, row M08).
 */
#pragma once

#include "mix/aim.h"

struct mix_ratio {
    double weight_g[MIX_MAX];
    double volume_ml[MIX_MAX]; /* NaN where by weight and the density is missing */
    double total_g;
    double total_ml; /* NaN where one of volume_ml is */
};

/* Splits a total by parts. Exactly one of total_g and total_ml is a number, the other NaN. density_g_per_ml
 * NULL: none known. False: parts without a sum, both totals or none, or a density missing that is needed
 * (any of them by volume; any that counts where total_ml is split by weight). */
bool mix_ratio(const double *parts, size_t n, bool by_volume, const double *density_g_per_ml, double total_g,
               double total_ml, struct mix_ratio *out);

/* The same, from what was really poured of the first part: by_volume needs its density and that of each
 * other part. The station aims hardener and reducer so. */
bool mix_ratio_from(const double *parts, size_t n, bool by_volume, const double *density_g_per_ml, double first_g,
                    struct mix_ratio *out);

struct mix_reduction {
    double reducer_g;
    double reducer_ml; /* NaN: reducer's density missing */
};

/* Reducer for paint_g: pct (0 to 100) of the paint's weight or volume, on top of it. False where by_volume
 * and a density is missing. */
bool mix_reduce(double paint_g, double paint_density_g_per_ml, double pct, bool by_volume,
                double reducer_density_g_per_ml, struct mix_reduction *out);
