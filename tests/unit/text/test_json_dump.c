/* What json_write writes is what jansson 2.14 writes, byte for byte: a journal of before is chained to its bytes. */
#include "text/json_write.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const size_t ways[] = {JSON_COMPACT,
                              JSON_COMPACT | JSON_REAL_PRECISION(15),
                              JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION(15),
                              JSON_COMPACT | JSON_REAL_PRECISION(17),
                              JSON_ENCODE_ANY | JSON_REAL_PRECISION(15),
                              0};

/* Takes the value. */
static void is_alike(json_t *json)
{
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        char *theirs = json_dumps(json, ways[i]), *ours = json_write(json, ways[i]);
        if (!theirs)
            assert_null(ours);
        else
            assert_string_equal(ours, theirs);
        free(theirs);
        free(ours);
    }
    json_decref(json);
}

/* In a list as well, since a number alone is written with JSON_ENCODE_ANY only. */
static void real_is_alike(double value)
{
    is_alike(json_real(value));
    is_alike(json_pack("[f, f]", value, -value));
}

static uint64_t next(uint64_t *state)
{
    *state = *state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return *state >> 11;
}

static void numbers(void **state)
{
    (void)state;
    static const double edge[] = {
        0,           1,          12.3,   0.1,       1e-4,      9.99e-5,        1e-6,           5e-7, 0.0001,
        0.000101,    99999999.5, 1e8,    1e9 + 0.5, 123456789, 0.30000001,     1.0 / 3,        1e15, 1e16,
        12345678.25, 1e300,      5e-324, 0.000123,  250,       8388607.999999, 67108863.999999};
    static const json_int_t whole[] = {0, 1, -1, 9, 10, -10, 1234567890123, INT64_MAX, INT64_MIN};
    uint64_t seed = 1;
    for (size_t i = 0; i < sizeof edge / sizeof *edge; i++)
        real_is_alike(edge[i]);
    for (size_t i = 0; i < sizeof whole / sizeof *whole; i++)
        is_alike(json_pack("[I]", whole[i]));
    for (int i = 0; i < 20000; i++) {
        uint64_t bits = next(&seed);
        double value = (double)(bits % 100000000000000) / 1e6;
        real_is_alike(value);
        real_is_alike(nextafter(value, 0));
        real_is_alike(ldexp((double)bits, (int)(bits % 120) - 100));
    }
}

static void texts(void **state)
{
    (void)state;
    char all[256];
    for (int c = 1; c < 128; c++)
        all[c - 1] = (char)c;
    is_alike(json_stringn(all, 127));
    is_alike(json_stringn("a\0b", 3));
    is_alike(json_string(""));
    is_alike(json_string("\"\\/"));
    is_alike(json_string("Gr\xc3\xbc\xc3\x9f"
                         "e \xe2\x82\xac \xf0\x9f\x8e\xa8"));
    is_alike(json_pack("{s:s, s:[s, n, b, b], s:{}, s:[], s:{s:i}}", "a \"b\"", "c\nd", "list", "x", 1, 0, "empty",
                       "none", "in", "deeper", 7));
    is_alike(json_null());
    is_alike(json_true());
}

/* Longer than what is written at once, and so to the letter around that length. */
static void lengths(void **state)
{
    (void)state;
    static char text[70000];
    memset(text, 'x', sizeof text);
    for (size_t len = 8170; len < 8200; len++)
        is_alike(json_pack("[s%]", text, len));
    is_alike(json_pack("{s:s%, s:i}", "long", text, sizeof text, "n", 1));
}

static void too_deep_or_nothing_is_no_text(void **state)
{
    (void)state;
    json_t *circle = json_array(), *within = json_array();
    json_array_append_new(circle, within);
    json_array_append(within, circle);
    assert_null(json_write(circle, JSON_COMPACT));
    json_array_clear(within);
    json_decref(circle);
    assert_null(json_write(NULL, JSON_COMPACT));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers),
        cmocka_unit_test(texts),
        cmocka_unit_test(lengths),
        cmocka_unit_test(too_deep_or_nothing_is_no_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
