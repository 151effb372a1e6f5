/* figure.h - a number as a person reads it: true minus sign where the terminal can, the shop's decimal sign,
 * a space before the unit. */
#pragma once

#include <stdbool.h>

struct figure {
    char text[64];
};

struct figure_style {
    bool utf8;  /* the terminal can show a true minus sign; else plain ASCII */
    bool comma; /* the shop writes 26,4 */
};

/* `value` with so many decimals and a unit ("" : none). NaN, what is not known, is "-". Never a minus before a zero. */
struct figure figure_of(double value, int decimals, const char *unit, struct figure_style style);
/* The same with a plus sign before what is above zero: deviations. */
struct figure figure_signed(double value, int decimals, const char *unit, struct figure_style style);
/* As many decimals as it needs, at most 6: what a person typed or a file holds. */
struct figure figure_plain(double value, const char *unit, struct figure_style style);
/* Decimals of a scale interval: 0.01 -> 2, 0.05 -> 2, 0.5 -> 1, 1 -> 0; 2 where it is not known. */
int figure_decimals(double d_g);
