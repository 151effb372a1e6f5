/* Numbers: one value reads alike everywhere, with no exponent and no minus before a zero. */
#include "text/number.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define MINUS "\xE2\x88\x92"

static const struct number_style point = {.point = '.'}, comma = {.point = ',', .minus = true};

static const struct {
    double value;
    int decimals;
    bool plus;
    const char *with_point, *with_comma;
} fixed[] = {
    {26.4, 1, false, "26.4", "26,4"},
    {26.4, 0, false, "26", "26"},
    {-0.3, 1, false, "-0.3", MINUS "0,3"},
    {0.3, 1, true, "+0.3", "+0,3"},
    {-0.04, 1, true, "0.0", "0,0"}, /* no sign before what reads as zero */
    {-0.0, 2, false, "0.00", "0,00"},
    {1e6, 0, false, "1000000", "1000000"},
    {1e21, 0, false, "1000000000000000000000", "1000000000000000000000"},
    {2.5, -3, false, "2", "2"},
    {1.0 / 3, 99, false, "0.333333333", "0,333333333"},
    {(double)NAN, 2, true, "?", "?"},
    {(double)INFINITY, 2, false, "?", "?"},
};

static void a_number_has_one_shape(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof fixed / sizeof *fixed; i++) {
        char a[NUMBER_ROOM], b[NUMBER_ROOM];
        number_fixed(&point, fixed[i].value, fixed[i].decimals, fixed[i].plus, a, sizeof a);
        number_fixed(&comma, fixed[i].value, fixed[i].decimals, fixed[i].plus, b, sizeof b);
        if (strcmp(a, fixed[i].with_point) != 0 || strcmp(b, fixed[i].with_comma) != 0)
            fail_msg("row %zu: %s %s", i, a, b);
    }
}

static const struct {
    double value;
    const char *text;
} plain[] = {
    {250, "250"}, {0.5, "0.5"}, {0.123456, "0.123456"}, {0.1234567, "0.123457"}, {1e6, "1000000"}, {-1.50, "-1.5"},
    {1e-9, "0"},  {-1e-9, "0"}, {100, "100"},           {(double)NAN, "?"},
};

static void a_plain_number_has_the_digits_it_needs(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        char text[NUMBER_ROOM];
        if (strcmp(number_plain(&point, plain[i].value, text, sizeof text), plain[i].text) != 0)
            fail_msg("%g: %s", plain[i].value, text);
    }
}

static const struct {
    double d_g;
    int decimals;
    double value;
    const char *text;
} weights[] = {
    {1, 0, 31.4, "31"},       {0.5, 1, 31.4, "31.5"},         {0.1, 1, 31.44, "31.4"}, {0.05, 2, 31.43, "31.45"},
    {0.01, 2, 31.4, "31.40"}, {0.001, 3, 1.23456, "1.235"},   {10, 0, 34, "30"},       {0, 2, 31.4567, "31.4567"},
    {5, 0, -2, "0"},          {(double)NAN, 2, 1.25, "1.25"},
};

static void a_weight_is_shown_to_the_interval(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof weights / sizeof *weights; i++) {
        char text[NUMBER_ROOM];
        const struct number_style s = {.d_g = weights[i].d_g};
        number_weight(&s, weights[i].value, false, text, sizeof text);
        if (strcmp(text, weights[i].text) != 0 || number_decimals(weights[i].d_g) != weights[i].decimals)
            fail_msg("d %g: %s, %d decimals", weights[i].d_g, text, number_decimals(weights[i].d_g));
    }
}

static const struct {
    int64_t ug;
    const char *text;
} exact[] = {
    {0, "0.0"},
    {1, "0.000001"},
    {123450000, "123.45"},
    {-500000, "-0.5"},
    {INT64_MAX, "9223372036854.775807"},
    {INT64_MIN, "-9223372036854.775808"},
};

static void micrograms_are_exact(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof exact / sizeof *exact; i++) {
        char room[NUMBER_ROOM];
        char *text = number_exact_ug(exact[i].ug, room);
        assert_string_equal(text, exact[i].text);
        assert_true(text >= room && text + strlen(text) < room + sizeof room);
    }
}

static void json_has_at_most_six_decimals_and_no_nan(void **state)
{
    static const struct {
        double value;
        const char *text;
    } rows[] = {{250, "250"}, {0.1 + 0.2, "0.3"}, {1.23456789, "1.234568"}, {(double)NAN, "null"}, {-0.0, "0"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *v = number_json(rows[i].value);
        char *text = json_dumps(v, JSON_ENCODE_ANY | JSON_REAL_PRECISION(15));
        assert_string_equal(text, rows[i].text);
        free(text);
        json_decref(v);
    }
    json_t *money = number_json_money(12.345678);
    assert_float_equal(json_number_value(money), 12.35, 1e-9);
    json_decref(money);
}

static void nothing_is_written_beyond_the_room(void **state)
{
    (void)state;
    for (size_t size = 0; size < 8; size++) {
        char out[16];
        memset(out, '#', sizeof out);
        number_fixed(&comma, -1e300, 9, false, out, size);
        number_plain(&point, 1e300, out, size);
        for (size_t i = size; i < sizeof out; i++)
            assert_int_equal(out[i], '#');
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_number_has_one_shape),
        cmocka_unit_test(a_plain_number_has_the_digits_it_needs),
        cmocka_unit_test(a_weight_is_shown_to_the_interval),
        cmocka_unit_test(micrograms_are_exact),
        cmocka_unit_test(json_has_at_most_six_decimals_and_no_nan),
        cmocka_unit_test(nothing_is_written_beyond_the_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
