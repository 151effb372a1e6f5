/* rescue.h - the cheapest way out of an overpour when cups of the shelf may help: take out, pour a cup in, pour fresh.
 *
 * Units   grams, money a kilogram. A price that is NaN is not known: then all is compared by grams added and taken out.
 * Owner   The caller owns everything, the program (mix/linear.h) as room to work in too.
 * Errors  False where there is no way at all, or the solver gave no answer.
 * Source  The project's own definition: minimise the cost of what is added and of what is taken out, s in [0, 1],
 *         additions >= 0, 0 <= y_j <= A_j, with s w + add + sum y_j L_j from E f to E f + t(E), E from what is wanted
 *         to where growing alone would end. Without a cup it is the cheaper of grow and dip of mix/remedy.h, exactly.
 */
#pragma once

#include "mix/workoff.h"

struct mix_rescue_asked {
    const double *share;
    const double *poured_g;
    const bool *left; /* an excess that was accepted: out of every limit; NULL: none */
    size_t n;
    double wanted_g;
    struct mix_tolerance tol;
    double cup_g;               /* most the cup holds; NaN: no cup known */
    const double *price_per_kg; /* of each component; NULL: not known */
    double waste_per_kg;        /* what it costs to be rid of a kilogram */
    const struct mix_leftover *leftover;
    const double *leftover_per_kg; /* what a leftover is worth; NULL: nothing */
    size_t leftovers;
};

struct mix_rescue {
    double take_g;         /* of the whole cup, before anything is added */
    double use_g[MIX_MAX]; /* of each leftover */
    double add_g[MIX_MAX];
    double total_g;
    double cost; /* NaN: a price is not known */
    bool fits;   /* in the cup; true without one */
    bool cups;   /* a leftover is used, so it is neither grow nor dip */
};

bool mix_rescue(const struct mix_rescue_asked *a, mix_solve *solve, void *solver, struct mix_program *room,
                struct mix_rescue *out);
