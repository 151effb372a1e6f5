/* Shares, density, and toners named twice. */
#include "mix/shares.h"

#include "published.h"

#include <math.h>

static void shares_sum_to_one(void **state)
{
    (void)state;
    const double parts[] = {212.0, 61.5, 3.2};
    double share[3];
    assert_true(mix_shares(parts, 3, share));
    near_to("first", share[0], 212.0 / 276.7, 1e-15);
    near_to("sum", share[0] + share[1] + share[2], 1, 1e-15);
    const double zeros[] = {0, 0, 0};
    assert_false(mix_shares(zeros, 3, share));
    near_to("no sense, no share", share[0], 0, 0);
    const double huge[] = {1e308, 1e308, 0};
    assert_false(mix_shares(huge, 3, share));
    near_to("no sense, no share", share[0], 0, 0);
    assert_false(mix_shares(NULL, 0, NULL));
}

static void volumes_add(void **state)
{
    (void)state;
    const double share[] = {0.5, 0.5, 0};
    const double density[] = {1.0, 0.5, NAN}; /* what has no share needs no density */
    const double weight[] = {100, 100, 0};
    near_to("density", mix_density_g_per_ml(share, density, 3), 1 / 1.5, 1e-12);
    near_to("volume", mix_volume_ml(weight, density, 3), 300, 1e-9);
    const double gap[] = {1.0, NAN, NAN};
    assert_true(isnan(mix_density_g_per_ml(share, gap, 3)));
    assert_true(isnan(mix_volume_ml(weight, gap, 3)));
    assert_true(isnan(mix_density_g_per_ml(share, density, 0)));
    near_to("nothing", mix_volume_ml(weight, density, 0), 0, 0);
}

static void a_toner_named_twice(void **state)
{
    (void)state;
    /* 100, 50, 100: the component of 200 is poured in two steps. */
    near_to("first step", mix_step_aim_g(200, 0, 0.4, 0.8), 100, 1e-12);
    near_to("110 in the first, 90 in the last", mix_step_aim_g(200, 110, 0.4, 0.4), 90, 1e-12);
    near_to("too much already", mix_step_aim_g(200, 210, 0.4, 0.4), 0, 0);
    near_to("none open", mix_step_aim_g(200, 200, 0.4, 0), 0, 0);
    near_to("named once", mix_step_aim_g(200, 0, 0.8, 0.8), 200, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shares_sum_to_one),
        cmocka_unit_test(volumes_add),
        cmocka_unit_test(a_toner_named_twice),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
