/* letdown.h - a toner too small to weigh, first thinned into the main component.
 *
 * Source  Aliquot method (row W07): dilute a weighable amount, then weigh the part that holds what is
 *         wanted.
 */
#pragma once

#include <stdbool.h>

struct mix_letdown {
    double toner_g;   /* weigh this much of the toner */
    double diluent_g; /* and this much of the main component, stir */
    double take_g;    /* then this much of it holds the grams wanted */
};

/* A letdown for `grams` of toner on a scale of interval d_g. False, *out untouched, where more than
 * diluent_g_max would be needed, or where grams or error_pct is not above 0. A toner that is weighable as
 * it is gets diluent_g 0. */
bool mix_letdown(double grams, double d_g, double half_drop_g, double error_pct, double diluent_g_max,
                 struct mix_letdown *out);
