/* stub.h - a caller without a connection, for tests: keeps the last answer and counts them. */
#pragma once

#include "rpc/call.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

struct stub {
    struct rpc_caller caller;
    char *last; /* newest answer without its newline, NULL: none yet */
    int answers, done;
    char watching[48];
};

static void stub_send(struct rpc_caller *caller, const char *text, size_t len)
{
    struct stub *stub = (struct stub *)caller;

    assert_true(len > 1);
    assert_int_equal('\n', text[len - 1]);
    assert_null(memchr(text, '\n', len - 1));
    free(stub->last);
    stub->last = strndup(text, len - 1);
    stub->answers++;
}

static void stub_done(struct rpc_caller *caller)
{
    ((struct stub *)caller)->done++;
}

static void stub_watch(struct rpc_caller *caller, const char *station)
{
    strncpy(((struct stub *)caller)->watching, station, 47);
}

static inline void stub_init(struct stub *stub)
{
    *stub = (struct stub){
        .caller = {.client = "unix", .right = RIGHT_OWN, .may_change = true, .send = stub_send, .done = stub_done}};
    stub->caller.watch = stub_watch;
}

static inline void stub_finish(struct stub *stub)
{
    rpc_caller_gone(&stub->caller);
    free(stub->last);
    stub->last = NULL;
}

/* Sends one message; the answer to it as JSON (the caller's), NULL where there was none. */
static inline json_t *stub_ask(struct stub *stub, const char *text, size_t len)
{
    int before = stub->answers;
    json_t *answer;

    rpc_dispatch(&stub->caller, text, len);
    if (stub->answers == before)
        return NULL;
    answer = json_loads(stub->last, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(answer);
    return answer;
}

static inline int stub_code(const json_t *answer)
{
    return (int)json_integer_value(json_object_get(json_object_get(answer, "error"), "code"));
}

static inline const char *stub_field(const json_t *answer)
{
    const json_t *data = json_object_get(json_object_get(answer, "error"), "data");
    const char *field = json_string_value(json_object_get(data, "field"));

    return field ? field : "";
}

/* The answer to one call, the caller's; params is JSON text. */
static inline json_t *stub_answer(struct stub *stub, const char *method, const char *params)
{
    char *text;
    int len = asprintf(&text, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"%s\",\"params\":%s}", method, params);

    assert_true(len > 0);
    json_t *answer = stub_ask(stub, text, (size_t)len);
    free(text);
    assert_non_null(answer);
    return answer;
}

/* The result of a call that must succeed, the caller's. */
static inline json_t *stub_call(struct stub *stub, const char *method, const char *params)
{
    json_t *answer = stub_answer(stub, method, params), *result;

    if (json_object_get(answer, "error"))
        fail_msg("%s %s: %s", method, params, stub->last);
    result = json_incref(json_object_get(answer, "result"));
    json_decref(answer);
    return result;
}

/* A call that must be refused with this code and field. */
static inline void stub_refused(struct stub *stub, const char *method, const char *params, int code, const char *field)
{
    json_t *answer = stub_answer(stub, method, params), *help;

    if (stub_code(answer) != code || strcmp(stub_field(answer), field) != 0)
        fail_msg("%s %s: got %s, want %d in `%s`", method, params, stub->last, code, field);
    help = json_object_get(json_object_get(json_object_get(answer, "error"), "data"), "help");
    assert_true(json_string_length(help) > 0);
    json_decref(answer);
}
