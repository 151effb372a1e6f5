/* uncertainty.h - how sure a cup's composition is, from how sure each weighing was.
 *
 * Units   grams, per cent.
 * Owner   Pure: the caller owns arrays and answers.
 * Errors  None: what was not weighed (0 g) is sure; a cup with nothing in it has no shares (NaN).
 * Source  JCGM 100:2008 (GUM), the law of propagation for inputs that do not depend on each other. A pour is the
 *         difference of two readings, each rounded to d and so uniform over d: 2 x d^2/12 = d^2/6. Repeatability, drop
 *         and drift are standard uncertainties as given.
 */
#pragma once

#include <stddef.h>

struct mix_weighing {
    double d_g;             /* the scale's interval */
    double repeatability_g; /* standard deviation of one pour weighed again and again */
    double drop_g;          /* of what the last drop adds */
    double drift_g;         /* of the scale's drift within one pour */
};

/* u of one pour: the root of d^2/6 + repeatability^2 + drop^2 + drift^2. */
double mix_pour_u_g(const struct mix_weighing *w);

/* grams[n] as poured, in weighings[n] pours each (NULL: in one). u_g[n]: standard uncertainty of each. share_u_pct[n]:
 * that of its share of the cup, in per cent of the cup (0.1 means 21.3 % +- 0.1 %). A share is g/G, so ds_i/dg_k =
 * ([i = k] - s_i) / G. */
void mix_uncertainty(const double *grams, const double *weighings, size_t n, const struct mix_weighing *w, double *u_g,
                     double *share_u_pct);
