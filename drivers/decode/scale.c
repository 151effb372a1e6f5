/* Names and exact conversion behind scale.h. */
#include "drivers/scale.h"

#include <string.h>

__extension__ typedef __int128 wide; /* 18 digits times a tonne in nanograms needs 110 bits */

static const char *const unit_names[] = {"", "g", "kg", "lb", "oz", "mg", "t", "gr", "pcs"};
static const char *const kind_names[] = {"unknown", "net", "gross", "tare"};
static const char *const status_names[] = {"ok", "over", "under", "error"};

/* Nanograms in one unit, 0 where it is no weight. All exact by definition (GNU units 2.22; NIST SP 811). */
static const int64_t unit_ng[] = {
    0,
    1000000000,       /* g */
    1000000000000,    /* kg */
    453592370000,     /* lb */
    28349523125,      /* oz */
    1000000,          /* mg */
    1000000000000000, /* t */
    64798910,         /* gr */
    0,
};

#define COUNT(table) (sizeof(table) / sizeof *(table))

/* A value out of range gets the name of nothing, as an enum may come from a damaged record. */
const char *scale_unit_name(enum scale_unit unit)
{
    return (size_t)unit < COUNT(unit_names) ? unit_names[unit] : "";
}

const char *scale_kind_name(enum scale_kind kind)
{
    return (size_t)kind < COUNT(kind_names) ? kind_names[kind] : "unknown";
}

const char *scale_status_name(enum scale_status status)
{
    return (size_t)status < COUNT(status_names) ? status_names[status] : "error";
}

bool scale_unit_find(const char *name, enum scale_unit *out)
{
    for (size_t i = SCALE_UNIT_G; i < COUNT(unit_names); i++) {
        if (strcmp(name, unit_names[i]) == 0) {
            *out = (enum scale_unit)i;
            return true;
        }
    }
    return false;
}

/* Digits and decimals of a number without its sign. False: not one, or more than 18 digits. */
/* Eighteen digits fit 63 bits; the wide product with the unit then fits 127. */
static bool mantissa(const char *text, int64_t *out, int *decimals)
{
    int digits = 0;
    bool point = false;
    *out = 0;
    *decimals = 0;
    for (; *text; text++) {
        if (*text == '.' && !point) {
            point = true;
            continue;
        }
        if (*text < '0' || *text > '9' || ++digits > 18)
            return false;
        *out = *out * 10 + (*text - '0');
        *decimals += point;
    }
    return digits > 0;
}

/* A division of 64 bits where they hold it, as they do for all that a bench weighs. */
static wide divide(wide number, wide by)
{
    if (number <= INT64_MAX && by <= INT64_MAX)
        return (int64_t)number / (int64_t)by;
    return number / by;
}

__attribute__((hot)) bool scale_weight_ug(const char *digits, enum scale_unit unit, int64_t *out_ug)
{
    bool negative = *digits == '-';
    int64_t number;
    int decimals;
    if ((size_t)unit >= COUNT(unit_ng) || unit_ng[unit] == 0 || !mantissa(digits + negative, &number, &decimals))
        return false;
    wide divisor = 1000; /* nanograms in a microgram */
    for (int i = 0; i < decimals; i++)
        divisor *= 10;
    /* Half of a microgram rounds up, by the magnitude: so 0.5 and -0.5 round alike. */
    wide ug = divide((wide)number * unit_ng[unit] + divisor / 2, divisor);
    if (ug > INT64_MAX)
        return false;
    *out_ug = negative ? -(int64_t)ug : (int64_t)ug;
    return true;
}

__attribute__((hot)) void scale_reading_weigh(struct scale_reading *reading, enum scale_unit assumed)
{
    enum scale_unit unit = reading->unit == SCALE_UNIT_NONE ? assumed : reading->unit;
    reading->weight_ug = 0;
    reading->has_weight = reading->status == SCALE_OK && scale_weight_ug(reading->digits, unit, &reading->weight_ug);
}
