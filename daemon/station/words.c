#include "station/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *words_weight(double g, double d_g, int comma, char out[WORDS_WEIGHT])
{
    int decimals = d_g < 1 ? (int)fmin(4, ceil(-log10(d_g) - 1e-9)) : 0;
    snprintf(out, WORDS_WEIGHT, "%.*f", decimals, fabs(g) < 0.5 * d_g ? 0.0 : g);
    char *point = strchr(out, '.');
    if (point && comma)
        *point = ',';
    return out;
}
