/* Values written as text at once read as json_write has them, byte for byte. */
#include "text/json_write.h"
#include "text/member_text.h"
#include "text/number.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* What a draft holds, and what json_write makes of the value; both are freed. */
static void same(struct draft *d, json_t *value)
{
    char *ours = draft_take(d), *theirs = json_write(value, JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION(15));
    assert_non_null(ours);
    assert_non_null(theirs);
    assert_string_equal(theirs, ours);
    json_decref(value);
    free(ours);
    free(theirs);
}

static void texts_stand_as_json_write_has_them(void **state)
{
    static const char *const texts[] = {"TI-207",
                                        "a \"quoted\" word",
                                        "back\\slash",
                                        "tab\tline\nfeed\rb\bf\f",
                                        "\x01\x1f\x7f/",
                                        "Müller & Söhne",
                                        "\xF0\x9F\x8E\xA8",
                                        "\\",
                                        "\""};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct draft d = {0};
        draft_member_text(&d, "", texts[i]);
        same(&d, json_string(texts[i]));
    }
}

/* Empty, missing, and what a damaged row may hold: a lone byte, a surrogate (Unicode 15, table 3-7). */
static void what_is_no_text_is_null(void **state)
{
    static const char *const texts[] = {"", NULL, "a\xff", "\xed\xa0\x80", "\xc3"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct draft d = {0};
        draft_member_text(&d, "", texts[i]);
        same(&d, json_null());
    }
}

static void numbers_stand_as_json_write_has_them(void **state)
{
    static const double edges[] = {0,
                                   -0.0,
                                   1,
                                   -1,
                                   0.5,
                                   -0.5,
                                   0.1 + 0.2,
                                   1e-6,
                                   1e-7,
                                   -1e-6,
                                   99e-6,
                                   100e-6,
                                   101e-6,
                                   -99e-6,
                                   -100e-6,
                                   123456.789,
                                   1e8,
                                   1e9,
                                   -1e9,
                                   1e9 + 0.5,
                                   999999999,
                                   1e15,
                                   1e21,
                                   -1e21,
                                   1e300,
                                   250,
                                   306.30004,
                                   5e-7,
                                   4.999999e-7,
                                   999999999.999999,
                                   999999999.9999999};
    (void)state;
    for (size_t i = 0; i < sizeof edges / sizeof *edges + 20000; i++) {
        size_t n = i - sizeof edges / sizeof *edges;
        double value = i < sizeof edges / sizeof *edges ? edges[i] : sin((double)n) * pow(10, (double)(n % 16) - 5);
        struct draft d = {0};
        draft_member_number(&d, "", value);
        same(&d, number_json(value));
    }
    for (size_t i = 0; i < 3; i++) {
        struct draft d = {0};
        draft_member_number(&d, "", (const double[]){NAN, INFINITY, -INFINITY}[i]);
        same(&d, json_null());
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(texts_stand_as_json_write_has_them),
        cmocka_unit_test(what_is_no_text_is_null),
        cmocka_unit_test(numbers_stand_as_json_write_has_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
