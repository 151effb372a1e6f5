/* Numbers that people send: which are refused, and in which field. */
#include "mix/bounds.h"

#include "mix/aim.h"
#include "published.h"

#include <math.h>

static void lists(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double parts[3], poured[3];
        size_t n, m;
        enum mix_fault fault;
        const char *field;
        size_t index;
    } rows[] = {
        {"fine", {1, 0, 2}, {0, 0, 0}, 3, 3, MIX_FAULT_NONE, NULL, 0},
        {"empty", {0}, {0}, 0, 0, MIX_FAULT_MISSING, "parts", 0},
        {"all 0", {0, 0, 0}, {0, 0, 0}, 3, 3, MIX_FAULT_ALL_ZERO, "parts", 0},
        {"negative part", {1, -1, 2}, {0, 0, 0}, 3, 3, MIX_FAULT_NEGATIVE, "parts", 1},
        {"part missing", {1, 1, NAN}, {0, 0, 0}, 3, 3, MIX_FAULT_NOT_FINITE, "parts", 2},
        {"part infinite", {INFINITY, 1, 1}, {0, 0, 0}, 3, 3, MIX_FAULT_NOT_FINITE, "parts", 0},
        {"part beyond sense", {1, 1e10, 1}, {0, 0, 0}, 3, 3, MIX_FAULT_TOO_LARGE, "parts", 1},
        {"lengths", {1, 1, 1}, {0, 0, 0}, 3, 2, MIX_FAULT_LENGTHS, "poured_g", 0},
        {"negative pour", {1, 1, 1}, {0, 0, -0.1}, 3, 3, MIX_FAULT_NEGATIVE, "poured_g", 2},
        {"the first fault counts", {-1, 1, 1}, {0, -1, 0}, 3, 3, MIX_FAULT_NEGATIVE, "parts", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct mix_refusal no = MIX_REFUSAL_NONE;
        mix_check_parts(&no, "parts", rows[i].parts, rows[i].n);
        mix_check_list(&no, "poured_g", rows[i].poured, rows[i].m, rows[i].n);
        if (no.fault != rows[i].fault || no.index != rows[i].index)
            fail_msg("%s: fault %d at %zu", rows[i].name, (int)no.fault, no.index);
        if (rows[i].field)
            assert_string_equal(no.field, rows[i].field);
        else
            assert_null(no.field);
    }
}

static void sixty_four_and_no_more(void **state)
{
    (void)state;
    double parts[MIX_MAX + 1];
    for (size_t i = 0; i <= MIX_MAX; i++)
        parts[i] = 1;
    struct mix_refusal no = MIX_REFUSAL_NONE;
    mix_check_parts(&no, "parts", parts, MIX_MAX);
    assert_int_equal(no.fault, MIX_FAULT_NONE);
    mix_check_parts(&no, "parts", parts, MIX_MAX + 1);
    assert_int_equal(no.fault, MIX_FAULT_TOO_MANY);
}

static void lone_numbers(void **state)
{
    (void)state;
    static const struct {
        double number;
        enum mix_fault above_0, not_below_0, pct, pct_above_0, density;
    } rows[] = {
        {5, MIX_FAULT_NONE, MIX_FAULT_NONE, MIX_FAULT_NONE, MIX_FAULT_NONE, MIX_FAULT_NONE},
        {0, MIX_FAULT_ZERO, MIX_FAULT_NONE, MIX_FAULT_NONE, MIX_FAULT_ZERO, MIX_FAULT_ZERO},
        {-1, MIX_FAULT_NEGATIVE, MIX_FAULT_NEGATIVE, MIX_FAULT_NEGATIVE, MIX_FAULT_NEGATIVE, MIX_FAULT_NEGATIVE},
        {100, MIX_FAULT_NONE, MIX_FAULT_NONE, MIX_FAULT_NONE, MIX_FAULT_NONE, MIX_FAULT_NONE},
        {100.5, MIX_FAULT_NONE, MIX_FAULT_NONE, MIX_FAULT_TOO_LARGE, MIX_FAULT_TOO_LARGE, MIX_FAULT_NONE},
        {1e10, MIX_FAULT_TOO_LARGE, MIX_FAULT_TOO_LARGE, MIX_FAULT_TOO_LARGE, MIX_FAULT_TOO_LARGE, MIX_FAULT_TOO_LARGE},
        {NAN, MIX_FAULT_MISSING, MIX_FAULT_MISSING, MIX_FAULT_MISSING, MIX_FAULT_MISSING, MIX_FAULT_NONE},
        {INFINITY, MIX_FAULT_NOT_FINITE, MIX_FAULT_NOT_FINITE, MIX_FAULT_NOT_FINITE, MIX_FAULT_NOT_FINITE,
         MIX_FAULT_NOT_FINITE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct mix_refusal no[5] = {0};
        mix_check_above_0(&no[0], "grams", rows[i].number);
        mix_check_not_below_0(&no[1], "grams", rows[i].number);
        mix_check_pct(&no[2], "grams", rows[i].number);
        mix_check_pct_above_0(&no[3], "grams", rows[i].number);
        mix_check_density(&no[4], "grams", rows[i].number);
        assert_int_equal(no[0].fault, rows[i].above_0);
        assert_int_equal(no[1].fault, rows[i].not_below_0);
        assert_int_equal(no[2].fault, rows[i].pct);
        assert_int_equal(no[3].fault, rows[i].pct_above_0);
        assert_int_equal(no[4].fault, rows[i].density);
    }
}

static void densities_may_be_null(void **state)
{
    (void)state;
    const double fine[] = {1.05, NAN, 0.88};
    const double zero[] = {1.05, NAN, 0};
    struct mix_refusal no = MIX_REFUSAL_NONE;
    mix_check_densities(&no, "densities_g_per_ml", fine, 3, 3);
    assert_int_equal(no.fault, MIX_FAULT_NONE);
    mix_check_densities(&no, "densities_g_per_ml", zero, 3, 3);
    assert_int_equal(no.fault, MIX_FAULT_ZERO);
    assert_int_equal(no.index, 2);
    no = MIX_REFUSAL_NONE;
    mix_check_densities(&no, "densities_g_per_ml", fine, 2, 3);
    assert_int_equal(no.fault, MIX_FAULT_LENGTHS);
}

static void every_fault_has_its_own_words(void **state)
{
    (void)state;
    for (int i = 1; i <= MIX_FAULT_ONE_OF; i++)
        for (int j = 0; j < i; j++)
            assert_string_not_equal(mix_fault_why((enum mix_fault)i), mix_fault_why((enum mix_fault)j));
    assert_non_null(mix_fault_why((enum mix_fault)99));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lists),
        cmocka_unit_test(sixty_four_and_no_more),
        cmocka_unit_test(lone_numbers),
        cmocka_unit_test(densities_may_be_null),
        cmocka_unit_test(every_fault_has_its_own_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
