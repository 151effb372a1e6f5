/* The examples of JSON-RPC 2.0, section 7, line by line, with the methods that they speak of. Where the contract takes
 * less than the standard, the row says so: params are an object (its section 1), so a call with a list is -32602; `id`
 * is a text, a whole number or null. */
#include "tests/unit/rpc/stub.h"

#include <stdio.h>

static void run_subtract(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    rpc_answer(call, json_real(json_number_value(json_object_get(params, "minuend")) -
                               json_number_value(json_object_get(params, "subtrahend"))));
}

static void run_nothing(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    (void)params;
    rpc_answer(call, json_null());
}

static void run_get_data(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    (void)params;
    rpc_answer(call, json_pack("[s, i]", "hello", 5));
}

const struct rpc_method rpc_methods[] = {
    {.name = "subtract", .run = run_subtract},
    {.name = "update", .run = run_nothing},
    {.name = "sum", .run = run_nothing},
    {.name = "notify_hello", .run = run_nothing},
    {.name = "notify_sum", .run = run_nothing},
    {.name = "get_data", .run = run_get_data},
    {0},
};

#define CALL(rest)     "{\"jsonrpc\": \"2.0\", " rest "}"
#define GOOD(what, id) "{\"jsonrpc\":\"2.0\",\"id\":" id ",\"result\":" what "}"
#define BAD(code, id)  "{\"jsonrpc\":\"2.0\",\"id\":" id ",\"error\":{\"code\":" code "}}"

/* clang-format off */
/* ours: what is told but for `message` and `data` of an error. Sets of a batch stand in any order (section 6). NULL: no
 * answer. */
static const struct {
    const char *example, *sent, *ours;
} rows[] = {
    {"positional parameters; the contract: an object",
     CALL("\"method\": \"subtract\", \"params\": [42, 23], \"id\": 1"), BAD("-32602", "1")},
    {"positional parameters; the contract: an object",
     CALL("\"method\": \"subtract\", \"params\": [23, 42], \"id\": 2"), BAD("-32602", "2")},
    {"named parameters", CALL("\"method\": \"subtract\", \"params\": {\"subtrahend\": 23, \"minuend\": 42}, \"id\": 3"),
     GOOD("19", "3")},
    {"named parameters", CALL("\"method\": \"subtract\", \"params\": {\"minuend\": 42, \"subtrahend\": 23}, \"id\": 4"),
     GOOD("19", "4")},
    {"a notification", CALL("\"method\": \"update\", \"params\": [1,2,3,4,5]"), NULL},
    {"a notification of no such method", CALL("\"method\": \"foobar\""), NULL},
    {"non-existent method", CALL("\"method\": \"foobar\", \"id\": \"1\""), BAD("-32601", "\"1\"")},
    {"invalid JSON", "{\"jsonrpc\": \"2.0\", \"method\": \"foobar, \"params\": \"bar\", \"baz]", BAD("-32700", "null")},
    {"invalid request object", CALL("\"method\": 1, \"params\": \"bar\""), BAD("-32600", "null")},
    {"batch, invalid JSON",
     "[" CALL("\"method\": \"sum\", \"params\": [1,2,4], \"id\": \"1\"") ",{\"jsonrpc\": \"2.0\", \"method\"]",
     BAD("-32700", "null")},
    {"an empty array", "[]", BAD("-32600", "null")},
    {"an invalid batch, but not empty", "[1]", "[" BAD("-32600", "null") "]"},
    {"invalid batch", "[1,2,3]", "[" BAD("-32600", "null") "," BAD("-32600", "null") "," BAD("-32600", "null") "]"},
    {"batch; sums by position are no object",
     "[" CALL("\"method\": \"sum\", \"params\": [1,2,4], \"id\": \"1\"") ","
     CALL("\"method\": \"notify_hello\", \"params\": [7]") ","
     CALL("\"method\": \"subtract\", \"params\": {\"minuend\": 42, \"subtrahend\": 23}, \"id\": \"2\"") ","
     "{\"foo\": \"boo\"},"
     CALL("\"method\": \"foo.get\", \"params\": {\"name\": \"myself\"}, \"id\": \"5\"") ","
     CALL("\"method\": \"get_data\", \"id\": \"9\"") "]",
     "[" BAD("-32602", "\"1\"") "," GOOD("19", "\"2\"") "," BAD("-32600", "null") "," BAD("-32601", "\"5\"") ","
     GOOD("[\"hello\",5]", "\"9\"") "]"},
    {"batch of notifications",
     "[" CALL("\"method\": \"notify_sum\", \"params\": [1,2,4]") "," CALL(
         "\"method\": \"notify_hello\", \"params\": [7]") "]",
     NULL},
};
/* clang-format on */

/* An answer as the standard prescribes it: message and data are ours. */
static void strip(json_t *answer)
{
    json_t *error = json_object_get(answer, "error");
    assert_true(!error || json_is_string(json_object_get(error, "message")));
    json_object_del(error, "message");
    json_object_del(error, "data");
}

/* 19.0 and 19 are one number (contract, section 1). */
static bool same(const json_t *a, const json_t *b)
{
    const char *key;
    const json_t *value;
    size_t i;
    if (json_is_number(a) && json_is_number(b))
        return json_number_value(a) == json_number_value(b);
    if (!json_is_object(a) && !json_is_array(a))
        return json_equal(a, b);
    if (json_typeof(a) != json_typeof(b) || json_object_size(a) != json_object_size(b) ||
        json_array_size(a) != json_array_size(b))
        return false;
    json_array_foreach(a, i, value) if (!same(value, json_array_get(b, i))) return false;
    json_object_foreach((json_t *)(uintptr_t)a, key, value) if (!same(value, json_object_get(b, key))) return false;
    return true;
}

/* Each of one set is in the other. */
static bool same_set(const json_t *a, const json_t *b)
{
    size_t i, n;
    const json_t *one;
    json_t *left = json_copy((json_t *)(uintptr_t)b);
    json_array_foreach(a, i, one)
    {
        for (n = 0; n < json_array_size(left) && !same(one, json_array_get(left, n));)
            n++;
        json_array_remove(left, n); /* none: the sets differ in size */
    }
    bool equal = json_array_size(a) == json_array_size(b) && json_array_size(left) == 0;
    json_decref(left);
    return equal;
}

static void the_examples_of_the_standard(void **state)
{
    struct stub stub;
    (void)state;
    stub_init(&stub);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *answer = stub_ask(&stub, rows[i].sent, strlen(rows[i].sent)), *one;
        json_t *ours = rows[i].ours ? json_loads(rows[i].ours, 0, NULL) : NULL;
        size_t n;
        if (!json_is_array(answer))
            strip(answer);
        json_array_foreach(answer, n, one) strip(one);
        bool good = !answer || !ours      ? !answer && !ours
                    : json_is_array(ours) ? same_set(answer, ours)
                                          : same(answer, ours);
        if (!good)
            fail_msg("%s: %s", rows[i].example, stub.last ? stub.last : "no answer");
        json_decref(answer);
        json_decref(ours);
    }
    stub_finish(&stub);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_examples_of_the_standard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
