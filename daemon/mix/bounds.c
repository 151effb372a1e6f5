/* bounds.c - what a number must be before the arithmetic sees it. It knows no field names: callers pass theirs through.
 */
#include "mix/bounds.h"

#include "mix/aim.h"

#include <math.h>
#include <stdbool.h>

/* The words of `why`, fixed by the contract. */
static const char *const words[] = {
    [MIX_FAULT_NONE] = "none",
    [MIX_FAULT_MISSING] = "missing",
    [MIX_FAULT_ALL_ZERO] = "all zero",
    [MIX_FAULT_ZERO] = "zero",
    [MIX_FAULT_NEGATIVE] = "negative",
    [MIX_FAULT_NOT_FINITE] = "no number",
    [MIX_FAULT_TOO_LARGE] = "too large",
    [MIX_FAULT_TOO_MANY] = "too many",
    [MIX_FAULT_LENGTHS] = "lengths differ",
    [MIX_FAULT_DENSITY] = "density missing",
    [MIX_FAULT_ONE_OF] = "exactly one",
};

const char *mix_fault_why(enum mix_fault fault)
{
    size_t i = (size_t)fault;
    return words[i < sizeof words / sizeof *words ? i : 0];
}

/* The first refusal stays: a person fixes one thing at a time. */
void mix_refuse(struct mix_refusal *no, enum mix_fault fault, const char *field, size_t index)
{
    if (no->fault == MIX_FAULT_NONE && fault != MIX_FAULT_NONE)
        *no = (struct mix_refusal){fault, field, index};
}

/* NaN in a list is no number; alone it means that the member is missing. */
static enum mix_fault amount(double number, double most)
{
    if (isnan(number) || isinf(number))
        return MIX_FAULT_NOT_FINITE;
    if (number < 0)
        return MIX_FAULT_NEGATIVE;
    return number > most ? MIX_FAULT_TOO_LARGE : MIX_FAULT_NONE;
}

static enum mix_fault lone(double number, double most, bool above_0)
{
    enum mix_fault fault = isnan(number) ? MIX_FAULT_MISSING : amount(number, most);
    return fault == MIX_FAULT_NONE && above_0 && !(number > 0) ? MIX_FAULT_ZERO : fault;
}

void mix_check_list(struct mix_refusal *no, const char *field, const double *numbers, size_t n, size_t wanted)
{
    if (n > MIX_MAX)
        mix_refuse(no, MIX_FAULT_TOO_MANY, field, 0);
    if (n != wanted)
        mix_refuse(no, MIX_FAULT_LENGTHS, field, 0);
    for (size_t i = 0; i < n && no->fault == MIX_FAULT_NONE; i++)
        mix_refuse(no, amount(numbers[i], MIX_LARGEST), field, i);
}

void mix_check_parts(struct mix_refusal *no, const char *field, const double *parts, size_t n)
{
    if (n == 0)
        mix_refuse(no, MIX_FAULT_MISSING, field, 0);
    mix_check_list(no, field, parts, n, n);
    for (size_t i = 0; i < n && no->fault == MIX_FAULT_NONE; i++) {
        if (parts[i] > 0)
            return;
    }
    mix_refuse(no, MIX_FAULT_ALL_ZERO, field, 0);
}

void mix_check_densities(struct mix_refusal *no, const char *field, const double *numbers, size_t n, size_t wanted)
{
    if (n > MIX_MAX)
        mix_refuse(no, MIX_FAULT_TOO_MANY, field, 0);
    if (n != wanted)
        mix_refuse(no, MIX_FAULT_LENGTHS, field, 0);
    for (size_t i = 0; i < n && no->fault == MIX_FAULT_NONE; i++) {
        if (!isnan(numbers[i]))
            mix_refuse(no, lone(numbers[i], MIX_LARGEST, true), field, i);
    }
}

void mix_check_above_0(struct mix_refusal *no, const char *field, double number)
{
    mix_refuse(no, lone(number, MIX_LARGEST, true), field, 0);
}

void mix_check_not_below_0(struct mix_refusal *no, const char *field, double number)
{
    mix_refuse(no, lone(number, MIX_LARGEST, false), field, 0);
}

void mix_check_pct(struct mix_refusal *no, const char *field, double number)
{
    mix_refuse(no, lone(number, 100, false), field, 0);
}

void mix_check_pct_above_0(struct mix_refusal *no, const char *field, double number)
{
    mix_refuse(no, lone(number, 100, true), field, 0);
}

void mix_check_density(struct mix_refusal *no, const char *field, double number)
{
    if (!isnan(number))
        mix_check_above_0(no, field, number);
}
