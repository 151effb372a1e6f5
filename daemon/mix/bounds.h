/* bounds.h - what is wrong with numbers that people send, and in which field.
 *
 * A refusal is filled by a chain of checks: the first one that finds a fault names it, later ones do nothing.
 *     struct mix_refusal no = MIX_REFUSAL_NONE;
 *     mix_check_parts(&no, "parts", parts, n);
 *     mix_check_list(&no, "poured_g", poured, m, n);
 *     if (no.fault) ... -32005 with no.field and mix_fault_why(no.fault)
 * A number that is missing is NaN.
 */
#pragma once

#include <stddef.h>

enum mix_fault {
    MIX_FAULT_NONE,
    MIX_FAULT_MISSING,  /* a list with nothing in it, or a number that is not there */
    MIX_FAULT_ALL_ZERO, /* parts, all of them 0 */
    MIX_FAULT_ZERO,     /* must be above 0 */
    MIX_FAULT_NEGATIVE,
    MIX_FAULT_NOT_FINITE, /* missing or no number */
    MIX_FAULT_TOO_LARGE,  /* beyond MIX_LARGEST, or a per cent above 100 */
    MIX_FAULT_TOO_MANY,   /* more than MIX_MAX */
    MIX_FAULT_LENGTHS,    /* lists that must be alike are not */
    MIX_FAULT_DENSITY,    /* a density is needed and missing */
    MIX_FAULT_ONE_OF,     /* exactly one of two was asked for */
};

/* Nobody weighs a thousand tonnes of paint; beyond this, sums would lose micrograms. */
#define MIX_LARGEST 1e9

struct mix_refusal {
    enum mix_fault fault;
    const char *field; /* the caller's text, NULL while there is no fault */
    size_t index;      /* place in the list, 0 for a lone number */
};
#define MIX_REFUSAL_NONE ((struct mix_refusal){MIX_FAULT_NONE, NULL, 0})

/* One or two words for `why`, never NULL; the sentence that goes with it is the caller's (rpc/methods/numbers.c). */
const char *mix_fault_why(enum mix_fault fault);

/* Notes a fault by hand, unless there is one already. */
void mix_refuse(struct mix_refusal *no, enum mix_fault fault, const char *field, size_t index);

/* Parts: 1 to MIX_MAX, each 0 or more and finite, not all 0. */
void mix_check_parts(struct mix_refusal *no, const char *field, const double *parts, size_t n);
/* A list of `wanted` numbers, each 0 or more. */
void mix_check_list(struct mix_refusal *no, const char *field, const double *numbers, size_t n, size_t wanted);
/* A list of `wanted` densities, each above 0 or NaN for null. */
void mix_check_densities(struct mix_refusal *no, const char *field, const double *numbers, size_t n, size_t wanted);
/* A number above 0; 0 or more; a per cent, 0 to 100; a per cent above 0. NaN is missing. */
void mix_check_above_0(struct mix_refusal *no, const char *field, double number);
void mix_check_not_below_0(struct mix_refusal *no, const char *field, double number);
void mix_check_pct(struct mix_refusal *no, const char *field, double number);
void mix_check_pct_above_0(struct mix_refusal *no, const char *field, double number);
/* As above_0, but NaN is null and fine. */
void mix_check_density(struct mix_refusal *no, const char *field, double number);
