/* What was poured against what is wanted: tolerance, least total, aims. */
#include "mix/aim.h"

#include "published.h"

#include <math.h>

static const struct mix_tolerance exact = {0, 0, 0, 0};
static const struct mix_tolerance usual = {0.1, 0.005, 0.1, 0.05};

/* Tolerances as {a, r, d, e}. */
static void tolerance_never_below_half_an_interval(void **state)
{
    (void)state;
    /* Worked by hand from t(K) = max(r K f, min(a, max(d / 2, e K f))). */
    static const struct {
        const char *name;
        double share, total_g;
        struct mix_tolerance tol;
        double want_g;
    } rows[] = {
        {"a large aim: r counts", 0.5, 100, {0.1, 0.005, 0.1, 0.05}, 0.25},
        {"a small aim: a counts", 0.03, 100, {0.1, 0.005, 0.1, 0.05}, 0.1},
        {"smaller: e of it", 0.015, 100, {0.1, 0.005, 0.1, 0.05}, 0.075},
        {"tiny: half an interval", 0.001, 100, {0.1, 0.005, 0.1, 0.05}, 0.05},
        {"half an interval may be more than the aim", 0.0004, 100, {0.1, 0.005, 0.1, 0.05}, 0.05},
        {"a finer scale: e of it still", 0.005, 100, {0.1, 0.005, 0.01, 0.05}, 0.025},
        {"half an interval is never more than a", 0.001, 100, {0.03, 0.005, 0.1, 0.05}, 0.03},
        {"the rule before: half the aim is the cap", 0.001, 100, {0.1, 0.005, 0, 0.5}, 0.05},
        {"r may be more than half the aim", 0.001, 100, {0.1, 0.8, 0, 0.5}, 0.08},
        {"no tolerance", 0.5, 100, {0, 0, 0, 0}, 0},
        {"a of 0 leaves r alone", 0.5, 100, {0, 0.005, 0.1, 0.05}, 0.25},
        {"a foreign component", 0, 100, {0.1, 0.005, 0.1, 0.05}, 0},
        {"no total", 0.5, 0, {0.1, 0.005, 0.1, 0.05}, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        near_to(rows[i].name, mix_tolerance_g(rows[i].share, rows[i].total_g, rows[i].tol), rows[i].want_g, 1e-12);
}

static void k_of_one_component(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double share, poured_g;
        struct mix_tolerance tol;
        double want_g;
    } rows[] = {
        {"exact", 0.25, 30, {0, 0, 0, 0}, 120},
        {"r", 0.5, 100.5, {0.1, 0.005, 0.1, 0.05}, 200},
        {"a", 0.03, 3.1, {0.1, 0.005, 0.1, 0.05}, 100},
        {"e", 0.015, 1.575, {0.1, 0.005, 0.1, 0.05}, 100},
        {"half an interval", 0.001, 0.15, {0.1, 0.005, 0.1, 0.05}, 100},
        {"an interval that covers all of it", 0.001, 0.04, {0.1, 0.005, 0.1, 0.05}, 0},
        {"the rule before: 1.5 times the aim", 0.01, 0.15, {0.1, 0.005, 0, 0.5}, 10},
        {"nothing poured", 0.5, 0, {0.1, 0.005, 0.1, 0.05}, 0},
        {"negative counts as nothing", 0.5, -1, {0.1, 0.005, 0.1, 0.05}, 0},
        {"foreign within a", 0, 0.1, {0.1, 0.005, 0.1, 0.05}, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        near_to(rows[i].name, mix_k_of(rows[i].share, rows[i].poured_g, rows[i].tol), rows[i].want_g, 1e-9);
    assert_true(isinf(mix_k_of(0, 0.2, usual)));
}

/* The project's worked example: 212.0 / 61.5 / 3.2, 276.7 wanted, 218.4 of the first. */
static void example_least_total_and_aims(void **state)
{
    (void)state;
    const double share[] = {212.0 / 276.7, 61.5 / 276.7, 3.2 / 276.7};
    const double poured[] = {218.4, 0, 0};
    const bool done[] = {true, false, false};
    double k_lo = mix_k_lo(share, poured, NULL, 3, 276.7, usual);
    near_to("k_lo", k_lo, 283.64, 0.005);
    near_to("k_aim", mix_k_aim(share, poured, done, 3, k_lo, usual), 285.05, 0.005);
}

static void aims_follow_what_was_poured_no_farther_than_r(void **state)
{
    (void)state;
    const double share[] = {0.5, 0.5, 0};
    const bool first[] = {true, false, true};
    const bool none[] = {false, false, false};
    const double little_over[] = {50.1, 0, 7};
    near_to("a little over: later aims grow with it", mix_k_aim(share, little_over, first, 3, 100, usual), 100.2, 1e-9);
    const double under[] = {49, 0, 0};
    near_to("under: the total stays", mix_k_aim(share, under, first, 3, 100, usual), 100, 0);
    const double much[] = {60, 0, 0};
    near_to("never beyond 1 + r", mix_k_aim(share, much, first, 3, 100, usual), 100.5, 1e-9);
    near_to("nothing done", mix_k_aim(share, much, none, 3, 100, usual), 100, 0);
    near_to("no components", mix_k_aim(NULL, NULL, NULL, 0, 100, usual), 100, 0);
}

static void what_was_left_is_out_of_the_maximum(void **state)
{
    (void)state;
    const double share[] = {0.5, 0.3, 0.2, 0};
    const double poured[] = {60, 33, 0, 5};
    const bool left[] = {true, false, false, true};
    const bool all[] = {true, true, true, true};
    assert_true(isinf(mix_k_lo(share, poured, NULL, 4, 100, exact)));
    near_to("the others still count", mix_k_lo(share, poured, left, 4, 100, exact), 110, 1e-9);
    near_to("all left", mix_k_lo(share, poured, all, 4, 100, exact), 100, 0);
    near_to("no components", mix_k_lo(NULL, NULL, NULL, 0, 100, exact), 100, 0);
}

static void over_and_under_take_a_microgram_of_slack(void **state)
{
    (void)state;
    assert_false(mix_is_over(0.5, 50.25 + 0.9e-6, 100, usual));
    assert_true(mix_is_over(0.5, 50.25 + 1.1e-6, 100, usual));
    assert_false(mix_is_under(0.5, 49.75 - 0.9e-6, 100, usual));
    assert_true(mix_is_under(0.5, 49.75 - 1.1e-6, 100, usual));
    assert_true(mix_is_under(0.001, 0, 100, usual)); /* nothing poured is never enough */
    /* not even where half an interval is more than the aim */
    assert_true(mix_is_under(0.0004, 0, 100, usual));
    assert_false(mix_is_under(0.0004, 0.01, 100, usual));
    assert_false(mix_is_over(0.001, 0.15, 100, usual)); /* the scale shows 0 to go or one step less */
    assert_true(mix_is_over(0.001, 0.2, 100, usual));
    assert_false(mix_is_under(0, 0, 100, usual));
    assert_false(mix_is_over(0, 0.1, 100, usual));
    assert_true(mix_is_over(0, 0.11, 100, usual));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tolerance_never_below_half_an_interval),
        cmocka_unit_test(k_of_one_component),
        cmocka_unit_test(example_least_total_and_aims),
        cmocka_unit_test(aims_follow_what_was_poured_no_farther_than_r),
        cmocka_unit_test(what_was_left_is_out_of_the_maximum),
        cmocka_unit_test(over_and_under_take_a_microgram_of_slack),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
