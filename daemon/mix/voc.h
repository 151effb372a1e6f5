/* voc.h - volatile organic compounds of a mix as applied.
 *
 * Units   grams, g/mL, mass per cent, g/L. NaN is "not known".
 * Source  (Wv - Ww - Wec) / (V - Vw - Vec): 9VAC5-40-6990 B.1 (row V01). Volumes add: ASTM D5201 (V34).
 *         A comparison of numbers, no legal advice.
 */
#pragma once

#include "mix/aim.h"

/* Water at 25 C, g/mL. */
#define MIX_WATER_G_PER_ML 0.997

struct mix_voc_part {
    double grams;
    double density_g_per_ml;
    double voc_pct; /* VOC by mass, without water and exempt compounds */
    double water_pct;
    double exempt_pct;
    double exempt_density_g_per_ml; /* NaN: not known, only needed where exempt_pct is above 0 */
};

struct mix_voc {
    double actual_g_per_l;     /* VOC per litre of all; NaN where a density or a voc_pct is missing */
    double regulatory_g_per_l; /* less water and exempt compounds; NaN also where nothing is left of the volume */
    double density_g_per_ml;
    double volume_ml;
    double less_ml;  /* volume less water and exempt compounds: what averages weigh by */
    double voc_g;    /* NaN where a voc_pct is missing */
    const char *why; /* NULL, or why a number is NaN, in words */
};

/* Never fails: what cannot be known is NaN, with out->why. Parts of 0 g do not count. */
void mix_voc(const struct mix_voc_part *parts, size_t n, struct mix_voc *out);

/* Average of a multi-stage topcoat, (ground + sum of mids + 2 clear) / (mids + 3): rows V02, V03. */
double mix_voc_stages_g_per_l(double ground_g_per_l, const double *mids_g_per_l, size_t n, double clear_g_per_l);
