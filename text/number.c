/* number.c - numbers as text and as JSON, and records of CSV. It must not know what a number or a field stands for. */
#include "text/number.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* From here on a double holds no 6 decimals any more. */
#define LARGE 1e9
#define MINUS "\xE2\x88\x92"

int number_decimals(double d_g)
{
    if (!(d_g > 0 && d_g < 1e6))
        return 2;
    double scaled = d_g;
    for (int n = 0; n < 4; n++) {
        if (fabs(scaled - round(scaled)) < 1e-6 && round(scaled) >= 1)
            return n;
        scaled *= 10;
    }
    return 4;
}

/* Half an interval goes away from zero, by round(). */
double number_round(double value, double step)
{
    if (!(step > 0) || !isfinite(value))
        return value;
    double rounded = round(value / step) * step;
    return rounded == 0 ? 0 : rounded; /* a minus before 0.0 would say something */
}

/* Signs and decimal sign are put round the digits here and nowhere else. digits holds no sign. */
static const char *finish(const struct number_style *s, char *digits, bool negative, bool plus, char *out, size_t size)
{
    bool zero = strspn(digits, "0.,") == strlen(digits);
    char *point = strpbrk(digits, ".,"); /* printf's own sign follows the locale */
    if (point)
        *point = s->point ? s->point : '.';
    const char *sign = zero ? "" : negative ? (s->minus ? MINUS : "-") : plus ? "+" : "";
    snprintf(out, size, "%s%s", sign, digits);
    return out;
}

const char *number_fixed(const struct number_style *s, double value, int decimals, bool plus, char *out, size_t size)
{
    char digits[400]; /* the largest double has 309 digits */
    if (!isfinite(value)) {
        snprintf(out, size, "?");
        return out;
    }
    snprintf(digits, sizeof digits, "%.*f", decimals < 0 ? 0 : decimals > 9 ? 9 : decimals, fabs(value));
    return finish(s, digits, value < 0, plus, out, size);
}

const char *number_weight(const struct number_style *s, double g, bool plus, char *out, size_t size)
{
    if (!(s->d_g > 0))
        return number_plain(s, g, out, size);
    return number_fixed(s, number_round(g, s->d_g), number_decimals(s->d_g), plus, out, size);
}

const char *number_plain(const struct number_style *s, double value, char *out, size_t size)
{
    char digits[400];
    if (!isfinite(value)) {
        snprintf(out, size, "?");
        return out;
    }
    snprintf(digits, sizeof digits, "%.6f", fabs(value));
    size_t n = strlen(digits);
    while (n > 0 && digits[n - 1] == '0')
        digits[--n] = '\0';
    if (n > 0 && (digits[n - 1] == '.' || digits[n - 1] == ','))
        digits[n - 1] = '\0';
    return finish(s, digits, value < 0, false, out, size);
}

/* Writes n backwards, with at least so many digits; returns its first. A printf here costs more than all the rest of a
 * reading's way. */
static char *number_before(char *end, uint64_t n, int digits)
{
    do {
        *--end = (char)('0' + n % 10);
        digits--;
    } while ((n /= 10) > 0 || digits > 0);
    return end;
}

char *number_exact_ug(int64_t ug, char room[NUMBER_ROOM])
{
    uint64_t u = ug < 0 ? (uint64_t)0 - (uint64_t)ug : (uint64_t)ug;
    char *end = room + NUMBER_ROOM - 1, *at = number_before(end, u % 1000000, 6);
    *--at = '.';
    at = number_before(at, u / 1000000, 1);
    if (ug < 0)
        *--at = '-';
    while (end[-1] == '0' && end[-2] != '.')
        end--;
    *end = '\0';
    return at;
}

/* Rounding first: 0.1 + 0.2 must not leave as 0.30000000000000004. */
json_t *number_json(double value)
{
    if (!isfinite(value))
        return json_null();
    if (fabs(value) < LARGE)
        value = round(value * 1e6) / 1e6;
    if (fabs(value) < LARGE && value == trunc(value))
        return json_integer((json_int_t)value);
    return json_real(value);
}

/* Division by a power of ten of an exact integer: the nearest double, which prints as typed. */
json_t *number_json_ug(int64_t ug)
{
    return ug % 1000000 == 0 ? json_integer(ug / 1000000) : json_real((double)ug / 1e6);
}

json_t *number_json_money(double value)
{
    if (!isfinite(value))
        return json_null();
    return number_json(fabs(value) < LARGE ? round(value * 100) / 100 : value);
}

/* ---- CSV ---- */

/* RFC 4180 section 2, rules 5 to 7: a quote within is doubled. */
static bool write_field(FILE *to, const char *field)
{
    if (!field[strcspn(field, ",\"\r\n")])
        return fputs(field, to) >= 0;
    if (fputc('"', to) == EOF)
        return false;
    for (; *field; field++)
        if ((*field == '"' && fputc('"', to) == EOF) || fputc(*field, to) == EOF)
            return false;
    return fputc('"', to) != EOF;
}

bool csv_record(FILE *to, const char *const *fields, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if ((i > 0 && fputc(',', to) == EOF) || !write_field(to, fields[i] ? fields[i] : ""))
            return false;
    return fputs("\r\n", to) >= 0;
}
