/* What the protocol takes and what it refuses, with this test's own table of methods. */
#include "tests/unit/rpc/stub.h"

#include <stdio.h>

static struct rpc_call *parked[4]; /* calls that `later` keeps; of this test alone */
static size_t parked_count;

static void run_echo(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    rpc_answer(call, json_deep_copy(params));
}

static void run_later(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    (void)params;
    assert_true(parked_count < 4);
    parked[parked_count++] = call;
}

static void run_watch(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    (void)params;
    rpc_watch(call, "bench");
    rpc_answer_text(call, "{\"as\":\"it was\"}");
}

static void run_nothing(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    (void)params;
    rpc_answer(call, NULL);
}

static const struct shape_member members[] = {
    {.name = "text", .type = SHAPE_TEXT, .required = true},
    {.name = "number", .type = SHAPE_NUMBER, .required = true},
    {.name = "flag", .type = SHAPE_FLAG},
    {.name = "list", .type = SHAPE_LIST},
    {.name = "object", .type = SHAPE_OBJECT},
    {.name = "any", .type = SHAPE_ANY},
    {0},
};
static const struct shape typed = {NULL, members, NULL};
const struct rpc_method rpc_methods[] = {
    {.name = "echo", .run = run_echo},
    {.name = "later", .run = run_later},
    {.name = "typed", .needs = RIGHT_PAINT, .run = run_echo, .params = &typed},
    {.name = "watch.it", .run = run_watch},
    {.name = "nothing", .run = run_nothing},
    {0},
};

static int begin(void **state)
{
    struct stub *stub = malloc(sizeof *stub);

    if (!stub)
        return -1;
    stub_init(stub);
    parked_count = 0;
    *state = stub;
    return 0;
}

static int end(void **state)
{
    struct fault fault;

    stub_finish(*state);
    fault_said(&fault, FAULT_INTERNAL, NULL, NULL, "no_answer");
    for (size_t i = 0; i < parked_count; i++)
        rpc_fail(parked[i], &fault); /* nobody hears it; frees the call */
    free(*state);
    return 0;
}

#define DEEP_16 "[[[[[[[[[[[[[[" /* 14; the call and its params are two more */
#define UP_16   "]]]]]]]]]]]]]]"

/* Source: contract section 2 and JSON-RPC 2.0. id is the answer's id as JSON; NULL: there must be no answer. */
static const struct {
    const char *name, *line;
    size_t len; /* 0: that of the text */
    int code;   /* 0: a result */
    const char *id;
} lines[] = {
    {"a call", "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"echo\"}", 0, 0, "7"},
    {"a text as id", "{\"jsonrpc\":\"2.0\",\"id\":\"a\\\"b\",\"method\":\"echo\"}", 0, 0, "\"a\\\"b\""},
    {"null as id", "{\"jsonrpc\":\"2.0\",\"id\":null,\"method\":\"echo\"}", 0, 0, "null"},
    {"null as params", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":null}", 0, 0, "1"},
    {"space around it", " \t{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\"} \r", 0, 0, "1"},
    {"more members", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"extra\":[]}", 0, 0, "1"},
    {"no id", "{\"jsonrpc\":\"2.0\",\"method\":\"echo\"}", 0, 0, NULL},
    {"no id, no method of that name", "{\"jsonrpc\":\"2.0\",\"method\":\"none\"}", 0, 0, NULL},
    {"no id, bad params", "{\"jsonrpc\":\"2.0\",\"method\":\"typed\",\"params\":[1]}", 0, 0, NULL},
    {"empty", "", 0, -32700, "null"},
    {"words", "hello", 0, -32700, "null"},
    {"cut", "{\"jsonrpc\":\"2.0\",\"id\":1,\"meth", 0, -32700, "null"},
    {"cut in a text behind a backslash", "{\"jsonrpc\":\"2.0\\", 0, -32700, "null"},
    {"two values", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\"} {}", 0, -32700, "null"},
    {"a comma too much", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",}", 0, -32700, "null"},
    {"single quotes", "{'jsonrpc':'2.0'}", 0, -32700, "null"},
    {"a key twice", "{\"jsonrpc\":\"2.0\",\"id\":1,\"id\":1,\"method\":\"echo\"}", 0, -32700, "null"},
    {"a key twice inside", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":1,\"a\":2}}", 0, -32700,
     "null"},
    {"a key twice, once escaped", "{\"jsonrpc\":\"2.0\",\"id\":1,\"\\u0069d\":1,\"method\":\"echo\"}", 0, -32700,
     "null"},
    {"NaN", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":NaN}}", 0, -32700, "null"},
    {"Infinity", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":-Infinity}}", 0, -32700, "null"},
    {"a leading zero", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":01}}", 0, -32700, "null"},
    {"bad UTF-8", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":\"\xff\"}}", 0, -32700, "null"},
    {"an overlong letter", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":\"\xc0\xaf\"}}", 0,
     -32700, "null"},
    {"half a surrogate", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":\"\\ud800\"}}", 0, -32700,
     "null"},
    {"U+0000 escaped", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":\"\\u0000\"}}", 0, -32700,
     "null"},
    {"U+0000 in a key", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"\\u0000\":1}}", 0, -32700,
     "null"},
    {"a NUL byte", "{\"jsonrpc\":\"2.0\",\"id\":1,\0\"method\":\"echo\"}", 42, -32700, "null"},
    {"a tab in a text", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":\"\t\"}}", 0, -32700,
     "null"},
    {"a number", "42", 0, -32600, "null"},
    {"a text", "\"echo\"", 0, -32600, "null"},
    {"null", "null", 0, -32600, "null"},
    {"no version", "{\"id\":1,\"method\":\"echo\"}", 0, -32600, "1"},
    {"another version", "{\"jsonrpc\":\"1.0\",\"id\":1,\"method\":\"echo\"}", 0, -32600, "1"},
    {"a version as a number", "{\"jsonrpc\":2.0,\"id\":1,\"method\":\"echo\"}", 0, -32600, "1"},
    {"no method", "{\"jsonrpc\":\"2.0\",\"id\":1}", 0, -32600, "1"},
    {"no method, no id", "{\"jsonrpc\":\"2.0\"}", 0, -32600, "null"},
    {"a number as method", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":1}", 0, -32600, "1"},
    {"true as id", "{\"jsonrpc\":\"2.0\",\"id\":true,\"method\":\"echo\"}", 0, -32600, "null"},
    {"a list as id", "{\"jsonrpc\":\"2.0\",\"id\":[1],\"method\":\"echo\"}", 0, -32600, "null"},
    {"an object as id", "{\"jsonrpc\":\"2.0\",\"id\":{},\"method\":\"echo\"}", 0, -32600, "null"},
    {"a fraction as id", "{\"jsonrpc\":\"2.0\",\"id\":1.5,\"method\":\"echo\"}", 0, -32600, "null"},
    {"no such method", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo2\"}", 0, -32601, "1"},
    {"an empty method", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"\"}", 0, -32601, "1"},
    {"params as a list", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":[1]}", 0, -32602, "1"},
    {"params as an empty list", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":[]}", 0, -32602, "1"},
    {"params as a text", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":\"a\"}", 0, -32602, "1"},
    {"16 levels", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":" DEEP_16 UP_16 "}}", 0, 0, "1"},
    {"17 levels", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":[" DEEP_16 UP_16 "]}}", 0,
     -32600, "null"},
    {"brackets in a text are no levels",
     "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\",\"params\":{\"a\":\"\\\"" DEEP_16 DEEP_16 "\"}}", 0, 0, "1"},
    {"an answer that cannot be made", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"nothing\"}", 0, -32603, "1"},
    {"an empty batch", "[]", 0, -32600, "null"},
};

static void each_line_gets_its_answer(void **state)
{
    struct stub *stub = *state;

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        json_t *answer = stub_ask(stub, lines[i].line, lines[i].len ? lines[i].len : strlen(lines[i].line));
        char *id;

        if (!lines[i].id) {
            if (answer)
                fail_msg("%s: answered with %s", lines[i].name, stub->last);
            continue;
        }
        if (!answer)
            fail_msg("%s: no answer", lines[i].name);
        id = json_dumps(json_object_get(answer, "id"), JSON_ENCODE_ANY);
        if (stub_code(answer) != lines[i].code || !id || strcmp(id, lines[i].id) != 0)
            fail_msg("%s: got %s, want %d for id %s", lines[i].name, stub->last, lines[i].code, lines[i].id);
        assert_string_equal("2.0", json_string_value(json_object_get(answer, "jsonrpc")));
        assert_int_equal(3, json_object_size(answer));
        free(id);
        json_decref(answer);
    }
    assert_int_equal(0, stub->caller.open);
}

static void members_are_checked_against_the_table(void **state)
{
    static const struct {
        const char *params;
        int code; /* 0: taken */
        const char *field;
    } rows[] = {
        {"{\"text\":\"a\",\"number\":1}", 0, ""},
        {"{\"text\":\"a\",\"number\":1.5,\"flag\":true,\"list\":[],\"object\":{},\"any\":[],\"unknown\":1}", 0, ""},
        {"{\"text\":\"a\",\"number\":1,\"flag\":null,\"list\":null,\"object\":null}", 0, ""},
        {"{\"number\":1}", -32602, "text"},
        {"{\"text\":null,\"number\":1}", -32602, "text"},
        {"{\"text\":1,\"number\":1}", -32602, "text"},
        {"{\"text\":\"a\"}", -32005, "number"},
        {"{\"text\":\"a\",\"number\":null}", -32005, "number"},
        {"{\"text\":\"a\",\"number\":\"1\"}", -32602, "number"},
        {"{\"text\":\"a\",\"number\":true}", -32602, "number"},
        {"{\"text\":\"a\",\"number\":1,\"flag\":1}", -32602, "flag"},
        {"{\"text\":\"a\",\"number\":1,\"flag\":\"true\"}", -32602, "flag"},
        {"{\"text\":\"a\",\"number\":1,\"list\":{}}", -32602, "list"},
        {"{\"text\":\"a\",\"number\":1,\"object\":[]}", -32602, "object"},
        {"{\"text\":\"a\",\"number\":1,\"request\":"
         "\"0123456789012345678901234567890123456789012345678901234567890123\"}",
         0, ""},
        {"{\"text\":\"a\",\"number\":1,\"request\":"
         "\"01234567890123456789012345678901234567890123456789012345678901234\"}",
         -32602, "request"},
        {"{\"text\":\"a\",\"number\":1,\"request\":\"\"}", -32602, "request"},
        {"{\"text\":\"a\",\"number\":1,\"request\":\"caf\xc3\xa9\"}", -32602, "request"},
        {"{\"text\":\"a\",\"number\":1,\"request\":\"a\\nb\"}", -32602, "request"},
        {"{\"text\":\"a\",\"number\":1,\"request\":5}", -32602, "request"},
    };
    struct stub *stub = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].code)
            stub_refused(stub, "typed", rows[i].params, rows[i].code, rows[i].field);
        else
            json_decref(stub_call(stub, "typed", rows[i].params));
}

static void numbers_beyond_a_double_are_numbers_that_make_no_sense(void **state)
{
    static const char *const numbers[] = {"1e309", "-1e400", "99999999999999999999", "-99999999999999999999",
                                          "1.5E+999"};
    struct stub *stub = *state;
    char params[80];

    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        json_t *result;

        snprintf(params, sizeof params, "{\"a\":%s,\"text\":\"1e999\"}", numbers[i]);
        result = stub_call(stub, "echo", params);
        assert_true(json_number_value(json_object_get(result, "a")) * (numbers[i][0] == '-' ? -1 : 1) >= 1e19);
        assert_string_equal("1e999", json_string_value(json_object_get(result, "text")));
        json_decref(result);
    }
}

static void a_method_that_changes_needs_permission(void **state)
{
    struct stub *stub = *state;

    stub->caller.may_change = false;
    stub_refused(stub, "typed", "{\"text\":\"a\",\"number\":1}", -32006, "");
    json_decref(stub_call(stub, "echo", "{}"));
}

static void a_watch_reaches_the_connection_and_a_ready_answer_passes_as_it_is(void **state)
{
    struct stub *stub = *state;
    json_t *result = stub_call(stub, "watch.it", "{}");

    assert_string_equal("bench", stub->watching);
    assert_string_equal("it was", json_string_value(json_object_get(result, "as")));
    json_decref(result);
}

static json_t *ask(struct stub *stub, const char *text)
{
    return stub_ask(stub, text, strlen(text));
}

static void a_batch_is_answered_as_one_list_in_its_order(void **state)
{
    struct stub *stub = *state;
    json_t *all = ask(stub, "[{\"jsonrpc\":\"2.0\",\"id\":\"a\",\"method\":\"echo\",\"params\":{\"n\":1}},"
                            "{\"jsonrpc\":\"2.0\",\"method\":\"echo\"},1,"
                            "{\"jsonrpc\":\"2.0\",\"id\":\"b\",\"method\":\"none\"}]");

    assert_int_equal(3, json_array_size(all));
    assert_string_equal("a", json_string_value(json_object_get(json_array_get(all, 0), "id")));
    assert_int_equal(-32600, stub_code(json_array_get(all, 1)));
    assert_int_equal(-32601, stub_code(json_array_get(all, 2)));
    json_decref(all);
    assert_null(ask(stub, "[{\"jsonrpc\":\"2.0\",\"method\":\"echo\"},{\"jsonrpc\":\"2.0\",\"method\":\"none\"}]"));
    assert_int_equal(1, stub->answers);
}

static void a_batch_waits_for_its_last_answer(void **state)
{
    struct stub *stub = *state;
    json_t *all;

    assert_null(ask(stub, "[{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"later\"},"
                          "{\"jsonrpc\":\"2.0\",\"id\":2,\"method\":\"echo\"},"
                          "{\"jsonrpc\":\"2.0\",\"id\":3,\"method\":\"later\"}]"));
    assert_int_equal(2, stub->caller.open);
    rpc_answer(parked[1], json_integer(33));
    assert_int_equal(0, stub->answers);
    rpc_answer(parked[0], json_integer(11));
    parked_count = 0;
    assert_int_equal(1, stub->answers);
    all = json_loads(stub->last, 0, NULL);
    assert_int_equal(3, json_array_size(all));
    assert_int_equal(11, json_integer_value(json_object_get(json_array_get(all, 0), "result")));
    assert_int_equal(33, json_integer_value(json_object_get(json_array_get(all, 2), "result")));
    json_decref(all);
}

static void a_batch_holds_at_most_sixteen_calls(void **state)
{
    static const char call[] = "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"echo\"}";
    struct stub *stub = *state;

    for (int n = 16; n <= 17; n++) {
        char text[17 * sizeof call + 4] = "[";
        size_t at = 1;
        json_t *answer;

        for (int i = 0; i < n; i++)
            at += (size_t)snprintf(text + at, sizeof text - at, "%s%s", i ? "," : "", call);
        snprintf(text + at, sizeof text - at, "]");
        answer = ask(stub, text);
        if (n == 16)
            assert_int_equal(16, json_array_size(answer));
        else
            assert_int_equal(-32600, stub_code(answer));
        json_decref(answer);
    }
}

static void answers_come_in_any_order_and_a_client_that_left_is_no_matter(void **state)
{
    struct stub *stub = *state;

    assert_null(ask(stub, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"later\"}"));
    assert_null(ask(stub, "{\"jsonrpc\":\"2.0\",\"id\":2,\"method\":\"later\"}"));
    assert_null(ask(stub, "[{\"jsonrpc\":\"2.0\",\"id\":3,\"method\":\"later\"}]"));
    rpc_answer(parked[1], json_true());
    assert_string_equal("{\"jsonrpc\":\"2.0\",\"id\":2,\"result\":true}", stub->last);
    assert_int_equal(2, stub->caller.open);
    rpc_caller_gone(&stub->caller);
    rpc_answer(parked[0], json_true());
    rpc_answer(parked[2], json_true());
    parked_count = 0;
    assert_int_equal(1, stub->answers);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(each_line_gets_its_answer, begin, end),
        cmocka_unit_test_setup_teardown(members_are_checked_against_the_table, begin, end),
        cmocka_unit_test_setup_teardown(numbers_beyond_a_double_are_numbers_that_make_no_sense, begin, end),
        cmocka_unit_test_setup_teardown(a_method_that_changes_needs_permission, begin, end),
        cmocka_unit_test_setup_teardown(a_watch_reaches_the_connection_and_a_ready_answer_passes_as_it_is, begin, end),
        cmocka_unit_test_setup_teardown(a_batch_is_answered_as_one_list_in_its_order, begin, end),
        cmocka_unit_test_setup_teardown(a_batch_waits_for_its_last_answer, begin, end),
        cmocka_unit_test_setup_teardown(a_batch_holds_at_most_sixteen_calls, begin, end),
        cmocka_unit_test_setup_teardown(answers_come_in_any_order_and_a_client_that_left_is_no_matter, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
