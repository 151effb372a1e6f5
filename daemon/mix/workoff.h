/* workoff.h - how much of which leftovers goes into a new batch: as much as the formula allows, the older first.
 *
 * Units   grams; leftovers stand oldest first; a composition is shares of 1 in the order of the formula's components.
 * Owner   The caller owns everything, the program (mix/linear.h) as room to work in too.
 * Errors  False where the solver gave no answer; callers check what people send with bounds.h.
 * Source  The project's own definition: maximise sum y with sum y_j L_ji <= K f_i + t_i(K), 0 <= y_j <= A_j; then, with
 *         that sum fixed, the oldest as much as can be, then the next. Rows C14 and C17 of the check values.
 */
#pragma once

#include "mix/linear.h"

/* A cup of the shelf. */
struct mix_leftover {
    double grams;          /* what it holds */
    double share[MIX_MAX]; /* of each component; what the formula does not hold is in `foreign` */
    double foreign;        /* share of what is not among the components */
    bool barred;           /* never used: another line, or activated */
};

/* Why a leftover is not used. */
enum mix_unused {
    MIX_USED,     /* it is; or nothing but room was missing: what it holds is in proportion */
    MIX_FOREIGN,  /* it holds what the formula does not */
    MIX_SMALL,    /* it holds less than can be weighed */
    MIX_TOO_RICH, /* one of its components would be too much */
    MIX_BARRED,   /* the caller's reason */
};

struct mix_workoff_asked {
    const double *share; /* of the formula, sum 1 */
    size_t n;
    double total_g; /* K */
    struct mix_tolerance tol;
    double smallest_g; /* each use and each addition is 0 or at least this; 0: any amount */
    const struct mix_leftover *leftover;
    size_t leftovers; /* at most MIX_MAX */
};

struct mix_workoff {
    double use_g[MIX_MAX];
    enum mix_unused why[MIX_MAX];
    double add_g[MIX_MAX]; /* fresh toner of each component */
    double total_g;        /* uses and additions */
};

/* Where no choice of amounts lets every addition be 0 or smallest_g (the batch itself is too small for that), the
 * additions are let off and only the uses keep to it. */
bool mix_workoff(const struct mix_workoff_asked *a, mix_solve *solve, void *solver, struct mix_program *room,
                 struct mix_workoff *out);
