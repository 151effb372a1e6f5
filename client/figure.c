#include "client/figure.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct figure put_together(const char *sign, const char *digits, const char *unit)
{
    struct figure f;
    snprintf(f.text, sizeof f.text, "%s%s%s%s", sign, digits, *unit ? " " : "", unit);
    return f;
}

static struct figure make(double value, int decimals, const char *plus, const char *unit, struct figure_style style)
{
    char digits[40];
    if (!isfinite(value))
        return put_together("", "-", "");
    snprintf(digits, sizeof digits, "%.*f", decimals, fabs(value));
    bool zero = strspn(digits, "0.") == strlen(digits);
    const char *minus = style.utf8 ? "\xe2\x88\x92" : "-"; /* U+2212 */
    char *point = strchr(digits, '.');
    if (point && style.comma)
        *point = ',';
    return put_together(zero ? "" : value < 0 ? minus : plus, digits, unit);
}

struct figure figure_of(double value, int decimals, const char *unit, struct figure_style style)
{
    return make(value, decimals, "", unit, style);
}

struct figure figure_signed(double value, int decimals, const char *unit, struct figure_style style)
{
    return make(value, decimals, "+", unit, style);
}

struct figure figure_plain(double value, const char *unit, struct figure_style style)
{
    int decimals = 0;
    char digits[40];
    for (; isfinite(value) && decimals < 6; decimals++) {
        snprintf(digits, sizeof digits, "%.*f", decimals, value);
        if (fabs(strtod(digits, NULL) - value) < 5e-7)
            break;
    }
    return make(value, decimals, "", unit, style);
}

int figure_decimals(double d_g)
{
    if (!(d_g > 0))
        return 2;
    for (int decimals = 0; decimals < 6; decimals++) {
        double scaled = d_g * pow(10, decimals);
        if (fabs(scaled - round(scaled)) < 1e-6 * scaled && scaled > 0.5)
            return decimals;
    }
    return 6;
}
