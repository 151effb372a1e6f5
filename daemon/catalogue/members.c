#include "catalogue/members.h"

#include "id.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const struct member_range range_per_cent = {0, 100, false, "Give a per cent from 0 to 100."};
const struct member_range range_above_0 = {0, 1e9, true, "Give a number above 0."};
const struct member_range range_from_0 = {0, 1e9, false, "Give 0 or a number above it."};
/* Osmium, the densest of all, is 22.6 (from memory): a figure above is in kg/m3 or g/L. */
const struct member_range range_density = {0, 25, true, "Give a density above 0, at most 25 g/mL."};
const struct member_range range_celsius = {-50, 100, false, "Give degrees Celsius from -50 to 100."};
const struct member_range range_fill = {0, 100, true, "Give a per cent above 0, at most 100."};
const struct member_range range_tolerance = {0, 100, true, "Give a per cent above 0, at most 100."};

/* NULL: left out (or null). */
static const json_t *find(const json_t *object, const char *name)
{
    const json_t *value = json_object_get(object, name);
    return value && !json_is_null(value) ? value : NULL;
}

static bool missing_text(const char *name, struct fault *fault)
{
    return fault_set(fault, FAULT_PARAMS, name, "missing", "Give it.", "%s is missing", name);
}

bool member_object(const json_t *json, const char *what, struct fault *fault)
{
    if (json_is_object(json))
        return true;
    return fault_set(fault, FAULT_PARAMS, what, "not an object", "Give a JSON object.", "%s is not an object", what);
}

bool member_text(const json_t *object, const char *name, bool required, char *out, size_t size, struct fault *fault)
{
    const json_t *value = find(object, name);
    out[0] = '\0';
    if (!value)
        return required ? missing_text(name, fault) : true;
    if (!json_is_string(value))
        return fault_set(fault, FAULT_PARAMS, name, "not a text", "Give a text.", "%s is not a text", name);
    const char *text = json_string_value(value);
    size_t n = json_string_length(value);
    if (required && n == 0)
        return missing_text(name, fault);
    if (n >= size)
        return fault_set(fault, FAULT_INVALID, name, "too long", "Write it shorter.", "%s is longer than %zu bytes",
                         name, size - 1);
    for (size_t i = 0; i < n; i++)
        if ((unsigned char)text[i] < 0x20 || text[i] == 0x7f)
            return fault_set(fault, FAULT_INVALID, name, "control character", "Write it on one line.",
                             "%s holds a control character", name);
    memcpy(out, text, n + 1);
    return true;
}

bool member_id(const json_t *object, const char *name, bool required, char *out, struct fault *fault)
{
    char text[256];
    out[0] = '\0';
    if (!member_text(object, name, required, text, sizeof text, fault))
        return false;
    if (text[0] == '\0')
        return true;
    if (!id_fits(text))
        return fault_set(fault, FAULT_INVALID, name, "not an id", "Use 1 to 40 of A-Z a-z 0-9 . _ - .",
                         "%s is not an id: %.60s", name, text);
    memcpy(out, text, strlen(text) + 1);
    return true;
}

bool member_word(const json_t *object, const char *name, bool required, const char *const words[], char *out,
                 size_t size, struct fault *fault)
{
    char text[256], help[sizeof fault->help] = "Give one of:";
    for (size_t i = 0; words[i]; i++) {
        size_t used = strlen(help);
        snprintf(help + used, sizeof help - used, " %s%s", words[i], words[i + 1] ? "" : ".");
    }
    if (!member_text(object, name, required, text, sizeof text, fault)) {
        if (strcmp(fault->why, "missing") == 0)
            memcpy(fault->help, help, sizeof help);
        return false;
    }
    out[0] = '\0';
    if (text[0] == '\0')
        return true;
    for (size_t i = 0; words[i]; i++) {
        if (strcmp(words[i], text) == 0) {
            snprintf(out, size, "%s", text);
            return true;
        }
    }
    return fault_set(fault, FAULT_INVALID, name, "not known", help, "%s is not known: %.60s", name, text);
}

bool member_number(const json_t *object, const char *name, bool required, const struct member_range *range, double *out,
                   struct fault *fault)
{
    const json_t *value = find(object, name);
    if (!value)
        return !required || fault_set(fault, FAULT_INVALID, name, "missing", range->help, "%s is missing", name);
    if (!json_is_number(value))
        return fault_set(fault, FAULT_PARAMS, name, "not a number", "Give a number.", "%s is not a number", name);
    double number = json_number_value(value);
    if (!isfinite(number) || number > range->most || number < range->least || (range->above && number <= range->least))
        return fault_set(fault, FAULT_INVALID, name, "out of range", range->help, "%s makes no sense: %g", name,
                         number);
    *out = number;
    return true;
}

bool member_flag(const json_t *object, const char *name, bool *out, struct fault *fault)
{
    const json_t *value = find(object, name);
    if (!value)
        return true;
    if (!json_is_boolean(value))
        return fault_set(fault, FAULT_PARAMS, name, "not true or false", "Give true or false.",
                         "%s is not true or false", name);
    *out = json_is_true(value);
    return true;
}

bool member_list(const json_t *object, const char *name, size_t least, size_t most, const json_t **out,
                 struct fault *fault)
{
    const json_t *value = find(object, name);
    *out = NULL;
    if (!value && least == 0)
        return true;
    if (!value)
        return fault_set(fault, FAULT_PARAMS, name, "missing", "Give a list.", "%s is missing", name);
    if (!json_is_array(value))
        return fault_set(fault, FAULT_PARAMS, name, "not a list", "Give a list.", "%s is not a list", name);
    size_t n = json_array_size(value);
    if (n < least)
        return fault_set(fault, FAULT_INVALID, name, "empty", "Give at least one.", "%s is empty", name);
    if (n > most)
        return fault_set(fault, FAULT_INVALID, name, "too many", "Give fewer.", "%s holds more than %zu", name, most);
    *out = value;
    return true;
}

json_t *member_of_text(const char *text)
{
    return text[0] ? json_string(text) : json_null();
}

json_t *member_of_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}
