#include "client/screen/words.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static double sound_d(double d_g)
{
    return d_g > 0 && d_g < 1e6 ? d_g : 0.1;
}

int words_decimals(double d_g)
{
    double scaled = sound_d(d_g);
    for (int n = 0; n < 4; n++) {
        if (fabs(scaled - round(scaled)) < 1e-6 && round(scaled) >= 1)
            return n;
        scaled *= 10;
    }
    return 4;
}

double words_round(double g, double d_g)
{
    double d = sound_d(d_g);
    double rounded = round(g / d) * d;
    return rounded == 0 ? 0 : rounded; /* a minus before 0.0 would say something */
}

void words_number(const struct words *w, double value, int decimals, bool plus, char *buf, size_t size)
{
    if (size == 0)
        return;
    if (!isfinite(value) || fabs(value) > 1e9) {
        snprintf(buf, size, "?");
        return;
    }
    char digits[40];
    snprintf(digits, sizeof digits, "%.*f", decimals, fabs(value));
    bool zero = strspn(digits, "0.") == strlen(digits);
    char *point = strpbrk(digits, ".,"); /* printf's own sign follows the locale */
    if (point)
        *point = w->point;
    const char *sign = zero ? "" : value < 0 ? (w->utf8 ? "\xE2\x88\x92" : "-") : plus ? "+" : "";
    snprintf(buf, size, "%s%s", sign, digits);
}

void words_weight(const struct words *w, double g, char *buf, size_t size)
{
    words_number(w, isfinite(g) ? words_round(g, w->d_g) : g, words_decimals(w->d_g), false, buf, size);
}

void words_signed(const struct words *w, double g, char *buf, size_t size)
{
    words_number(w, isfinite(g) ? words_round(g, w->d_g) : g, words_decimals(w->d_g), true, buf, size);
}

void words_litres(const struct words *w, double ml, char *buf, size_t size)
{
    char number[40];
    words_number(w, ml / 1000, 2, false, number, sizeof number);
    snprintf(buf, size, "%s L", number);
}

bool words_amount(const char *text, double *value)
{
    double number = 0, place = 0;
    size_t digits = 0;
    for (; *text; text++) {
        if (*text >= '0' && *text <= '9') {
            number = place > 0 ? number + (*text - '0') * place : number * 10 + (*text - '0');
            place /= 10;
            if (++digits > 12)
                return false;
        } else if ((*text == '.' || *text == ',') && place == 0) {
            place = 0.1;
        } else {
            return false;
        }
    }
    if (digits == 0 || !(number > 0) || number > 1e6)
        return false;
    *value = number;
    return true;
}

void words_clock(int64_t wall_s, bool seconds, char *buf, size_t size)
{
    int64_t day = wall_s % 86400;
    if (day < 0)
        day += 86400;
    int h = (int)(day / 3600), m = (int)(day / 60 % 60), s = (int)(day % 60);
    if (seconds)
        snprintf(buf, size, "%02d:%02d:%02d", h, m, s);
    else
        snprintf(buf, size, "%02d:%02d", h, m);
}
