/* What rpc.discover tells as required is required, and nothing else is: each method is called without each such param,
 * and with those alone. A client written from the paper is refused for no member that the paper leaves free. */
#include "tests/e2e/harness.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* No row tells of two members that one of them must be there: what such a call is refused for when it has neither. */
static const struct {
    const char *method, *field;
} one_of[] = {
    {"batch.begin", "formula"}, {"mix.plan", "formula"},  {"mix.workoff", "parts"},   {"batch.tin", "code"},
    {"card.match", "batch"},    {"card.put", "batch"},    {"stock.stir", "toner"},    {"scale.check", "grams"},
    {"toner.get", "id"},        {"toner.remove", "id"},   {"formula.get", "formula"}, {"formula.check", "formula"},
    {"product.get", "product"}, {"mix.ratio", "total_g"},
};

static bool is_one_of(const char *method, const char *field)
{
    bool found = false;
    for (size_t i = 0; i < sizeof one_of / sizeof *one_of; i++)
        found = found || (strcmp(one_of[i].method, method) == 0 && strcmp(one_of[i].field, field) == 0);
    return found;
}

static json_t *value_of(const json_t *document, const json_t *schema);

/* With the members that must be there. */
static json_t *object_of(const json_t *document, const json_t *schema)
{
    json_t *object = json_object(), *name;
    size_t i;
    json_array_foreach(json_object_get(schema, "required"), i, name)
    {
        const char *member = json_string_value(name);
        json_object_set_new(object, member,
                            value_of(document, json_object_get(json_object_get(schema, "properties"), member)));
    }
    return object;
}

/* Some value of the type that is told. */
static json_t *value_of(const json_t *document, const json_t *schema)
{
    static const char start[] = "#/components/schemas/";
    const char *ref = json_string_value(json_object_get(schema, "$ref"));
    if (ref)
        schema = json_object_get(json_object_get(json_object_get(document, "components"), "schemas"),
                                 ref + sizeof start - 1);
    const json_t *words = json_object_get(schema, "enum");
    const char *type = json_string_value(json_object_get(schema, "type"));
    if (words)
        return json_copy(json_array_get(words, 0));
    if (!type || strcmp(type, "number") == 0 || strcmp(type, "integer") == 0)
        return json_integer(1);
    if (strcmp(type, "array") == 0)
        return json_pack("[o]", value_of(document, json_object_get(schema, "items")));
    if (strcmp(type, "object") == 0)
        return object_of(document, schema);
    return strcmp(type, "string") == 0 ? json_string("x") : json_true();
}

static json_t *required_of(const json_t *document, const json_t *method)
{
    json_t *params = json_object(), *param;
    size_t i;
    json_array_foreach(json_object_get(method, "params"), i, param)
    {
        const char *name = json_string_value(json_object_get(param, "name"));
        if (json_is_true(json_object_get(param, "required")))
            json_object_set_new(params, name, value_of(document, json_object_get(param, "schema")));
    }
    if (json_object_get(params, "station"))
        json_object_set_new(params, "station", json_string("bench"));
    return params;
}

static const char *refused_for(const json_t *answer, const char **why)
{
    const json_t *data = json_object_get(json_object_get(answer, "error"), "data");
    *why = json_string_value(json_object_get(data, "why"));
    return json_string_value(json_object_get(data, "field"));
}

/* A request that was answered before would be answered again. */
static json_t *ask(struct harness *h, const char *method, const json_t *params)
{
    json_t *with = json_deep_copy(params);
    if (json_object_get(with, "request"))
        json_object_set_new(with, "request", json_sprintf("needed-%d", ++h->next_request));
    return harness_ask(h, method, with);
}

static void try_method(struct harness *h, const char *method, const json_t *params)
{
    const char *name, *why, *field;
    json_t *value;
    json_object_foreach((json_t *)(uintptr_t)params, name, value)
    {
        json_t *less = json_copy((json_t *)(uintptr_t)params);
        json_object_del(less, name);
        if (!json_object_get(ask(h, method, less), "error"))
            fail_msg("%s without `%s`, which is told as required, is not refused", method, name);
        json_decref(less);
    }
    field = refused_for(ask(h, method, params), &why);
    if (field && why && !json_object_get(params, field) && !is_one_of(method, field))
        fail_msg("%s with all that is told as required is refused for `%s`: %s", method, field, why);
}

static void what_is_told_as_required_is_all_that_is(void **state)
{
    struct harness *h = *state;
    json_t *document = json_incref(harness_call(h, "rpc.discover", NULL)), *method;
    size_t i, tried = 0;
    json_array_foreach(json_object_get(document, "methods"), i, method)
    {
        const char *name = json_string_value(json_object_get(method, "name"));
        json_t *params = required_of(document, method);
        try_method(h, name, params);
        tried += json_object_size(params);
        json_decref(params);
    }
    if (i < 60 || tried < 90)
        fail_msg("%zu methods, %zu members", i, tried);
    json_decref(document);
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_is_told_as_required_is_all_that_is, begin, harness_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
