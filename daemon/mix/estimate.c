/* estimate.c - the correction that a painter's jobs give, and the amount whose expected cost is least. It must not know
 * whose jobs they were. */
#include "mix/estimate.h"

#include <math.h>

/* A job's need may equal the planned amount to the last bit but one, and then it was enough. */
#define ENOUGH (1 + 1e-9)

/* By insertion: 64 at most. */
static void sorted(const double in[], size_t n, double out[])
{
    for (size_t i = 0; i < n; i++) {
        size_t at = i;
        for (; at > 0 && out[at - 1] > in[i]; at--)
            out[at] = out[at - 1];
        out[at] = in[i];
    }
}

/* The median, since one spilled cup must not move a painter's next ten; four jobs that took what was estimated stand
 * beside it from the beginning. */
double mix_correction(const double ratio[], size_t n)
{
    double by_size[MIX_JOBS];
    if (n == 0 || n > MIX_JOBS)
        return 1;
    sorted(ratio, n, by_size);
    double median = n % 2 ? by_size[n / 2] : (by_size[n / 2 - 1] + by_size[n / 2]) / 2;
    return ((double)n * median + 4) / ((double)n + 4);
}

/* Of mixing `amount`, over all jobs of before: what would have been left, and how often it would not have been enough.
 */
static double expected_cost(const double ratio[], size_t n, double amount, double waste, double again)
{
    double cost = 0;
    for (size_t i = 0; i < n; i++)
        cost += ratio[i] > amount * ENOUGH ? again : waste * (amount - ratio[i]);
    return cost / (double)n;
}

/* Only needs of before are looked at: between two of them the cost rises with what is left over. */
struct mix_run_out mix_run_out(const double ratio[], size_t n, double estimate_ml, double planned_ml,
                               double waste_per_ml, double again_cost)
{
    struct mix_run_out out = {NAN, NAN};
    double least = INFINITY;
    size_t too_little = 0;
    if (n < MIX_JOBS_LEAST || n > MIX_JOBS)
        return out;
    for (size_t i = 0; i < n; i++) {
        double cost = expected_cost(ratio, n, ratio[i], waste_per_ml * estimate_ml, again_cost);
        /* Of two that cost the same the smaller: less paint stands about. */
        if (cost < least || (!(cost > least) && ratio[i] * estimate_ml < out.ml)) {
            least = cost;
            out.ml = ratio[i] * estimate_ml;
        }
        too_little += ratio[i] * estimate_ml > planned_ml * ENOUGH;
    }
    out.chance_pct = 100 * ((double)too_little + 1) / ((double)n + 2);
    return out;
}
