/* remedy.h - what can be done about an overpour: grow, dip, leave; and make less.
 *
 * Start with mix_remedies: it answers all three at once, as the method mix.remedies prints them.
 * Units   grams, per cent. NaN stands for "null" where a field says so.
 * Owner   The caller owns all arrays and the answer; lists hold n numbers, the rest are 0.
 * Errors  None; see aim.h. More than MIX_ROOM components: the rest are not looked at.
 */
#pragma once

#include "mix/aim.h"

/* Pour on until everything is in proportion again. */
struct mix_grow {
    bool possible;          /* false: the rest is 0 */
    bool foreign;           /* why not: a component is in the cup that no total makes right */
    double total_g;         /* k_lo */
    double add_g[MIX_ROOM]; /* K f - w, never below 0 */
    bool fits;              /* total_g <= cup_g; true without a cup */
};

/* Stir, take some out, pour on. */
struct mix_dip {
    bool possible;
    double take_g;          /* W (1 - keep) */
    double keep;            /* s: the part of the cup that stays, 0 to 1 */
    double total_g;         /* E = min(wanted, cup) */
    double add_g[MIX_ROOM]; /* E f - s w, never below 0 */
};

/* Accept the error. */
struct mix_leave {
    double deviation_pct[MIX_ROOM]; /* 100 (w - T f) / (T f); NaN where nothing was poured or the share is 0 */
    double foreign_pct;             /* what the formula does not hold, of all in the cup */
};

struct mix_remedies {
    struct mix_grow grow;
    struct mix_dip dip;
    struct mix_leave leave;
};

/* The three remedies for a cup that holds poured_g and shall become wanted_g. left as in mix_k_lo
 * (a component left is out of grow and of dip; its deviation is still told). cup_g: most the cup
 * holds, NaN: no cup known. */
void mix_remedies(const double *share, const double *poured_g, const bool *left, size_t n, double wanted_g,
                  struct mix_tolerance tol, double cup_g, struct mix_remedies *out);

/* Make less: the total in which what was poured of component `which` is right, w / f, into *total_g.
 * False, and *total_g untouched, where another component would then be over, where it is foreign,
 * or where nothing of it was poured. */
bool mix_less_total(const double *share, const double *poured_g, size_t n, size_t which, struct mix_tolerance tol,
                    double *total_g);
