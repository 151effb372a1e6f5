/* numbers.h - numbers and lists of numbers in params and answers, and what daemon/mix says is wrong with them.
 *
 * Values of the wrong JSON type are FAULT_PARAMS; values that make no sense go into a mix_refusal, whose first one is
 * told (numbers_good), so a method reads and checks in the order in which the papers list its members.
 */
#pragma once

#include "mix/aim.h"
#include "mix/bounds.h"
#include "rpc/rpc.h"

/* A number of a call: where it goes, what it is where it is left out, and what it may be. */
struct number_asked {
    const char *name; /* NULL ends a table */
    size_t at;        /* of a double in the struct that is filled */
    double usual;     /* left out; NaN: not known, which most checks refuse as missing */
    void (*check)(struct mix_refusal *no, const char *field, double number); /* of mix/bounds.h */
};

/* Reads all of a table into *into, then checks them in the table's order. False: one of another JSON type, *fault. */
bool numbers_fill(const json_t *params, const struct number_asked *table, void *into, struct mix_refusal *no,
                  struct fault *fault);
/* Reads a list of numbers, null as NaN; *n is 0 where the member is absent. False: an entry of another JSON type
 * (FAULT_PARAMS), or more than MIX_MAX of them (FAULT_INVALID). */
bool numbers_read(const json_t *params, const char *name, double out[MIX_MAX], size_t *n, struct fault *fault);
/* Hands out a list's entries in their order, until each() refuses one; more than MIX_MAX of them are refused before.
 * None at all is no fault. */
typedef bool numbers_entry(void *arg, const json_t *entry, struct mix_refusal *no, struct fault *fault);
bool numbers_each(const json_t *params, const char *name, numbers_entry *each, void *arg, struct mix_refusal *no,
                  struct fault *fault);
/* `basis`: volume or weight. False: any other text (FAULT_INVALID). */
bool numbers_basis(const json_t *params, bool *by_volume, struct fault *fault);
/* True where nothing was refused; else *fault is FAULT_INVALID with the field. */
bool numbers_good(const struct mix_refusal *no, struct fault *fault);
/* The answer's list; NaN becomes null. */
json_t *numbers_list(const double *numbers, size_t n);
/* Ends a call: with the result (taken), or where that is NULL with the fault. */
void numbers_answer(struct rpc_call *call, json_t *result, const struct fault *fault);
