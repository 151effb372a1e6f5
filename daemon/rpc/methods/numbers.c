/* numbers.c - numbers and lists of numbers in params and answers, and what daemon/mix says is wrong with them. It must
 * not know what a method does with them.
 */
#include "rpc/methods/numbers.h"

#include <math.h>
#include <string.h>

/* All are read before the first is checked: a wrong type is told before a value that makes no sense. */
bool numbers_fill(const json_t *params, const struct number_asked *table, void *into, struct mix_refusal *no,
                  struct fault *fault)
{
    for (const struct number_asked *row = table; row->name; row++) {
        double *out = (double *)(void *)((char *)into + row->at);
        *out = row->usual;
        if (!rpc_get_number(params, row->name, out, fault))
            return false;
    }
    for (const struct number_asked *row = table; row->name; row++)
        row->check(no, row->name, *(double *)(void *)((char *)into + row->at));
    return true;
}

/* The limit is that of the arithmetic's own arrays. */
bool numbers_read(const json_t *params, const char *name, double out[MIX_MAX], size_t *n, struct fault *fault)
{
    const json_t *list = json_object_get(params, name), *entry;
    size_t i;

    *n = 0;
    if (!list || json_is_null(list))
        return true;
    if (!json_is_array(list))
        return fault_said(fault, FAULT_PARAMS, name, "type", "member_not_list field=%s", name);
    if (json_array_size(list) > MIX_MAX)
        return fault_said(fault, FAULT_INVALID, name, mix_fault_why(MIX_FAULT_TOO_MANY),
                          "mix_too_many field=%s most=%d", name, MIX_MAX);
    json_array_foreach(list, i, entry)
    {
        if (!json_is_number(entry) && !json_is_null(entry))
            return fault_said(fault, FAULT_PARAMS, name, "type", "entry_not_number field=%s entry=%zu", name, i + 1);
        out[i] = json_is_null(entry) ? (double)NAN : json_number_value(entry);
    }
    *n = json_array_size(list);
    return true;
}

bool numbers_each(const json_t *params, const char *name, numbers_entry *each, void *arg, struct mix_refusal *no,
                  struct fault *fault)
{
    const json_t *list = json_object_get(params, name), *entry;
    size_t i;
    if (json_array_size(list) > MIX_MAX)
        mix_refuse(no, MIX_FAULT_TOO_MANY, name, 0);
    if (!numbers_good(no, fault))
        return false;
    json_array_foreach(list, i, entry)
    {
        if (!each(arg, entry, no, fault))
            return false;
    }
    return true;
}

/* A basis left out is no basis: by weight and by volume differ by what nobody may guess. */
bool numbers_basis(const json_t *params, bool *by_volume, struct fault *fault)
{
    const char *basis = "";

    if (!rpc_get_text(params, "basis", &basis, fault))
        return false;
    *by_volume = strcmp(basis, "volume") == 0;
    if (*by_volume || strcmp(basis, "weight") == 0)
        return true;
    return fault_said(fault, FAULT_INVALID, "basis", NULL, "member_choice field=%s given=%s choices=%s", "basis", basis,
                      "volume, weight");
}

/* One sentence a fault, since a client shows one; the help is that of its code. */
bool numbers_good(const struct mix_refusal *no, struct fault *fault)
{
    /* The sentence of each; its one word for `why` is daemon/mix's. */
    static const char *const forms[] = {
        [MIX_FAULT_NONE] = "",
        [MIX_FAULT_MISSING] = "member_missing field=%s",
        [MIX_FAULT_ALL_ZERO] = "mix_all_zero field=%s",
        [MIX_FAULT_ZERO] = "mix_zero field=%s",
        [MIX_FAULT_NEGATIVE] = "mix_negative field=%s",
        [MIX_FAULT_NOT_FINITE] = "member_no_number field=%s",
        [MIX_FAULT_TOO_LARGE] = "mix_too_large field=%s",
        [MIX_FAULT_TOO_MANY] = "mix_too_many field=%s most=%d",
        [MIX_FAULT_LENGTHS] = "mix_lengths field=%s",
        [MIX_FAULT_DENSITY] = "mix_density field=%s",
        [MIX_FAULT_ONE_OF] = "mix_one_of field=%s",
    };

    if (!no->fault)
        return true;
    return fault_said(fault, FAULT_INVALID, no->field, mix_fault_why(no->fault), forms[no->fault], no->field, MIX_MAX);
}

/* At most 6 decimals each (number_json), as the contract writes all numbers. */
json_t *numbers_list(const double *numbers, size_t n)
{
    json_t *list = json_array();

    for (size_t i = 0; i < n; i++)
        json_array_append_new(list, number_json(numbers[i]));
    return list;
}

/* So that a method reads as one expression. */
void numbers_answer(struct rpc_call *call, json_t *result, const struct fault *fault)
{
    if (result)
        rpc_answer(call, result);
    else
        rpc_fail(call, fault);
}
