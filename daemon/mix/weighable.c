/* weighable.c - what a scale can weigh, and how to dose what it cannot. It knows intervals and drops, no scale and
 * no formula: which toners are too small is the caller's question. */
#include "mix/weighable.h"

#include <math.h>

double mix_weighable_g(double d_g, double half_drop_g, double error_pct)
{
    return error_pct > 0 ? (d_g / 2 + half_drop_g) * 100 / error_pct : INFINITY;
}

bool mix_weighable(const double *parts, size_t n, double d_g, double half_drop_g, double error_pct, double *smallest_g,
                   size_t *index)
{
    double sum = 0;
    size_t least = n;
    for (size_t i = 0; i < n; i++) {
        if (!(parts[i] > 0))
            continue;
        sum += parts[i];
        if (least == n || parts[i] < parts[least])
            least = i;
    }
    if (least == n || !(error_pct > 0))
        return false;
    *smallest_g = mix_weighable_g(d_g, half_drop_g, error_pct) * (sum / parts[least]);
    *index = least;
    return true;
}

/* By how much the premix must be larger than what is wanted of it, so that the least toner can be weighed. */
static double premix_factor(const double *grams, size_t n, double least_g)
{
    double factor = 1;
    for (size_t i = 0; i < n; i++)
        factor = fmax(factor, least_g / grams[i]);
    return factor;
}

bool mix_premix(const double *grams, size_t n, double d_g, double half_drop_g, double error_pct, double diluent_g_max,
                struct mix_premix *out)
{
    double sum_g = 0;
    bool sense = n > 0 && n <= MIX_MAX && error_pct > 0;
    for (size_t i = 0; sense && i < n; i++) {
        sense = grams[i] > 0;
        sum_g += grams[i];
    }
    if (!sense)
        return false;
    /* Two weighings share the error: half of it for each. */
    double least_g = 2 * mix_weighable_g(d_g, half_drop_g, error_pct);
    double factor = premix_factor(grams, n, least_g);
    double take_g = fmax(least_g, sum_g);
    double diluent_g = factor * (take_g - sum_g);
    if (!(diluent_g <= diluent_g_max + MIX_SLACK_G))
        return false;
    *out = (struct mix_premix){.diluent_g = diluent_g, .take_g = take_g, .total_g = factor * take_g};
    double doubt_g = d_g / 2 + half_drop_g;
    for (size_t i = 0; i < n; i++) {
        out->toner_g[i] = factor * grams[i];
        out->dose_error_pct[i] = 100 * (doubt_g / out->toner_g[i] + doubt_g / take_g);
    }
    return true;
}
