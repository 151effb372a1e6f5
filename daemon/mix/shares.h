/* shares.h - from parts by weight to shares, aims, density and volume.
 *
 * Units   parts in any scale; shares sum to 1; g/mL; NaN is a density that nobody knows.
 * Source  Volumes add on mixing: ASTM D5201 (ideal mixing).
 */
#pragma once

#include "mix/aim.h"

/* Shares of parts. False, and all shares 0, where the parts have no sum above 0. */
bool mix_shares(const double *parts, size_t n, double *share);

/* Density of the mix of these shares, 1 / sum(f / rho). NaN where a density that counts (share above
 * 0) is missing or not above 0, or where there is nothing. */
double mix_density_g_per_ml(const double *share, const double *density_g_per_ml, size_t n);

/* Volume of these weights. 0 for nothing; NaN where a density that counts is missing. */
double mix_volume_ml(const double *weight_g, const double *density_g_per_ml, size_t n);

/* The aim of one step of a toner named twice in a coat: what the component (component_aim_g = K f) still
 * lacks of done_g, poured by its other steps, shared among its open steps by their shares. open_share is
 * the sum of those, this one included. Never below 0; 0 where open_share is. A toner named once gets
 * component_aim_g - done_g. 100, 50, 100 with 110 in the first: 90 in the last. */
double mix_step_aim_g(double component_aim_g, double done_g, double step_share, double open_share);
