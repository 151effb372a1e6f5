/* words.h - weights in sentences: to the scale's d, with the shop's decimal sign. For messages only, never the fold. */
#pragma once

#include <stddef.h>

#define WORDS_WEIGHT 32

/* `404.1`; decimals as d has them (0.01 two, 0.1 one, 1 none). */
const char *words_weight(double g, double d_g, int comma, char out[WORDS_WEIGHT]);
