/* Shares, ratios, reductions and areas; rows M01 to M08 and S01 to S10 with their sources in check-values.tsv. */
#include "mix/amount.h"

#include "published.h"

#include <math.h>

/* Exact: NIST Handbook 44 App. C, as GNU units has them. */
#define ML_A_GALLON 3785.411784
#define M2_A_FT2    0.09290304
#define UM_A_MIL    25.4

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

static const double clear_parts[] = {4, 1, 1};
static const double clear_density[] = {1.05, 1.02, 0.88}; /* row M05 */

static void published_splits_by_volume(void **state)
{
    (void)state;
    static const struct {
        const char *id;
        double parts[3], total_ml;
        size_t n;
    } rows[] = {
        {"M01", {4, 1, 1}, 600, 3},
        {"M02", {2, 1}, 300, 2},
        {"M03", {8, 1, 1}, 500, 3},
        {"M04", {3, 1, 1}, 500, 3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct mix_ratio out;
        assert_true(mix_ratio(rows[i].parts, rows[i].n, true, clear_density, NAN, rows[i].total_ml, &out));
        for (size_t j = 0; j < rows[i].n; j++)
            near_to(rows[i].id, out.volume_ml[j], published(rows[i].id, j), 1e-9);
        near_to(rows[i].id, out.total_ml, rows[i].total_ml, 1e-9);
    }
}

static void published_split_from_volume_to_weight(void **state)
{
    (void)state;
    struct mix_ratio out;
    assert_true(mix_ratio(clear_parts, 3, true, clear_density, 500, NAN, &out));
    for (size_t i = 0; i < 3; i++)
        near_to("M05", out.weight_g[i], published("M05", i), 5e-5);
    near_to("M05 total", out.total_g, 500, 1e-9);
    near_to("M06", out.total_g / out.total_ml, published("M06", 0), 5e-7);
    /* Rows M05 give hardener and reducer to 100 of the base as well. */
    near_to("M05 hardener", 100 * out.weight_g[1] / out.weight_g[0], published("M05", 4), 5e-5);
    near_to("M05 reducer", 100 * out.weight_g[2] / out.weight_g[0], published("M05", 5), 5e-5);
}

static void by_weight(void **state)
{
    (void)state;
    struct mix_ratio out;
    const double gap[] = {1.05, NAN, 0.88};
    assert_true(mix_ratio(clear_parts, 3, false, NULL, 600, NAN, &out));
    near_to("base", out.weight_g[0], 400, 1e-9);
    assert_true(isnan(out.volume_ml[0]) && isnan(out.total_ml));
    assert_true(mix_ratio(clear_parts, 3, false, gap, 600, NAN, &out));
    near_to("known volume", out.volume_ml[0], 400 / 1.05, 1e-9);
    assert_true(isnan(out.volume_ml[1]) && isnan(out.total_ml));
    assert_true(mix_ratio(clear_parts, 3, false, clear_density, NAN, 100, &out));
    near_to("volume reached", out.total_ml, 100, 1e-9);
    near_to("in proportion", out.weight_g[0] / out.weight_g[2], 4, 1e-9);
}

static void what_cannot_be_answered_is_refused(void **state)
{
    (void)state;
    const double gap[] = {1.05, NAN, 0.88};
    const double zeros[] = {0, 0, 0};
    struct mix_ratio out = {.total_g = 7};
    assert_false(mix_ratio(clear_parts, 3, true, gap, 500, NAN, &out));
    assert_false(mix_ratio(clear_parts, 3, true, gap, NAN, 500, &out));
    assert_false(mix_ratio(clear_parts, 3, true, NULL, 500, NAN, &out));
    assert_false(mix_ratio(clear_parts, 3, false, gap, NAN, 500, &out));
    assert_false(mix_ratio(clear_parts, 3, false, gap, NAN, NAN, &out));
    assert_false(mix_ratio(clear_parts, 3, false, gap, 5, 5, &out));
    assert_false(mix_ratio(zeros, 3, false, clear_density, 500, NAN, &out));
    assert_false(mix_ratio(clear_parts, 0, false, clear_density, 500, NAN, &out));
    assert_false(mix_ratio(clear_parts, MIX_MAX + 1, false, clear_density, 500, NAN, &out));
    near_to("left as it was", out.total_g, 7, 0);
}

static void nothing_of_a_part_needs_no_density_by_weight(void **state)
{
    (void)state;
    const double parts[] = {4, 1, 0};
    const double density[] = {1.05, 1.02, NAN};
    struct mix_ratio out;
    assert_true(mix_ratio(parts, 3, false, density, 500, NAN, &out));
    near_to("volume", out.total_ml, 400 / 1.05 + 100 / 1.02, 1e-9);
}

static void reduction(void **state)
{
    (void)state;
    struct mix_reduction out;
    /* The example of the protocol's mix.reduce. */
    assert_true(mix_reduce(260, 1.05, 10, false, 0.88, &out));
    near_to("grams", out.reducer_g, 26, 1e-9);
    near_to("mL", out.reducer_ml, 29.545455, 5e-7);
    /* M08: 25 % of 4 parts of paint is 1 part of reducer. */
    assert_true(mix_reduce(4 * 1.05, 1.05, 25, true, 0.88, &out));
    near_to("M08", out.reducer_ml, published("M08", 0), 1e-9);
    assert_true(mix_reduce(260, NAN, 10, false, NAN, &out));
    near_to("by weight needs no density", out.reducer_g, 26, 1e-9);
    assert_true(isnan(out.reducer_ml));
    out.reducer_g = 7;
    assert_false(mix_reduce(260, NAN, 10, true, 0.88, &out));
    assert_false(mix_reduce(260, 1.05, 10, true, NAN, &out));
    near_to("left as it was", out.reducer_g, 7, 0);
    assert_true(mix_reduce(0, 1.05, 10, true, 0.88, &out));
    near_to("no paint, no reducer", out.reducer_g, 0, 0);
}

/* By hand: 60 mL of 40 %, 32 of 50 %, 27.7778 of 60 % are 56.6667 in 119.7778 mL. */
static void solids_of_a_mix_count_all_that_is_in_it(void **state)
{
    (void)state;
    const double ml[] = {60, 32, 100 / 3.6, 0}, pct[] = {40, 50, 60, NAN}, unknown[] = {40, NAN, 60, 0};
    near_to("all", mix_solids_vol_pct(ml, pct, 4), 47.309833, 5e-7);
    near_to("without the hardener", mix_solids_vol_pct(ml, pct, 2), 100 * 40.0 / 92, 1e-9);
    assert_true(isnan(mix_solids_vol_pct(ml, unknown, 4)));
    assert_true(isnan(mix_solids_vol_pct(ml + 3, pct + 3, 1)));
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
        cmocka_unit_test(shares_sum_to_one),
        cmocka_unit_test(published_splits_by_volume),
        cmocka_unit_test(published_split_from_volume_to_weight),
        cmocka_unit_test(by_weight),
        cmocka_unit_test(what_cannot_be_answered_is_refused),
        cmocka_unit_test(nothing_of_a_part_needs_no_density_by_weight),
        cmocka_unit_test(reduction),
        cmocka_unit_test(solids_of_a_mix_count_all_that_is_in_it),
        cmocka_unit_test(published_spreading_rates),
        cmocka_unit_test(loss_comes_on_top),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
