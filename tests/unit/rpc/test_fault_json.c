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

static void a_fault_tells_what_it_knows_and_no_more(void **state)
{
    struct fault f;

    (void)state;
    fault_set(&f, FAULT_INVALID, "grams", "negative", "Give a weight above 0 g.", "grams is negative");
    expect(rpc_fault_json(&f),
           "{\"code\":-32005,\"message\":\"grams is negative\",\"data\":{\"field\":\"grams\",\"why\":"
           "\"negative\",\"help\":\"Give a weight above 0 g.\"}}");
    fault_set(&f, FAULT_STALE_REVISION, NULL, NULL, "Look again.", "stale");
    f.revision = 0;
    expect(rpc_fault_json(&f),
           "{\"code\":-32003,\"message\":\"stale\",\"data\":{\"help\":\"Look again.\",\"revision\":0}}");
    fault_set(&f, FAULT_STATE, NULL, "short", "Pour on.", "too little");
    strcpy(f.state, "pour");
    f.short_g = 0.1 + 0.2;
    expect(rpc_fault_json(&f),
           "{\"code\":-32004,\"message\":\"too little\",\"data\":{\"why\":\"short\",\"help\":\"Pour "
           "on.\",\"state\":\"pour\",\"short_g\":0.3}}");
}

static void a_letter_cut_in_half_does_not_spoil_the_answer(void **state)
{
    struct fault f;
    char name[200];

    (void)state;
    for (size_t shift = 0; shift < 4; shift++) {
        json_t *json;
        const char *message;

        memset(name, 'x', shift);
        for (size_t i = shift; i + 4 < sizeof name; i += 4)
            memcpy(name + i, "\xf0\x9f\x8e\xa8", 4);
        name[sizeof name - 4 - (sizeof name - 4 - shift) % 4] = '\0';
        fault_set(&f, FAULT_UNKNOWN, NULL, NULL, "Look.", "%s", name);
        json = rpc_fault_json(&f);
        message = json_string_value(json_object_get(json, "message"));
        assert_non_null(message);
        assert_true(strlen(message) > 150 && (strlen(message) - shift) % 4 == 0);
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
