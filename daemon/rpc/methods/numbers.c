#include "rpc/methods/numbers.h"

#include <math.h>
#include <string.h>

bool numbers_read(const json_t *params, const char *name, double *out, size_t max, size_t *n, struct fault *fault)
{
    const json_t *list = json_object_get(params, name), *entry;
    size_t i;

    *n = 0;
    if (!list || json_is_null(list))
        return true;
    if (!json_is_array(list))
        return fault_set(fault, FAULT_PARAMS, name, "type", "Give a list of numbers.", "%s must be a list", name);
    if (json_array_size(list) > max)
        return fault_set(fault, FAULT_INVALID, name, mix_fault_why(MIX_FAULT_TOO_MANY),
                         mix_fault_help(MIX_FAULT_TOO_MANY), "%s holds more than %zu numbers", name, max);
    json_array_foreach(list, i, entry)
    {
        if (!json_is_number(entry) && !json_is_null(entry))
            return fault_set(fault, FAULT_PARAMS, name, "type", "Give a list of numbers.", "%s: entry %zu is no number",
                             name, i + 1);
        out[i] = json_is_null(entry) ? NAN : json_number_value(entry);
    }
    *n = json_array_size(list);
    return true;
}

json_t *numbers_list(const double *numbers, size_t n)
{
    json_t *list = json_array();

    for (size_t i = 0; i < n; i++)
        json_array_append_new(list, rpc_number(numbers[i]));
    return list;
}

bool numbers_basis(const json_t *params, bool *by_volume, struct fault *fault)
{
    const char *basis = "";

    if (!rpc_get_text(params, "basis", &basis, fault))
        return false;
    *by_volume = strcmp(basis, "volume") == 0;
    if (*by_volume || strcmp(basis, "weight") == 0)
        return true;
    return fault_set(fault, FAULT_INVALID, "basis", NULL, "Give volume or weight.",
                     "basis is neither volume nor weight");
}

bool numbers_good(const struct mix_refusal *no, struct fault *fault)
{
    if (!no->fault)
        return true;
    return fault_set(fault, FAULT_INVALID, no->field, mix_fault_why(no->fault), mix_fault_help(no->fault), "%s: %s",
                     no->field, mix_fault_why(no->fault));
}
