#include "drivers/decode/tail.h"

#include "drivers/decode/line.h"

#include <string.h>

static bool weight(const struct scale_family *family, const uint8_t *frame, size_t len, struct scale_reading *out)
{
    *out = (struct scale_reading){.stability = SCALE_STABILITY_UNKNOWN};
    return (family->line ? line_decode(family->line, frame, len, out) : family->decode(frame, len, out)) &&
           out->digits[0] != '\0';
}

/* How many of the digits stand behind the point. */
static size_t decimals(const char *digits)
{
    const char *point = strchr(digits, '.');
    return point ? strlen(point + 1) : 0;
}

/* The digits of `a` may be the last ones of `b`: cut before the point, or behind it. */
static bool ends_alike(const char *a, const char *b)
{
    return decimals(a) == decimals(b) || (!strchr(a, '.') && strlen(a) <= decimals(b));
}

/* Bytes up to the last digit. */
static size_t up_to_number(const uint8_t *text, size_t len)
{
    while (len > 0 && (text[len - 1] < '0' || text[len - 1] > '9'))
        len--;
    return len;
}

bool tail_of(const struct scale_family *family, const uint8_t *a, size_t a_len, const uint8_t *b, size_t b_len)
{
    struct scale_reading one, other;
    return weight(family, a, a_len, &one) && weight(family, b, b_len, &other) && ends_alike(one.digits, other.digits) &&
           (one.unit == other.unit || family->blank_unit_means_moving) &&
           up_to_number(a, a_len) < up_to_number(b, b_len);
}
