/* numbers.h - lists of numbers in params and answers, and what daemon/mix says is wrong with them. */
#pragma once

#include "mix/bounds.h"
#include "rpc/rpc.h"

/* Reads a list of numbers into out[max], null as NaN; *n is 0 where the member is absent. False: an entry of another
 * JSON type (FAULT_PARAMS), or more than max of them (FAULT_INVALID). */
bool numbers_read(const json_t *params, const char *name, double *out, size_t max, size_t *n, struct fault *fault);
/* The answer's list; NaN becomes null. */
json_t *numbers_list(const double *numbers, size_t n);
/* `basis`: volume or weight. False: any other text (FAULT_INVALID). */
bool numbers_basis(const json_t *params, bool *by_volume, struct fault *fault);
/* True where nothing was refused; else *fault is FAULT_INVALID with the field. */
bool numbers_good(const struct mix_refusal *no, struct fault *fault);
