/* weighable.h - the smallest batch that a scale can weigh.
 *
 * A component of m grams is uncertain by half a scale interval and half a drop, summed; it is weighable
 * where that is within error_pct of m.
 * Source  Minimum weighable quantity = sensitivity / permitted error (rows W01-W06, W12); half a drop of
 *         0.03 g: common practice, no source.
 */
#ifndef MIX_WEIGHABLE_H
#define MIX_WEIGHABLE_H

#include "mix/aim.h"

/* What one weighing must hold to be within error_pct: (d/2 + half_drop) / (error_pct / 100). INFINITY
 * where error_pct is 0 or less. */
double mix_weighable_g(double d_g, double half_drop_g, double error_pct);

/* The smallest total with every component weighable into *smallest_g, and into *index the component that
 * asks for it (the first of the smallest). Parts of 0 do not count. False where there are no parts or
 * error_pct is not above 0. */
bool mix_weighable(const double *parts, size_t n, double d_g, double half_drop_g, double error_pct, double *smallest_g,
                   size_t *index);

#endif
