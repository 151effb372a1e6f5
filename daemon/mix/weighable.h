/* weighable.h - the smallest batch that a scale can weigh, and the premix that doses what it cannot.
 *
 * A component of m grams is uncertain by u = half a scale interval and half a drop, summed; it is weighable
 * where u is within error_pct of m. A premix is weighed twice, so each weighing may err by half of error_pct.
 * Units   grams, per cent.
 * Owner   Pure: the caller owns arrays and answers.
 * Source  Minimum weighable quantity = sensitivity / permitted error (rows W01-W06, W12); the premix is the
 *         aliquot method (row W07): dilute a weighable amount, then weigh the part that holds what is wanted.
 *         Half a drop of 0.03 g: common practice, no source.
 */
#pragma once

#include "mix/aim.h"

/* What one weighing must hold to be within error_pct: (d/2 + half_drop) / (error_pct / 100). INFINITY
 * where error_pct is 0 or less. */
double mix_weighable_g(double d_g, double half_drop_g, double error_pct);

/* The smallest total with every component weighable into *smallest_g, and into *index the component that
 * asks for it (the first of the smallest). Parts of 0 do not count. False where there are no parts or
 * error_pct is not above 0. */
bool mix_weighable(const double *parts, size_t n, double d_g, double half_drop_g, double error_pct, double *smallest_g,
                   size_t *index);

/* The small toners of one formula, thinned together in a main component of it. */
struct mix_premix {
    double toner_g[MIX_MAX];        /* weigh this much of each, k times what is wanted */
    double diluent_g;               /* and this much of the main component, stir */
    double take_g;                  /* then this much of it doses every one of them */
    double total_g;                 /* the premix as made, k times take_g */
    double dose_error_pct[MIX_MAX]; /* what each may be off, both weighings at their worst */
};

/* A premix that doses `grams` of n toners within error_pct on a scale of interval d_g. False, and *out
 * untouched, where it needs more than diluent_g_max of the main component, where a number of grams or
 * error_pct is not above 0, or where there are no toners or more than MIX_MAX. Toners that can be weighed as
 * they are gain nothing by it: the caller leaves them out. */
bool mix_premix(const double *grams, size_t n, double d_g, double half_drop_g, double error_pct, double diluent_g_max,
                struct mix_premix *out);
