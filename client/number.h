/* number.h - numbers as a person types them. */
#pragma once

#include <stdbool.h>

enum number_fault {
    NUMBER_OK,
    NUMBER_TRASH,    /* not a number from its first to its last character */
    NUMBER_TWO_WAYS, /* `1,250`: a thousand or a comma? */
};

/* Digits with at most one point or comma, and a sign. No exponent, no unit, no space, no thousands. */
enum number_fault number_parse(const char *text, double *value);

/* The same for an option: *value, or exit code 64 after one line. `what` is such as `--grams`. */
int number_read(const char *what, const char *text, double *value);
/* The same for what must be above 0. */
int number_read_above_0(const char *what, const char *text, double *value);
