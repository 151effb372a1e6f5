/* words.h - numbers as a page shows them: to the scale's interval d, with the shop's decimal sign.
 *
 * Pure. Weights come in grams, volumes in millilitres. What is not known (NAN) never becomes a figure: it is `?`.
 * A weight is rounded here only to be shown; no sum is ever made of what these functions return. */
#ifndef POISE_CLIENT_SCREEN_WORDS_H
#define POISE_CLIENT_SCREEN_WORDS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct words {
    double d_g; /* the scale's interval, above 0; what is not sensible counts as 0.1 */
    char point; /* '.' or ',' */
    bool utf8;  /* true minus sign instead of a hyphen */
};

/* Decimals that d needs: 0 for 1 g, 1 for 0.1 g, 2 for 0.05 g; 0 to 4. */
int words_decimals(double d_g);

/* The nearest multiple of d; g itself where d is not above 0. Never minus zero. */
double words_round(double g, double d_g);

/* `31.4`, `-0.2`: a weight to d. */
void words_weight(const struct words *w, double g, char *buf, size_t size);

/* `+0.3`, `0.0`, `-0.3`: a deviation to d. */
void words_signed(const struct words *w, double g, char *buf, size_t size);

/* A number with a fixed count of decimals (0 to 6): `0.47`, `612`, `+3.49` where plus is wanted. */
void words_number(const struct words *w, double value, int decimals, bool plus, char *buf, size_t size);

/* Millilitres as litres: `0.47 L`. */
void words_litres(const struct words *w, double ml, char *buf, size_t size);

/* What a person wrote (`400`, `12.5` or `12,5`) as a number above 0 and at most 1e6; false where it is not one. */
bool words_amount(const char *text, double *value);

/* Local wall seconds to `10:42:07` or, short, `10:42`. */
void words_clock(int64_t wall_s, bool seconds, char *buf, size_t size);

#endif
