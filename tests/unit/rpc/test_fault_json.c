/* Faults as they leave the daemon. */
#include "rpc/call.h"
#include "rpc/rpc.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <math.h>

static void expect(json_t *json, const char *want)
{
    char *text = json_dumps(json, JSON_ENCODE_ANY | JSON_COMPACT | JSON_REAL_PRECISION(15));

    assert_non_null(text);
    assert_string_equal(want, text);
    free(text);
    json_decref(json);
}

static const char *text_of(const json_t *o, const char *name)
{
    return json_string_value(json_object_get(o, name));
}

static void a_fault_tells_what_it_knows_and_no_more(void **state)
{
    struct fault f;

    (void)state;
    fault_said(&f, FAULT_STATE, NULL, "uncounted", "undo_uncounted uncounted_g=%f", 0.1 + 0.2);
    strcpy(f.state, "pour");
    f.uncounted_g = 0.1 + 0.2;
    json_t *json = rpc_fault_json(&f), *data = json_object_get(json, "data");
    assert_int_equal(json_integer_value(json_object_get(json, "code")), -32004);
    assert_non_null(strstr(text_of(json, "message"), "0.3 g"));
    assert_string_equal(text_of(data, "code"), "undo_uncounted");
    assert_string_equal(text_of(data, "state"), "pour");
    assert_string_equal(text_of(data, "why"), "uncounted");
    assert_true(strlen(text_of(data, "help")) > 0);
    /* Six decimals at most, and nothing of what was not set. */
    expect(json_incref(json_object_get(data, "uncounted_g")), "0.3");
    assert_null(json_object_get(data, "field"));
    assert_null(json_object_get(data, "short_g"));
    assert_null(json_object_get(data, "revision"));
    json_decref(json);
}

static void a_letter_cut_in_half_does_not_spoil_the_answer(void **state)
{
    struct fault f;
    char name[400];

    (void)state;
    for (size_t shift = 0; shift < 4; shift++) {
        memset(name, 'x', shift);
        for (size_t i = shift; i + 4 < sizeof name; i += 4)
            memcpy(name + i, "\xf0\x9f\x8e\xa8", 4);
        name[sizeof name - 4 - (sizeof name - 4 - shift) % 4] = '\0';
        fault_said(&f, FAULT_UNKNOWN, "batch", "unknown", "record_unknown batch=%s", name);
        json_t *json = rpc_fault_json(&f);
        assert_non_null(strstr(text_of(json, "message"), "\xf0\x9f\x8e\xa8"));
        json_decref(json);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fault_tells_what_it_knows_and_no_more),
        cmocka_unit_test(a_letter_cut_in_half_does_not_spoil_the_answer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
