/* estimate.h - what weighed-back cups teach of the next estimate: its correction, and how much is worth mixing.
 *
 * A ratio is what a job used, divided by what its panels were estimated at without any correction.
 * Units   ratios as plain numbers, mL, per cent; costs in any one currency.
 * Owner   Pure: arrays belong to the caller.
 * Errors  Too few jobs, or a cost not known, give NaN.
 */
#pragma once

#include <stddef.h>

#define MIX_JOBS       64 /* the newest so many count: a painter of three years ago paints otherwise */
#define MIX_JOBS_LEAST 3  /* fewer say nothing of a chance */

/* What an estimate is to be multiplied by: (n x median of ratios + 4) / (n + 4), so that a first job moves it by a
 * fifth of what it was off. n 0: 1. n is at most MIX_JOBS. Source: the design, "Quantity". */
double mix_correction(const double ratio[], size_t n);

struct mix_run_out {
    double ml;         /* what is worth mixing */
    double chance_pct; /* of the planned amount being too little */
};

/* planned_ml is what would be mixed, estimate_ml the same without correction. waste_per_ml: what a millilitre too much
 * costs; again_cost: what mixing a second time costs beside its paint. Of the needs of before the one is chosen whose
 * expected cost is least (the newsvendor's quantile, with a shortage that costs the same however large it is: from
 * memory). The chance is Laplace's (k + 1) / (n + 2), since what never happened in ten jobs may happen in the
 * eleventh. */
struct mix_run_out mix_run_out(const double ratio[], size_t n, double estimate_ml, double planned_ml,
                               double waste_per_ml, double again_cost);
