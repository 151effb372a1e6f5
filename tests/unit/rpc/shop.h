/* shop.h - the catalogue's methods on a real store in a folder of its own, for the tests that include it.
 *
 * begin and end are cmocka's setup and teardown; ask, call and refused send one call and run the loop until it is
 * answered. Answers belong to the caller.
 */
#pragma once

#include "daemon.h"
#include "rpc/methods/methods.h"
#include "tests/unit/rpc/stub.h"

#include <ftw.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

struct shop {
    struct stub stub;
    uv_loop_t loop;
    struct daemon daemon;
    char dir[64], state[96];
    bool closed;
};

static inline void on_dead(void *arg, const char *why)
{
    (void)arg;
    fail_msg("the store died: %s", why);
}

static inline void on_closed(void *arg)
{
    *(bool *)arg = true;
}

static inline int begin(void **state)
{
    struct shop *shop = calloc(1, sizeof *shop);
    struct fault fault;

    if (!shop)
        return -1;
    *state = shop;
    stub_init(&shop->stub);
    shop->stub.caller.daemon = &shop->daemon;
    uv_loop_init(&shop->loop);
    snprintf(shop->dir, sizeof shop->dir, "/tmp/poise-rpc-XXXXXX");
    assert_non_null(mkdtemp(shop->dir));
    snprintf(shop->state, sizeof shop->state, "%s/state", shop->dir);
    shop->daemon.loop = &shop->loop;
    shop->daemon.store = store_open(&shop->loop, shop->state, on_dead, NULL, &fault);
    if (!shop->daemon.store)
        fail_msg("%s", fault.message);
    return 0;
}

static inline int remove_one(const char *path, const struct stat *st, int kind, struct FTW *at)
{
    (void)st;
    (void)kind;
    (void)at;
    return remove(path);
}

static inline int end(void **state)
{
    struct shop *shop = *state;

    store_close(shop->daemon.store, on_closed, &shop->closed);
    uv_run(&shop->loop, UV_RUN_DEFAULT);
    assert_true(shop->closed);
    assert_int_equal(0, uv_loop_close(&shop->loop));
    assert_null(shop->daemon.puts);
    stub_finish(&shop->stub);
    assert_int_equal(0, nftw(shop->dir, remove_one, 8, FTW_DEPTH | FTW_PHYS));
    free(shop);
    return 0;
}

/* Sends a call and runs the loop until it is answered; the whole answer, the caller's. */
static inline json_t *ask(struct shop *shop, const char *method, const char *params)
{
    int before = shop->stub.answers, len;
    char *text;

    len = asprintf(&text, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"%s\",\"params\":%s}", method, params);
    assert_true(len > 0);
    rpc_dispatch(&shop->stub.caller, text, (size_t)len);
    free(text);
    while (shop->stub.answers == before)
        uv_run(&shop->loop, UV_RUN_ONCE);
    return json_loads(shop->stub.last, 0, NULL);
}

static inline json_t *call(struct shop *shop, const char *method, const char *params)
{
    json_t *answer = ask(shop, method, params), *result = json_incref(json_object_get(answer, "result"));

    if (!result)
        fail_msg("%s %s: %s", method, params, shop->stub.last);
    json_decref(answer);
    return result;
}

static inline void refused(struct shop *shop, const char *method, const char *params, int code, const char *field)
{
    json_t *answer = ask(shop, method, params);

    if (stub_code(answer) != code || strcmp(stub_field(answer), field) != 0)
        fail_msg("%s %s: got %s, want %d in `%s`", method, params, shop->stub.last, code, field);
    json_decref(answer);
}

static inline int number(const json_t *object, const char *name)
{
    assert_true(json_is_integer(json_object_get(object, name)));
    return (int)json_integer_value(json_object_get(object, name));
}

static inline const char *text(const json_t *object, const char *name)
{
    assert_true(json_is_string(json_object_get(object, name)));
    return json_string_value(json_object_get(object, name));
}

#define WHITE  "{\"id\":\"N10\",\"name\":\"White\",\"line\":\"solvent\",\"density_g_per_ml\":1.28}"
#define VIOLET "{\"id\":\"M42\",\"name\":\"Violet\",\"line\":\"solvent\",\"pigment\":\"PV23\"}"
#define ROOFSTONE(parts)                                                                                               \
    "\"code\":\"TI-118\",\"name\":\"Roofstone\",\"finish\":\"metallic\",\"line\":\"solvent\",\"coats\":[{\"coat\":"    \
    "\"ground\",\"parts\":[{\"toner\":\"N10\",\"parts\":" parts "}]},{\"coat\":\"ground\",\"variant\":\"darker\","     \
    "\"parts\":[{\"toner\":\"M42\",\"parts\":1}]}]"

static inline void toners(struct shop *shop)
{
    json_decref(call(shop, "toner.put", WHITE));
    json_decref(call(shop, "toner.put", VIOLET));
}
