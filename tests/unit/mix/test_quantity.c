/* Ready-to-spray amounts and how far they go; S rows with their sources in check-values.tsv. */
#include "mix/quantity.h"

#include "published.h"

#include <math.h>

/* Exact: NIST Handbook 44 App. C, as GNU units has them. */
#define ML_A_GALLON 3785.411784
#define M2_A_FT2    0.09290304
#define UM_A_MIL    25.4

static void colour_for_ready_to_spray(void **state)
{
    (void)state;
    near_to("20 % by volume", mix_grams_for_ml(400, 1.2373, 20, true, NAN), 412.4, 0.05);
    near_to("unreduced", mix_grams_for_ml(400, 1.2373, 0, false, NAN), 494.92, 1e-9);
    /* By weight: 100 g of colour at 1.25 and 20 g of reducer at 0.8 are 80 + 25 mL. */
    near_to("20 % by weight", mix_grams_for_ml(105, 1.25, 20, false, 0.8), 100, 1e-9);
    assert_true(isnan(mix_grams_for_ml(400, NAN, 20, true, 0.88)));
    assert_true(isnan(mix_grams_for_ml(400, 0, 20, true, 0.88)));
    assert_true(isnan(mix_grams_for_ml(400, 1.2, 20, false, NAN)));
    near_to("there and back", mix_ml_for_grams(mix_grams_for_ml(400, 1.2373, 20, true, NAN), 1.2373, 20, true, NAN),
            400, 1e-9);
    near_to("nothing", mix_ml_for_grams(0, 1.2373, 20, true, NAN), 0, 0);
}

static void published_spreading_rates(void **state)
{
    (void)state;
    struct mix_spread out;
    assert_true(mix_spread(1, 1, 1, 100, 100, 0, &out));
    near_to("S02", out.m2_per_l, published("S02", 0), 1e-9);
    assert_true(mix_spread(1, 1, UM_A_MIL, 100, 100, 0, &out));
    near_to("S01", out.m2_per_l / M2_A_FT2 * ML_A_GALLON / 1000, published("S01", 0), 5e-4);
    assert_true(mix_spread(1, 1, 5 * UM_A_MIL, 65, 100, 0, &out));
    near_to("S03, with its rounded constant", out.m2_per_l / M2_A_FT2 * ML_A_GALLON / 1000 * (1604 / 1604.1667),
            published("S03", 0), 0.005);
    near_to("S09", out.m2_per_l, published("S09", 0), 5e-5);
    assert_true(mix_spread(50, 1, 1.5 * UM_A_MIL, 52, 35, 0, &out));
    near_to("S05", 50 / M2_A_FT2 / (out.volume_ml / ML_A_GALLON) * (1604 / 1604.1667), published("S05", 0), 0.01);
    assert_true(mix_spread(1.5, 1, 50, 40, 65, 0, &out));
    near_to("S10", out.volume_ml, published("S10", 0), 0.005);
    near_to("the protocol's example", out.volume_ml, 288.461538, 5e-7);
    near_to("S08", out.m2_per_l, 8, 1e-12);
}

static void loss_comes_on_top(void **state)
{
    (void)state;
    struct mix_spread out;
    assert_true(mix_spread(1.5, 2, 50, 40, 65, 40, &out));
    near_to("two coats and the cup", out.volume_ml, 2 * 288.461538 + 40, 1e-5);
    assert_true(mix_spread(0, 2, 50, 40, 65, 40, &out));
    near_to("no area", out.volume_ml, 40, 1e-9);
    assert_false(mix_spread(1.5, 1, 0, 40, 65, 0, &out));
    assert_false(mix_spread(1.5, 1, 50, 0, 65, 0, &out));
    assert_false(mix_spread(1.5, 1, 50, 40, 0, 0, &out));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(colour_for_ready_to_spray),
        cmocka_unit_test(published_spreading_rates),
        cmocka_unit_test(loss_comes_on_top),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
