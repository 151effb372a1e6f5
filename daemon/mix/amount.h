/* amount.h - how much of each: parts as shares, mixed by ratio (4:1:1), reduced by per cent; and paint for an area.
 *
 * Units   parts in any scale; shares sum to 1; grams, mL, g/mL, m2, um of dry film, per cent. NaN is "not known" for a
 *         density and "null" for an answer that needs one.
 * Owner   Pure: arrays and answers belong to the caller.
 * Errors  A function that cannot answer returns false and leaves *out as it was.
 * Source  Volumes add on mixing: ASTM D5201 (ideal mixing). Per cent of reduction is of the paint, on top of it: common
 *         practice, no source (the base must be stated for each product, row M08).
 */
#pragma once

#include "mix/aim.h"

/* Shares of parts. False, and all shares 0, where the parts have no sum above 0. */
bool mix_shares(const double *parts, size_t n, double *share);

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

struct mix_reduction {
    double reducer_g;
    double reducer_ml; /* NaN: reducer's density missing */
};

/* Reducer for paint_g: pct (0 to 100) of the paint's weight or volume, on top of it. False where by_volume
 * and a density is missing. */
bool mix_reduce(double paint_g, double paint_density_g_per_ml, double pct, bool by_volume,
                double reducer_density_g_per_ml, struct mix_reduction *out);

/* Volume solids of a mix, per cent: sum(mL_i VS_i) / sum(mL_i) over all n that go into it (design, "Quantity"). What
 * has no volume may have no figure; NaN where one that has is not known, or nothing is in it. */
double mix_solids_vol_pct(const double ml[], const double solids_vol_pct[], size_t n);

struct mix_spread {
    double volume_ml; /* ready to spray, with transfer and loss */
    double m2_per_l;  /* theoretical: 10 x solids % / um (row S08) */
};

/* area_m2 x coats x film_um of dry film per coat, from paint of solids_vol_pct ready to spray, of which
 * transfer_pct lands, and loss_ml for cup and hose (rows S02, S08, S10: 1 m2 x 1 um is 1 mL). False where
 * solids, transfer or film is not above 0. */
bool mix_spread(double area_m2, double coats, double film_um, double solids_vol_pct, double transfer_pct,
                double loss_ml, struct mix_spread *out);
