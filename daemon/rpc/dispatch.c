/* dispatch.c - a message taken apart: JSON, call or batch, method, params. It must not know what a method does, nor
 * over which transport it came.
 */
#include "rpc/call.h"

#include "text/json_read.h"
#include "text/json_write.h"
#include "text/near.h"

#include <math.h>
#include <string.h>

/* Some fifty names: compared one after the other in less time than the JSON took. */
static const struct rpc_method *find(const char *name)
{
    for (const struct rpc_method *m = rpc_methods; m->name; m++)
        if (strcmp(m->name, name) == 0)
            return m;
    return NULL;
}

/* As JSON-RPC 2.0, section 4: text, whole number or null. 250.0 is whole. */
static bool good_id(const json_t *id)
{
    double value = json_number_value(id);

    return json_is_string(id) || json_is_null(id) || json_is_integer(id) || (json_is_real(id) && value == trunc(value));
}

/* Is it a call at all? False: *fault. */
static bool is_call(const json_t *value, struct fault *fault)
{
    const json_t *version = json_object_get(value, "jsonrpc"), *id = json_object_get(value, "id");

    if (!json_is_object(value))
        return fault_said(fault, FAULT_REQUEST, NULL, NULL, "call_not_object");
    if (!json_is_string(version) || strcmp(json_string_value(version), "2.0") != 0)
        return fault_said(fault, FAULT_REQUEST, "jsonrpc", NULL, "call_version");
    if (id && !good_id(id))
        return fault_said(fault, FAULT_REQUEST, "id", NULL, "call_id");
    if (!json_is_string(json_object_get(value, "method")))
        return fault_said(fault, FAULT_REQUEST, "method", NULL, "call_method");
    return true;
}

/* `request`, where it is given: 1 to 64 printable ASCII characters. False: *fault. */
static bool request_fits(const json_t *params, struct fault *fault)
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
    return (len >= 1 && len <= 64) || fault_said(fault, FAULT_PARAMS, "request", "form", "request_form");
}

/* Everything that can be told before the method runs. False: *fault. */
static bool admit(const struct rpc_caller *caller, const struct rpc_method *method, const json_t *params,
                  struct fault *fault)
{
    if (!json_is_object(params))
        return fault_said(fault, FAULT_PARAMS, "params", "type", "member_not_object field=%s", "params");
    if (method->needs > caller->right)
        return fault_said(fault, FAULT_NOT_PERMITTED, NULL, "rights", "no_right method=%s right=%s", method->name,
                          right_names[method->needs]);
    if (method->needs > RIGHT_READ && !caller->may_change)
        return fault_said(fault, FAULT_NOT_PERMITTED, NULL, NULL, "no_token method=%s", method->name);
    return (!method->params || shape_check(method->params, params, fault)) &&
           (method->needs == RIGHT_READ || request_fits(params, fault));
}

/* Runs a call that is one, or refuses it. */
static void run_call(struct rpc_caller *caller, struct rpc_call *call, const json_t *value)
{
    const char *name = json_string_value(json_object_get(value, "method"));
    const struct rpc_method *method = find(name);
    json_t *params = json_object_get(value, "params");
    struct fault fault = {0};

    if (!method) {
        struct near near = near_to(name);
        for (const struct rpc_method *m = rpc_methods; m->name; m++)
            near_take(&near, m->name);
        if (near.best[0])
            fault_said(&fault, FAULT_METHOD, NULL, NULL, "no_method_near method=%s nearest=%s", name, near.best);
        else
            fault_said(&fault, FAULT_METHOD, NULL, NULL, "no_method method=%s", name);
        rpc_fail(call, &fault);
        return;
    }
    params = params && !json_is_null(params) ? json_incref(params) : json_object();
    rpc_call_set_method(call, rpc_methods, method, params);
    if (admit(caller, method, params, &fault))
        method->run(caller->daemon, call, params);
    else
        rpc_fail(call, &fault);
    json_decref(params);
}

/* One call of a message. What is no call at all is answered with its id where it has one, else null. */
static void run(struct rpc_caller *caller, const json_t *value, struct rpc_batch *batch, size_t place)
{
    struct fault fault = {0};
    bool good = is_call(value, &fault);
    json_t *id = json_object_get(value, "id");
    json_t *answer_to = good || (id && good_id(id)) ? json_incref(id) : json_null();
    struct rpc_call *call = rpc_call_new(caller, answer_to, batch, place);

    json_decref(answer_to);
    if (call && good)
        run_call(caller, call, value);
    else if (call)
        rpc_fail(call, &fault);
    else if (batch)
        rpc_batch_skip(batch, caller);
    else
        rpc_lost(caller);
}

/* Each call is run in turn; their answers are sent together when the last has come. */
static void run_batch(struct rpc_caller *caller, const json_t *calls)
{
    size_t count = json_array_size(calls);
    struct rpc_batch *batch;
    struct fault fault = {0};

    if (count < 1 || count > RPC_BATCH_MAX) {
        fault_said(&fault, FAULT_REQUEST, NULL, NULL, "call_batch count=%zu most=%d", count, RPC_BATCH_MAX);
        rpc_refuse(caller, &fault);
        return;
    }
    batch = rpc_batch_new(count);
    if (!batch)
        rpc_lost(caller);
    for (size_t i = 0; batch && i < count; i++)
        run(caller, json_array_get(calls, i), batch, i);
}

/* NULL: *fault. A text of 64 KiB may nest 64 Ki levels, and each asks for some stack: so few are allowed. */
static json_t *parse(const char *text, size_t len, struct fault *fault)
{
    struct json_wrong wrong;
    json_t *value = json_read(text, len, RPC_DEPTH_MAX, &wrong);
    if (wrong.what == JSON_WRONG_DEEP)
        fault_said(fault, FAULT_REQUEST, NULL, "too deep", "call_too_deep most=%d", RPC_DEPTH_MAX);
    else if (wrong.what == JSON_WRONG_MEMORY)
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    else if (!value)
        fault_said(fault, FAULT_PARSE, NULL, NULL, "not_json at=%zu", wrong.at);
    return value;
}

/* A value that is neither object nor list is no call: run() says so. */
void rpc_dispatch(struct rpc_caller *caller, const char *text, size_t len)
{
    struct fault fault = {0};
    json_forget();
    json_t *value = parse(text, len, &fault);

    if (!value)
        rpc_refuse(caller, &fault);
    else if (json_is_array(value))
        run_batch(caller, value);
    else
        run(caller, value, NULL, 0);
    json_decref(value);
}

void rpc_refuse(struct rpc_caller *caller, const struct fault *fault)
{
    struct rpc_call *call = rpc_call_new(caller, json_null(), NULL, 0);

    if (call)
        rpc_fail(call, fault);
    else
        rpc_lost(caller);
}
