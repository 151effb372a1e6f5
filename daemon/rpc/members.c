#include "rpc/members.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const type_names[] = {
    [RPC_TEXT] = "a text", [RPC_NUMBER] = "a number",  [RPC_FLAG] = "true or false",
    [RPC_LIST] = "a list", [RPC_OBJECT] = "an object", [RPC_ANY] = "a value",
};

static bool is_type(const json_t *value, enum rpc_type type)
{
    switch (type) {
    case RPC_TEXT:
        return json_is_string(value);
    case RPC_NUMBER:
        return json_is_number(value);
    case RPC_FLAG:
        return json_is_boolean(value);
    case RPC_LIST:
        return json_is_array(value);
    case RPC_OBJECT:
        return json_is_object(value);
    case RPC_ANY:
        break;
    }
    return true;
}

static bool left_out(const json_t *value)
{
    return !value || json_is_null(value);
}

static bool wrong_type(const char *name, enum rpc_type type, struct fault *fault)
{
    char help[64];

    snprintf(help, sizeof help, "Give %s.", type_names[type]);
    return fault_set(fault, FAULT_PARAMS, name, "type", help, "%s must be %s", name, type_names[type]);
}

static bool missing(const char *name, enum rpc_type type, struct fault *fault)
{
    char help[96];

    snprintf(help, sizeof help, "Give %s: %s.", name, type_names[type]);
    return fault_set(fault, type == RPC_NUMBER ? FAULT_INVALID : FAULT_PARAMS, name, "missing", help, "%s is missing",
                     name);
}

bool rpc_check_members(const struct rpc_member *members, const json_t *params, struct fault *fault)
{
    for (; members && members->name; members++) {
        const json_t *value = json_object_get(params, members->name);

        if (left_out(value) ? members->required && !missing(members->name, members->type, fault)
                            : !is_type(value, members->type) && !wrong_type(members->name, members->type, fault))
            return false;
    }
    return true;
}

bool rpc_check_request(const json_t *params, struct fault *fault)
{
    const char *request = NULL;
    size_t len;

    if (!rpc_get_text(params, "request", &request, fault))
        return false;
    if (!request)
        return true;
    len = strlen(request);
    for (size_t i = 0; i < len; i++)
        if (request[i] < ' ' || request[i] > '~')
            len = 0;
    if (len >= 1 && len <= 64)
        return true;
    return fault_set(fault, FAULT_PARAMS, "request", "form", "Give 1 to 64 printable ASCII characters.",
                     "request is not 1 to 64 printable ASCII characters");
}

bool rpc_get_text(const json_t *params, const char *name, const char **out, struct fault *fault)
{
    const json_t *value = json_object_get(params, name);

    if (left_out(value))
        return true;
    if (!json_is_string(value))
        return wrong_type(name, RPC_TEXT, fault);
    *out = json_string_value(value);
    return true;
}

bool rpc_get_number(const json_t *params, const char *name, double *out, struct fault *fault)
{
    const json_t *value = json_object_get(params, name);

    if (left_out(value))
        return true;
    if (!json_is_number(value))
        return wrong_type(name, RPC_NUMBER, fault);
    if (!isfinite(json_number_value(value)))
        return fault_set(fault, FAULT_INVALID, name, "no number", "Give a number.", "%s is not finite", name);
    *out = json_number_value(value);
    return true;
}

bool rpc_get_flag(const json_t *params, const char *name, bool *out, struct fault *fault)
{
    const json_t *value = json_object_get(params, name);

    if (left_out(value))
        return true;
    if (!json_is_boolean(value))
        return wrong_type(name, RPC_FLAG, fault);
    *out = json_is_true(value);
    return true;
}
