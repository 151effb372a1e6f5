/* Exact conversion to micrograms, names, and the words that a text family is made of. */
#include "drivers/decode/text.h"

#include <setjmp.h>
#include <stdarg.h>

#include <cmocka.h>
#include <string.h>

/* Sources: GNU units 2.22 definitions, the same exact values as NIST SP 811 / Handbook 44 appendix C (rows U09-U11 of
 * check-values.tsv); the rest follows from the metric prefixes. */
static const struct {
    const char *digits;
    enum scale_unit unit;
    int64_t ug;
} weights[] = {
    {"1", SCALE_UNIT_G, 1000000},
    {"7500.0", SCALE_UNIT_G, 7500000000},
    {"-8.20", SCALE_UNIT_G, -8200000},
    {"1.500", SCALE_UNIT_KG, 1500000000},
    {"1", SCALE_UNIT_LB, 453592370},
    {"1000", SCALE_UNIT_OZ, 28349523125},
    {"1", SCALE_UNIT_OZ, 28349523}, /* 28349523.125 */
    {"1", SCALE_UNIT_GR, 64799},    /* 64798.91 */
    {"-1", SCALE_UNIT_GR, -64799},  /* away from zero */
    {"100", SCALE_UNIT_GR, 6479891},
    {"0.5", SCALE_UNIT_MG, 500},
    {"12.345", SCALE_UNIT_T, 12345000000000},
    {"0.0000004", SCALE_UNIT_G, 0},
    {"0.0000005", SCALE_UNIT_G, 1},
    {"0", SCALE_UNIT_KG, 0},
};

static void weights_are_exact(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof weights / sizeof *weights; i++) {
        int64_t ug = -1;
        if (!scale_weight_ug(weights[i].digits, weights[i].unit, &ug) || ug != weights[i].ug)
            fail_msg("%s %s: got %lld", weights[i].digits, scale_unit_name(weights[i].unit), (long long)ug);
    }
}

static void what_is_no_weight_is_refused(void **state)
{
    (void)state;
    int64_t ug = 77;
    static const char *const texts[] = {"", "-", ".", "1e3", "1.2.3", "+1", " 1", "1 ", "--1", "1234567890123456789"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        if (scale_weight_ug(texts[i], SCALE_UNIT_G, &ug))
            fail_msg("`%s` taken", texts[i]);
    }
    assert_false(scale_weight_ug("1", SCALE_UNIT_NONE, &ug));
    assert_false(scale_weight_ug("12", SCALE_UNIT_PCS, &ug));
    assert_false(scale_weight_ug("99999999", SCALE_UNIT_T, &ug)); /* 1e20 ug do not fit */
    assert_int_equal(ug, 77);
}

static void a_frame_without_unit_takes_the_one_assumed(void **state)
{
    (void)state;
    struct scale_reading r = {.digits = "2.5"};
    scale_reading_weigh(&r, SCALE_UNIT_KG);
    assert_true(r.has_weight);
    assert_true(r.weight_ug == 2500000000);
    r.status = SCALE_OVER;
    scale_reading_weigh(&r, SCALE_UNIT_KG);
    assert_false(r.has_weight);
    assert_true(r.weight_ug == 0);
}

static void units_are_found_by_their_printed_names(void **state)
{
    (void)state;
    for (int i = SCALE_UNIT_G; i <= SCALE_UNIT_PCS; i++) {
        enum scale_unit unit = SCALE_UNIT_NONE;
        assert_true(scale_unit_find(scale_unit_name((enum scale_unit)i), &unit));
        assert_int_equal(unit, i);
    }
    enum scale_unit unit;
    assert_false(scale_unit_find("", &unit));
    assert_false(scale_unit_find("KG", &unit));
    assert_string_equal(scale_unit_name((enum scale_unit)99), "");
    assert_string_equal(scale_status_name((enum scale_status)99), "error");
    assert_string_equal(scale_kind_name((enum scale_kind)99), "unknown");
}

static const struct {
    const char *text;
    char point;
    const char *digits; /* NULL: refused */
} numbers[] = {
    {"-0000.00", '.', "0.00"},
    {"+001234.5", '.', "1234.5"},
    {"-    8.20", '.', "-8.20"},
    {"   -8.20", '.', "-8.20"},
    {"0", '.', "0"},
    {"000", '.', "0"},
    {".5", '.', "0.5"},
    {"-.5", '.', "-0.5"},
    {"1234.", '.', "1234"},
    {"+00123,45", ',', "123.45"},
    {"+-1", '.', NULL},
    {"--", '.', NULL},
    {"", '.', NULL},
    {".", '.', NULL},
    {"123456789012345678901234567", '.', NULL},
};

static void numbers_keep_the_digits_sent(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        char digits[SCALE_DIGITS] = "?";
        struct text t = text_of((const uint8_t *)numbers[i].text, strlen(numbers[i].text));
        bool taken = text_take_number(&t, TEXT_SIGN_MAY, numbers[i].point, digits);
        if (taken != (numbers[i].digits != NULL) || (taken && strcmp(digits, numbers[i].digits) != 0))
            fail_msg("`%s`: got `%s`", numbers[i].text, digits);
    }
}

static void a_unit_that_cannot_be_named_is_not_taken(void **state)
{
    (void)state;
    static const char *const units[] = {"ct", "ozt", "kgf", "%", "", "tl", "gg"};
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        enum scale_unit unit;
        struct text t = text_of((const uint8_t *)units[i], strlen(units[i]));
        if (text_take_unit(&t, &unit))
            fail_msg("`%s` taken", units[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(weights_are_exact),
        cmocka_unit_test(what_is_no_weight_is_refused),
        cmocka_unit_test(a_frame_without_unit_takes_the_one_assumed),
        cmocka_unit_test(units_are_found_by_their_printed_names),
        cmocka_unit_test(numbers_keep_the_digits_sent),
        cmocka_unit_test(a_unit_that_cannot_be_named_is_not_taken),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
