/* A check weight and a watched pan, judged from readings. Numbers worked by hand from the definitions in check.h. */
#include "station/weight_check.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static const struct {
    const char *name;
    double empty_g, loaded_g, again_g, tolerance_g;
    double error_g, error_d, zero_g;
    bool passed;
} checks[] = {
    {"exact", 0, 200, 0, 0.05, 0, 0, 0, true},
    {"off by the tolerance is still good", 0, 200.05, 0, 0.05, 0.05, 5, 0, true},
    {"one d more is not", 0, 200.06, 0, 0.05, 0.06, 6, 0, false},
    {"too little", 0, 199.9, 0, 0.05, -0.1, -10, 0, false},
    {"a mat on the pan counts on both sides", 12.5, 212.52, 12.5, 0.05, 0.02, 2, 0, true},
    {"half of a zero that moves is taken out", 0, 200.02, 0.04, 0.05, 0, 0, 0.04, true},
    {"a pan that does not come back", 0, 200.05, 0.1, 0.05, 0, 0, 0.1, false},
};

static int64_t ug(double g)
{
    return (int64_t)llround(g * 1e6);
}

static void a_check_is_judged(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof checks / sizeof *checks; i++) {
        struct check c;
        struct check_outcome out;
        check_begin(&c, 200, checks[i].tolerance_g);
        assert_false(check_take(&c, ug(checks[i].empty_g)));
        assert_false(check_take(&c, ug(checks[i].loaded_g)));
        assert_true(check_take(&c, ug(checks[i].again_g)));
        assert_false(check_take(&c, 0));
        check_judge(&c, 0.01, 0.01, &out);
        if (fabs(out.error_g - checks[i].error_g) > 1e-9 || fabs(out.error_d - checks[i].error_d) > 1e-6 ||
            fabs(out.zero_g - checks[i].zero_g) > 1e-9 || out.passed != checks[i].passed)
            fail_msg("%s: %.6f g, %.3f d, zero %.6f g, %s", checks[i].name, out.error_g, out.error_d, out.zero_g,
                     out.passed ? "passed" : "failed");
    }
}

static void a_steady_reading_is_told_apart(void **state)
{
    (void)state;
    struct check c;
    check_begin(&c, 200, 0.05);
    assert_int_equal(check_look(&c, ug(200.3)), CHECK_ON_ALREADY);
    assert_int_equal(check_look(&c, ug(180.1)), CHECK_ON_ALREADY);
    assert_int_equal(check_look(&c, ug(180)), CHECK_FITS); /* some cup */
    assert_int_equal(check_look(&c, ug(31.2)), CHECK_FITS);
    check_take(&c, ug(31.2));
    assert_int_equal(check_look(&c, ug(31.2)), CHECK_NOT_ON);
    assert_int_equal(check_look(&c, ug(51.1)), CHECK_NOT_ON);
    assert_int_equal(check_look(&c, ug(51.2)), CHECK_FITS);
    assert_int_equal(check_look(&c, ug(472.1)), CHECK_FITS); /* a scale that is far off is to fail, not to be refused */
    assert_int_equal(check_look(&c, ug(11.3)), CHECK_NOT_ON);
    assert_int_equal(check_look(&c, 0), CHECK_EMPTIED); /* the cup was taken off only now */
    check_rebase(&c, 0);
    assert_int_equal(check_look(&c, ug(19.9)), CHECK_NOT_ON);
    check_take(&c, ug(200));
    assert_int_equal(check_look(&c, ug(200)), CHECK_STILL_ON);
    assert_int_equal(check_look(&c, ug(-20)), CHECK_BELOW);
    assert_int_equal(check_look(&c, ug(0.1)), CHECK_FITS);
    assert_true(check_take(&c, ug(0)));
    struct check_outcome out;
    check_judge(&c, 0.01, 0.01, &out);
    assert_true(out.passed && out.error_g == 0 && out.zero_g == 0);
}

/* 0.1 g up to 600 g on the pan and 0.5 g above: the pan's 0.2 g are two of the finer interval. */
static void each_interval_counts_where_it_holds(void **state)
{
    (void)state;
    struct check c;
    struct check_outcome out;
    check_begin(&c, 1000, 0.5);
    check_take(&c, 0);
    check_take(&c, ug(1001.1));
    assert_true(check_take(&c, ug(0.2)));
    check_judge(&c, 0.5, 0.1, &out);
    assert_true(fabs(out.error_d - 2) < 1e-9);
    assert_true(fabs(out.zero_d - 2) < 1e-9);
    assert_false(out.passed);
}

/* 10 readings a second for a minute on a scale of d 0.01. */
static struct drift_outcome watched(double (*grams)(int reading))
{
    struct drift w;
    struct drift_outcome out;
    drift_begin(&w, 5000, 60000);
    for (int i = 0; i < 600; i++)
        drift_add(&w, 5000 + i * 100, round(grams(i) * 100) / 100);
    assert_true(drift_judge(&w, 0.01, &out));
    return out;
}

static double still(int i)
{
    (void)i;
    return 0.02;
}
static double trembles_by_1_d(int i)
{
    return i % 3 ? 0.01 : 0.02;
}
static double trembles_by_2_d(int i)
{
    return 0.01 * (i % 3);
}
static double rises(int i)
{
    return i * 0.0001; /* 6 d in the minute */
}
static double falls(int i)
{
    return 3 - i * 0.001; /* 60 d */
}
static double swings(int i)
{
    return 0.05 * sin(i / 7.0);
}
static double one_gust(int i)
{
    return i > 290 && i < 310 ? 0.08 : 0;
}

static void a_watched_pan_is_judged(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double (*grams)(int);
        enum drift_kind kind;
        double d_per_min, within;
    } rows[] = {
        {"still", still, DRIFT_STEADY, 0, 0.01},         {"1 d", trembles_by_1_d, DRIFT_STEADY, 0, 0.3},
        {"2 d", trembles_by_2_d, DRIFT_DRAUGHT, 0, 0.3}, {"rises", rises, DRIFT_DRIFTS, 6, 0.2},
        {"falls", falls, DRIFT_DRIFTS, -60, 0.5},        {"swings", swings, DRIFT_DRAUGHT, 0, 3},
        {"one gust", one_gust, DRIFT_DRAUGHT, 0, 3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct drift_outcome out = watched(rows[i].grams);
        if (out.kind != rows[i].kind || fabs(out.d_per_min - rows[i].d_per_min) > rows[i].within)
            fail_msg("%s: %s, %.3f d a minute, %.3f d to a side", rows[i].name, drift_kind_name(out.kind),
                     out.d_per_min, out.span_d);
    }
}

static void a_silent_scale_says_nothing(void **state)
{
    (void)state;
    struct drift w;
    struct drift_outcome out;
    drift_begin(&w, 0, 60000);
    assert_false(drift_judge(&w, 0.01, &out));
    for (int i = 0; i < 3; i++)
        drift_add(&w, i * 20000, 0);
    assert_false(drift_judge(&w, 0.01, &out));
    drift_add(&w, 60000, 5); /* after the end: not counted */
    drift_add(&w, -1, 5);
    assert_false(drift_judge(&w, 0.01, &out));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_interval_counts_where_it_holds), cmocka_unit_test(a_check_is_judged),
        cmocka_unit_test(a_steady_reading_is_told_apart),      cmocka_unit_test(a_watched_pan_is_judged),
        cmocka_unit_test(a_silent_scale_says_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
