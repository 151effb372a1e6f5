/* What a client may do wrong on the socket: each wrong thing gets its documented error, and the daemon lives on. */
#include "tests/e2e/raw_client.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define CALL        "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"daemon.info\""
#define BYTES(text) text, sizeof text - 1

/* Contract, sections 2 and 3; JSON-RPC 2.0 section 5.1. 0: a result. */
static const struct {
    const char *name, *bytes;
    size_t len;
    int code;
} lines[] = {
    {"no JSON", BYTES("garbage"), -32700},
    {"an empty line", BYTES(""), -32700},
    {"spaces", BYTES("   "), -32700},
    {"half an object", BYTES("{\"jsonrpc\":\"2.0\""), -32700},
    {"half a list", BYTES("[" CALL "}"), -32700},
    {"two values", BYTES(CALL "} {}"), -32700},
    {"a comma too many", BYTES(CALL ",}"), -32700},
    {"a key without quotes", BYTES("{jsonrpc:\"2.0\"}"), -32700},
    {"NaN", BYTES(CALL ",\"params\":{\"x\":NaN}}"), -32700},
    {"minus infinity", BYTES(CALL ",\"params\":{\"x\":-Infinity}}"), -32700},
    {"a key twice", BYTES(CALL ",\"method\":\"scale.list\"}"), -32700},
    {"a key twice, deep", BYTES(CALL ",\"params\":{\"x\":[{\"a\":1,\"a\":1}]}}"), -32700},
    {"a byte that is no UTF-8", BYTES(CALL ",\"params\":{\"x\":\"\xff\"}}"), -32700},
    {"a letter cut short", BYTES(CALL ",\"params\":{\"x\":\"\xc3\"}}"), -32700},
    {"a form that is too long", BYTES(CALL ",\"params\":{\"x\":\"\xc0\xaf\"}}"), -32700},
    {"half a surrogate", BYTES(CALL ",\"params\":{\"x\":\"\\ud800\"}}"), -32700},
    {"U+0000 as a byte", BYTES(CALL ",\"params\":{\"x\":\"\0\"}}"), -32700},
    {"U+0000 written out", BYTES(CALL ",\"params\":{\"x\":\"\\u0000\"}}"), -32700},
    {"U+0000 in a key", BYTES(CALL ",\"params\":{\"\\u0000\":1}}"), -32700},
    {"a control byte in a text", BYTES(CALL ",\"params\":{\"x\":\"\x01\"}}"), -32700},
    {"a number alone", BYTES("5"), -32600},
    {"a text alone", BYTES("\"daemon.info\""), -32600},
    {"an empty object", BYTES("{}"), -32600},
    {"another version", BYTES("{\"jsonrpc\":\"1.0\",\"id\":1,\"method\":\"daemon.info\"}"), -32600},
    {"a version as a number", BYTES("{\"jsonrpc\":2.0,\"id\":1,\"method\":\"daemon.info\"}"), -32600},
    {"no method", BYTES("{\"jsonrpc\":\"2.0\",\"id\":1}"), -32600},
    {"a method as a number", BYTES("{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":1}"), -32600},
    {"a method not known", BYTES("{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"no.such\"}"), -32601},
    {"an empty method", BYTES("{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"\"}"), -32601},
    {"an id of true", BYTES("{\"jsonrpc\":\"2.0\",\"id\":true,\"method\":\"daemon.info\"}"), -32600},
    {"an id of a half", BYTES("{\"jsonrpc\":\"2.0\",\"id\":1.5,\"method\":\"daemon.info\"}"), -32600},
    {"an id of a list", BYTES("{\"jsonrpc\":\"2.0\",\"id\":[1],\"method\":\"daemon.info\"}"), -32600},
    {"an id of an object", BYTES("{\"jsonrpc\":\"2.0\",\"id\":{},\"method\":\"daemon.info\"}"), -32600},
    {"an id of null", BYTES("{\"jsonrpc\":\"2.0\",\"id\":null,\"method\":\"daemon.info\"}"), 0},
    {"params as a list", BYTES(CALL ",\"params\":[]}"), -32602},
    {"params as a text", BYTES(CALL ",\"params\":\"x\"}"), -32602},
    {"params as a number", BYTES(CALL ",\"params\":5}"), -32602},
    {"members not known are ignored", BYTES(CALL ",\"params\":{\"x\":{\"y\":[1,2]}},\"z\":1}"), 0},
    {"CR before the newline", BYTES(CALL "}\r"), 0},
};

static void each_wrong_line_has_its_error(void **state)
{
    struct raw_client *c = raw_client_open(*state);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        assert_true(raw_client_send(c, lines[i].bytes, lines[i].len) && raw_client_send(c, "\n", 1));
        int code = raw_client_code(c);
        if (code != lines[i].code)
            fail_msg("%s: %d, want %d", lines[i].name, code, lines[i].code);
        raw_client_lives(c);
    }
    raw_client_close(c);
}

/* The object is level 1, params 2; lists make up the rest. */
static int code_at_depth(struct raw_client *c, int depth)
{
    char text[1024];
    int n = snprintf(text, sizeof text, "%s", CALL ",\"params\":{\"x\":");
    for (int i = 2; i < depth; i++)
        text[n++] = '[';
    for (int i = 2; i < depth; i++)
        text[n++] = ']';
    snprintf(text + n, sizeof text - (size_t)n, "%s", depth > 2 ? "}}" : "1}}");
    assert_true(raw_client_say(c, text));
    return raw_client_code(c);
}

static void sixteen_levels_are_the_limit(void **state)
{
    struct raw_client *c = raw_client_open(*state);
    assert_int_equal(code_at_depth(c, 2), 0);
    assert_int_equal(code_at_depth(c, 16), 0);
    assert_int_equal(code_at_depth(c, 17), -32600);
    assert_int_equal(code_at_depth(c, 400), -32600);
    raw_client_lives(c);
    raw_client_close(c);
}

/* A call filled up with spaces to that many bytes. */
static void long_line(struct raw_client *c, size_t len)
{
    char *text = malloc(len + 1);
    assert_non_null(text);
    memset(text, ' ', len);
    memcpy(text, CALL "}", sizeof CALL);
    text[len] = '\n';
    (void)raw_client_send(c, text, len + 1); /* it may hang up before the end of a long one */
    free(text);
}

static void a_line_of_64_kib_is_the_longest(void **state)
{
    static const size_t too_long[] = {65537, 66000, 300000, 2000000};
    struct raw_client *c = raw_client_open(*state);
    long_line(c, 65536);
    assert_int_equal(raw_client_code(c), 0);
    raw_client_lives(c);
    raw_client_close(c);
    for (size_t i = 0; i < sizeof too_long / sizeof *too_long; i++) {
        c = raw_client_open(*state);
        long_line(c, too_long[i]);
        assert_int_equal(raw_client_code(c), -32600);
        assert_null(raw_client_answer(c)); /* then the connection is closed */
        raw_client_close(c);
    }
    c = raw_client_open(*state);
    raw_client_lives(c);
    raw_client_close(c);
}

/* A batch of n calls; every second one without id where `quiet`. How many answers came in one line, -1: an error. */
static int answers_of_batch(struct raw_client *c, int n, bool quiet)
{
    json_t *batch = json_array();
    for (int i = 0; i < n; i++) {
        json_t *call = json_pack("{s:s,s:s}", "jsonrpc", "2.0", "method", i % 3 == 2 ? "no.such" : "daemon.info");
        if (!quiet || i % 2 == 0)
            json_object_set_new(call, "id", json_integer(i));
        json_array_append_new(batch, call);
    }
    char *text = json_dumps(batch, JSON_COMPACT);
    json_decref(batch);
    assert_true(text && raw_client_say(c, text));
    free(text);
    json_t *v = raw_client_answer(c);
    int count = json_is_array(v) ? (int)json_array_size(v) : -1;
    if (count < 0)
        assert_int_equal(json_integer_value(json_object_get(json_object_get(v, "error"), "code")), -32600);
    for (int i = 0; i < count; i++) {
        json_t *answer = json_array_get(v, (size_t)i);
        json_int_t id = json_integer_value(json_object_get(answer, "id"));
        assert_non_null(json_object_get(answer, id % 3 == 2 ? "error" : "result"));
    }
    json_decref(v);
    return count;
}

static void a_batch_holds_one_to_sixteen_calls(void **state)
{
    struct raw_client *c = raw_client_open(*state);
    assert_int_equal(answers_of_batch(c, 0, false), -1);
    assert_int_equal(answers_of_batch(c, 1, false), 1);
    assert_int_equal(answers_of_batch(c, 16, false), 16);
    assert_int_equal(answers_of_batch(c, 16, true), 8);
    assert_int_equal(answers_of_batch(c, 17, false), -1);
    raw_client_lives(c);
    assert_true(raw_client_say(c, "[1,[]," CALL "}]")); /* each by itself */
    json_t *v = raw_client_answer(c);
    assert_int_equal(json_array_size(v), 3);
    json_decref(v);
    raw_client_close(c);
}

static void a_call_without_id_is_not_answered(void **state)
{
    static const char *const silent[] = {
        "{\"jsonrpc\":\"2.0\",\"method\":\"daemon.info\"}",
        "{\"jsonrpc\":\"2.0\",\"method\":\"no.such\"}",
        "{\"jsonrpc\":\"2.0\",\"method\":\"batch.accept\",\"params\":{\"station\":5}}",
        "{\"jsonrpc\":\"2.0\",\"method\":\"daemon.info\",\"params\":[]}",
        "[{\"jsonrpc\":\"2.0\",\"method\":\"daemon.info\"},{\"jsonrpc\":\"2.0\",\"method\":\"no.such\"}]",
    };
    struct raw_client *c = raw_client_open(*state);
    for (size_t i = 0; i < sizeof silent / sizeof *silent; i++) {
        assert_true(raw_client_say(c, silent[i]));
        raw_client_lives(c); /* its answer is the next line */
    }
    raw_client_close(c);
}

/* Halves of a line, and many lines at once: where the bytes are cut does not matter. */
static void lines_come_in_any_portions(void **state)
{
    struct raw_client *c = raw_client_open(*state);
    static const char two[] = CALL "}\n" CALL "}\n";
    for (size_t cut = 1; cut < sizeof two - 1; cut += 7) {
        assert_true(raw_client_send(c, two, cut));
        assert_true(raw_client_send(c, two + cut, sizeof two - 1 - cut));
        assert_int_equal(raw_client_code(c), 0);
        assert_int_equal(raw_client_code(c), 0);
    }
    char many[200 * sizeof two] = "";
    size_t len = 0;
    for (int i = 0; i < 100; i++, len += sizeof two - 1) /* more than are taken before answers are read */
        memcpy(many + len, two, sizeof two - 1);
    assert_true(raw_client_send(c, many, len));
    for (int i = 0; i < 200; i++)
        assert_int_equal(raw_client_code(c), 0);
    raw_client_close(c);
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_wrong_line_has_its_error),     cmocka_unit_test(sixteen_levels_are_the_limit),
        cmocka_unit_test(a_line_of_64_kib_is_the_longest),   cmocka_unit_test(a_batch_holds_one_to_sixteen_calls),
        cmocka_unit_test(a_call_without_id_is_not_answered), cmocka_unit_test(lines_come_in_any_portions),
    };
    return cmocka_run_group_tests(tests, begin, harness_end);
}
