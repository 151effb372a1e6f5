/* aim.h - how much of each component a batch needs: tolerance, least total, aims.
 *
 * A batch of K grams wants K * share of each component. Start with mix_k_lo, the least
 * total that what was really poured allows; mix_k_aim is the total that aims are set by.
 * Units   grams; a share is a fraction of 1 (see amount.h).
 * Owner   Pure: no memory, no clock, no state. Arrays belong to the caller.
 * Errors  None. Callers check what people send with bounds.h; zeros and empty lists are safe.
 * Source  The formulas are the project's own definition: t(K) = max(r K f, min(a, max(d/2, e K f))). It is never
 *         below half an interval, since no reading could meet that; a small toner may err by e of its aim, not by
 *         a whole a, which would be half of it or more.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

/* Most components in one cup. */
#define MIX_MAX  64
#define MIX_ROOM 96 /* components of one cup: a coat of MIX_MAX, and what else came into it */
/* Slack of every comparison, 1 ug: doubles alone would ask about a component that stands
 * exactly on the edge of its tolerance. */
#define MIX_SLACK_G 1e-6

struct mix_tolerance {
    double abs_g; /* a: what one component may be off, 0 or more */
    double rel;   /* r: the same as a part of its aim; 0.005 is 0.5 % */
    double d_g;   /* d: the scale's interval, 0 where there is no scale */
    double error; /* e: what a small component may err by, as a part of its aim; 0.05 is 5 %. Half (0.5) with
                   * d_g 0 is the rule that batches before the third set of rules were poured by. */
};

/* t_i(K): how far one component may be from its aim in a batch of total_g. 0 for a share of 0. */
double mix_tolerance_g(double share, double total_g, struct mix_tolerance tol);

/* k_i: the least total in which poured_g of this component is not too much. 0 where nothing was
 * poured, or where a component that the formula does not hold (share 0) stays within abs_g;
 * INFINITY where such a one is more than that: no total makes it right. */
double mix_k_of(double share, double poured_g, struct mix_tolerance tol);

/* k_lo: the least total, wanted_g or more, in which nothing is over. left marks components whose
 * excess was accepted: they are out of the maximum; NULL: none. INFINITY with too much of a foreign
 * component. Each poured_g is all of that component, so a toner named twice counts once. */
double mix_k_lo(const double *share, const double *poured_g, const bool *left, size_t n, double wanted_g,
                struct mix_tolerance tol);

/* k_aim: the total that later aims follow, min(max(k_lo, sum w_done / sum f_done), (1 + r) k_lo).
 * done marks components with an accepted pour that was not left; foreign ones are ignored. */
double mix_k_aim(const double *share, const double *poured_g, const bool *done, size_t n, double k_lo_g,
                 struct mix_tolerance tol);

/* Is this component beyond its tolerance in a batch of total_g? Both take MIX_SLACK_G of slack. A share of which
 * nothing was poured is under, however small its aim. */
bool mix_is_over(double share, double poured_g, double total_g, struct mix_tolerance tol);
bool mix_is_under(double share, double poured_g, double total_g, struct mix_tolerance tol);
