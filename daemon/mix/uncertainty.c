/* uncertainty.c - the doubt of each weighing carried into the shares of a cup. It must not know a station or a scale.
 */
#include "mix/uncertainty.h"

#include <math.h>
#include <stdbool.h>

double mix_pour_u_g(const struct mix_weighing *w)
{
    return sqrt(w->d_g * w->d_g / 6 + w->repeatability_g * w->repeatability_g + w->drop_g * w->drop_g +
                w->drift_g * w->drift_g);
}

/* Each pour is as unsure as the other, whatever it weighs, so the sum over k needs only how many were poured: its own
 * term (1 - s)^2, and s^2 for each of the others. */
void mix_uncertainty(const double *grams, size_t n, const struct mix_weighing *w, double *u_g, double *share_u_pct)
{
    double u = mix_pour_u_g(w), sum_g = 0;
    size_t weighed = 0;
    for (size_t i = 0; i < n; i++) {
        sum_g += grams[i];
        weighed += grams[i] > 0;
    }
    for (size_t i = 0; i < n; i++) {
        double share = grams[i] / sum_g;
        double others = ((double)weighed - 1) * share * share;
        bool poured = grams[i] > 0;
        u_g[i] = poured ? u : 0;
        share_u_pct[i] = sum_g > 0 ? (poured ? 100 * u / sum_g * sqrt((1 - share) * (1 - share) + others) : 0) : NAN;
    }
}
