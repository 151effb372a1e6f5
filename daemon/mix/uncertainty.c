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

/* Each pour is as unsure as the other, whatever it weighs, so the sum over k needs only how many there were: its own
 * with (1 - s)^2, and all others with s^2. */
void mix_uncertainty(const double *grams, const double *weighings, size_t n, const struct mix_weighing *w, double *u_g,
                     double *share_u_pct)
{
    double u = mix_pour_u_g(w), sum_g = 0, pours = 0;
    for (size_t i = 0; i < n; i++) {
        sum_g += grams[i];
        pours += grams[i] > 0 ? (weighings ? weighings[i] : 1) : 0;
    }
    for (size_t i = 0; i < n; i++) {
        double share = grams[i] / sum_g, own = grams[i] > 0 ? (weighings ? weighings[i] : 1) : 0;
        double squares = own * (1 - share) * (1 - share) + (pours - own) * share * share;
        u_g[i] = u * sqrt(own);
        share_u_pct[i] = sum_g > 0 ? 100 * u / sum_g * sqrt(grams[i] > 0 ? squares : 0) : NAN;
    }
}
