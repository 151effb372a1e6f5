/* VOC as applied; V rows with their sources in check-values.tsv. */
#include "mix/voc.h"

#include "published.h"

#include <math.h>

#define G_A_LB      453.59237                     /* exact, NIST Handbook 44 App. C */
#define ML_A_GALLON 3785.411784                   /* the same */
#define LB_PER_GAL  (G_A_LB / ML_A_GALLON * 1000) /* g/L */

/* pounds of VOC in gallons of something, the rest of it solids */
static struct mix_voc_part pounds(double voc_lb, double gallons)
{
    double grams = 1000 * gallons;
    return (struct mix_voc_part){.grams = grams,
                                 .density_g_per_ml = grams / (gallons * ML_A_GALLON),
                                 .voc_pct = 100 * voc_lb * G_A_LB / grams,
                                 .exempt_density_g_per_ml = NAN};
}

static struct mix_voc_part water(double gallons)
{
    return (struct mix_voc_part){.grams = gallons * ML_A_GALLON * MIX_WATER_G_PER_ML,
                                 .density_g_per_ml = MIX_WATER_G_PER_ML,
                                 .water_pct = 100,
                                 .exempt_density_g_per_ml = NAN};
}

static void published_mixtures(void **state)
{
    (void)state;
    static const struct {
        const char *id;
        double lb[2], gal[2];
        double within;
    } rows[] = {
        {"V07", {15.9, 0}, {5, 0}, 1e-9},      {"V08", {15.9, 1.6}, {5, 0.25}, 0.005},
        {"V09", {15.9, 3.2}, {5, 0.5}, 0.005}, {"V26", {2.8, 0.6}, {1, 0.5}, 5e-5},
        {"V15", {33.20, 0}, {100, 0}, 1e-9},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct mix_voc_part parts[2] = {pounds(rows[i].lb[0], rows[i].gal[0])};
        struct mix_voc out;
        if (rows[i].gal[1] > 0)
            parts[1] = pounds(rows[i].lb[1], rows[i].gal[1]);
        mix_voc(parts, 2, &out);
        near_to(rows[i].id, out.actual_g_per_l / LB_PER_GAL, published(rows[i].id, 0), rows[i].within);
        assert_null(out.why);
    }
}

static void published_less_water(void **state)
{
    (void)state;
    struct mix_voc out;
    const struct mix_voc_part v16[] = {pounds(33.20, 100 - 62.40), water(62.40)};
    mix_voc(v16, 2, &out);
    near_to("V16", out.regulatory_g_per_l / LB_PER_GAL, published("V16", 0), 5e-4);
    near_to("V15", out.actual_g_per_l / LB_PER_GAL, published("V15", 0), 1e-9);
    /* V12 printed 0.76 from a wrong denominator; 0.06 of 7.36 over 0.48 is 0.92. */
    const struct mix_voc_part v12[] = {pounds(0.06 * 7.36, 0.48), water(0.52)};
    mix_voc(v12, 2, &out);
    near_to("V12", out.regulatory_g_per_l / LB_PER_GAL, published("V12", 0), 1e-9);
    const struct mix_voc_part v32 = {
        .grams = 1050, .density_g_per_ml = 1.050, .voc_pct = 15, .water_pct = 50, .exempt_density_g_per_ml = NAN};
    mix_voc(&v32, 1, &out);
    near_to("V32 less water", out.regulatory_g_per_l, published("V32", 0), 0.005);
    near_to("V32 actual", out.actual_g_per_l, published("V32", 1), 1e-9);
}

static void published_exempt(void **state)
{
    (void)state;
    struct mix_voc out;
    /* V30 does not say what the litre weighs; it does not matter. */
    struct mix_voc_part part = {
        .grams = 1000, .density_g_per_ml = 1, .voc_pct = 34, .exempt_pct = 18, .exempt_density_g_per_ml = 0.7845};
    mix_voc(&part, 1, &out);
    near_to("V30 regulatory", out.regulatory_g_per_l, published("V30", 0), 0.005);
    near_to("V30 actual", out.actual_g_per_l, published("V30", 1), 1e-9);
    part.exempt_density_g_per_ml = NAN;
    mix_voc(&part, 1, &out);
    assert_true(isnan(out.regulatory_g_per_l));
    near_to("actual is known all the same", out.actual_g_per_l, 340, 1e-9);
    assert_non_null(out.why);
}

static void stages(void **state)
{
    (void)state;
    const double mid = 650;
    near_to("V04", mix_voc_stages_g_per_l(6.0, NULL, 0, 4.5), published("V04", 0), 1e-9);
    near_to("V05", mix_voc_stages_g_per_l(720, &mid, 1, 500), published("V05", 0), 1e-9);
}

static void what_is_not_known_is_null(void **state)
{
    (void)state;
    struct mix_voc out;
    mix_voc(NULL, 0, &out);
    assert_true(isnan(out.actual_g_per_l) && isnan(out.regulatory_g_per_l) && isnan(out.density_g_per_ml));
    assert_non_null(out.why);
    struct mix_voc_part part = water(1);
    mix_voc(&part, 1, &out);
    assert_true(isnan(out.regulatory_g_per_l)); /* a denominator of 0 */
    near_to("water holds none", out.actual_g_per_l, 0, 0);
    assert_non_null(out.why);
    struct mix_voc_part two[] = {pounds(1, 1), {.grams = 10, .density_g_per_ml = NAN, .voc_pct = 50}};
    mix_voc(two, 2, &out);
    assert_true(isnan(out.actual_g_per_l) && isnan(out.volume_ml));
    near_to("grams of VOC need no density", out.voc_g, G_A_LB + 5, 1e-9);
    assert_non_null(out.why);
    two[1].grams = 0;
    mix_voc(two, 2, &out);
    near_to("nothing of it asks nothing", out.actual_g_per_l, LB_PER_GAL, 1e-9);
    assert_null(out.why);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_mixtures),        cmocka_unit_test(published_less_water),
        cmocka_unit_test(published_exempt),          cmocka_unit_test(stages),
        cmocka_unit_test(what_is_not_known_is_null),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
