/* fault_json.c - a fault as the error object of an answer. It must not know any fault by name. */
#include "rpc/fault_json.h"

#include <math.h>
#include <string.h>

/* A fault's texts are cut to fit, perhaps within a letter: drop the bytes of it that are left. */
static json_t *text(const char *text)
{
    size_t len = strlen(text);
    json_t *json = json_stringn(text, len);

    for (int cut = 0; !json && cut < 3 && len > 0; cut++)
        json = json_stringn(text, --len);
    return json ? json : json_string("(not UTF-8)");
}

static void add_text(json_t *data, const char *name, const char *value)
{
    if (value[0] != '\0')
        json_object_set_new(data, name, text(value));
}

json_t *rpc_fault_json(const struct fault *fault)
{
    json_t *error = json_object(), *data = json_object();

    add_text(data, "field", fault->field);
    add_text(data, "why", fault->why);
    json_object_set_new(data, "help", text(fault->help[0] ? fault->help : "See the log of the daemon."));
    if (fault->revision >= 0)
        json_object_set_new(data, "revision", json_integer(fault->revision));
    add_text(data, "state", fault->state);
    if (isfinite(fault->short_g))
        json_object_set_new(data, "short_g", json_real(round(fault->short_g * 1e6) / 1e6));
    if (fault->said.code[0]) {
        json_object_set_new(data, "code", json_string(fault->said.code));
        json_object_set_new(data, "args", said_args_json(&fault->said));
    }
    json_object_set_new(error, "code", json_integer(fault_code(fault->kind)));
    json_object_set_new(error, "message", text(fault->message[0] ? fault->message : "failed"));
    json_object_set_new(error, "data", data);
    return error;
}
