/* param_read.c - members of a call, read one at a time by a method. It must not know any method. */
#include "rpc/rpc.h"

/* By the same rules as a whole shape: null is left out, a wrong type is told with its field. */
static bool read_one(const json_t *params, struct shape_member *member, void *out, struct fault *fault)
{
    return shape_read_member(member, json_object_get(params, member->name), out, fault);
}

/* Lines may be in it: a shape that wants a single line has looked before. */
bool rpc_get_text(const json_t *params, const char *name, const char **out, struct fault *fault)
{
    struct shape_member member = {.name = name, .type = SHAPE_LINES};
    const json_t *value = json_object_get(params, name);

    if (!read_one(params, &member, NULL, fault))
        return false;
    if (json_is_string(value))
        *out = json_string_value(value);
    return true;
}

/* 250 and 250.0 are the same number. */
bool rpc_get_number(const json_t *params, const char *name, double *out, struct fault *fault)
{
    struct shape_member member = {.name = name, .type = SHAPE_NUMBER, .size = sizeof *out};
    return read_one(params, &member, out, fault);
}

/* true or false, never 0 or "yes". */
bool rpc_get_flag(const json_t *params, const char *name, bool *out, struct fault *fault)
{
    struct shape_member member = {.name = name, .type = SHAPE_FLAG, .size = sizeof *out};
    return read_one(params, &member, out, fault);
}
