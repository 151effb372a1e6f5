/* kubelka.h - the colour of a mix from what its toners absorb and scatter: two-constant Kubelka-Munk theory.
 *
 * Absorption K and scattering S of each toner add by weight; a film that hides what is below it reflects
 * R = 1 + K/S - sqrt((K/S)^2 + 2 K/S). Reflections at the film's own surface are left out (no Saunderson correction):
 * two mixes that are compared have the same surface. It says nothing of flakes, whose colour changes with the angle.
 * Units   K and S per unit of weight, in any scale that all toners share; wavelengths in nm; L*a*b* of daylight D65 and
 *         the observer of 1931.
 * Owner   Pure: the caller owns arrays and answers.
 * Source  K/S = (1 - R)^2 / 2R: P. Kubelka and F. Munk (1931); the additivity of K and S: D. R. Duncan (1940); both
 *         from memory. Weights at 20 nm: CIE 15, from memory, held against its white in tests.
 */
#pragma once

#include "mix/de00.h"

#include <stdbool.h>
#include <stddef.h>

#define MIX_BANDS    16 /* 400, 420 ... 700 nm */
#define MIX_BANDS_NM 20
#define MIX_BANDS_AT 400

struct mix_optics {
    double k[MIX_BANDS], s[MIX_BANDS];
};

/* Bands from measured points, rising by wavelength; between two points along a straight line, beyond the ends as at the
 * end. False: fewer than three points, or none in the blue (below 480 nm) or the red (above 600 nm): too thin. */
bool mix_optics_of(const double nm[], const double k[], const double s[], size_t n, struct mix_optics *out);

/* What an infinitely thick film of this K/S reflects, 0 to 1. */
double mix_km_reflectance(double k_by_s);

/* The colour of n toners by weight; optics[i] is not looked at where grams[i] is 0. False: nothing in it scatters. */
bool mix_km_lab(const double grams[], const struct mix_optics *const optics[], size_t n, struct mix_lab *out);

/* L*a*b* of what reflects so much in each band. */
struct mix_lab mix_lab_of(const double reflectance[MIX_BANDS]);
