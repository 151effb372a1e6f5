/* voc.c - grams of solvent a litre, actual and less water. It sums over parts and knows no limits of any country. */
#include "mix/voc.h"

#include <math.h>

/* What one part brings. NaN where it is not known. */
struct brought {
    double ml;
    double away_ml; /* water and exempt compounds */
    double voc_g;
};

static struct brought bring(const struct mix_voc_part *part)
{
    double away_ml = part->grams * part->water_pct / 100 / MIX_WATER_G_PER_ML;
    if (part->exempt_pct > 0) {
        double rho = part->exempt_density_g_per_ml;
        away_ml += rho > 0 ? part->grams * part->exempt_pct / 100 / rho : NAN;
    }
    return (struct brought){
        .ml = part->density_g_per_ml > 0 ? part->grams / part->density_g_per_ml : NAN,
        .away_ml = away_ml,
        .voc_g = part->grams * part->voc_pct / 100,
    };
}

/* The first gap in the order in which a person can close them. */
static const char *why_null(const struct brought *sum, double less_ml)
{
    if (isnan(sum->voc_g))
        return "a VOC content is not known";
    if (isnan(sum->ml))
        return "a density is not known";
    if (!(sum->ml > 0))
        return "there is nothing in it";
    if (isnan(sum->away_ml))
        return "the density of an exempt compound is not known";
    if (!(less_ml > 0))
        return "nothing is left but water and exempt compounds";
    return NULL;
}

void mix_voc(const struct mix_voc_part *parts, size_t n, struct mix_voc *out)
{
    struct brought sum = {0};
    double grams = 0;
    for (size_t i = 0; i < n; i++) {
        if (!(parts[i].grams > 0))
            continue;
        struct brought one = bring(&parts[i]);
        grams += parts[i].grams;
        sum.ml += one.ml;
        sum.away_ml += one.away_ml;
        sum.voc_g += one.voc_g;
    }
    double less_ml = sum.ml - sum.away_ml;
    /* What cancels to a hair above nothing is nothing: pure water would otherwise divide by rounding. */
    if (less_ml < 1e-9 * sum.ml)
        less_ml = 0;
    bool some = sum.ml > 0;
    *out = (struct mix_voc){
        .actual_g_per_l = some ? 1000 * sum.voc_g / sum.ml : NAN,
        .regulatory_g_per_l = some && less_ml > 0 ? 1000 * sum.voc_g / less_ml : NAN,
        .density_g_per_ml = some ? grams / sum.ml : NAN,
        .volume_ml = sum.ml,
        .less_ml = less_ml,
        .voc_g = sum.voc_g,
        .why = why_null(&sum, less_ml),
    };
}

double mix_voc_stages_g_per_l(double ground_g_per_l, const double *mids_g_per_l, size_t n, double clear_g_per_l)
{
    double sum = ground_g_per_l + 2 * clear_g_per_l;
    for (size_t i = 0; i < n; i++)
        sum += mids_g_per_l[i];
    return sum / ((double)n + 3);
}
