/* formula.h - from parts by weight to shares, aims, density and volume.
 *
 * Units   parts in any scale; shares sum to 1; g/mL; NaN is a density that nobody knows.
 * Source  Volumes add on mixing: ASTM D5201 (ideal mixing).
 */
#ifndef MIX_FORMULA_H
#define MIX_FORMULA_H

#include "mix/aim.h"

/* Shares of parts. False, and all shares 0, where the parts have no sum above 0. */
bool mix_shares(const double *parts, size_t n, double *share);

/* Density of the mix of these shares, 1 / sum(f / rho). NaN where a density that counts (share above
 * 0) is missing or not above 0, or where there is nothing. */
double mix_density_g_per_ml(const double *share, const double *density_g_per_ml, size_t n);

/* Volume of these weights. 0 for nothing; NaN where a density that counts is missing. */
double mix_volume_ml(const double *weight_g, const double *density_g_per_ml, size_t n);

/* A toner named twice in a coat: the aim of one step, when the component's aim is component_aim_g, the
 * step is step_share of the component's share, and the other steps of it that are already done took
 * done_g together with shares done_share. A step that is followed by another open one keeps its own
 * part of the aim; the last open one (last_open) takes what is left of the component. Never below 0. */
double mix_step_aim_g(double component_aim_g, double step_share, double component_share, double done_g, bool last_open);

#endif
