/* Two-constant Kubelka-Munk against its own identities, against CIE's white, and L*a*b* against liblcms2. */
#include "mix/kubelka.h"

#include "published.h"

#include <lcms2.h>
#include <math.h>

/* Source: K/S = (1 - R)^2 / 2R, Kubelka and Munk (1931), from memory. */
static void reflectance_is_the_inverse_of_k_by_s(void **state)
{
    (void)state;
    for (int i = 1; i < 1000; i++) {
        double r = i / 1000.0;
        near_to("R", mix_km_reflectance((1 - r) * (1 - r) / (2 * r)), r, 1e-12);
    }
    near_to("nothing absorbs", mix_km_reflectance(0), 1, 0);
}

/* What reflects all, and nothing. */
static void white_and_black(void **state)
{
    (void)state;
    double all[MIX_BANDS], none[MIX_BANDS];
    for (size_t i = 0; i < MIX_BANDS; i++) {
        all[i] = 1;
        none[i] = 0;
    }
    struct mix_lab white = mix_lab_of(all), black = mix_lab_of(none);
    near_to("L*", white.l, 100, 1e-9);
    near_to("a*", white.a, 0, 1e-9);
    near_to("b*", white.b, 0, 1e-9);
    near_to("black", black.l, 0, 1e-9);
}

/* A grey of reflectance R has Y = R: L*a*b* as liblcms2 makes it of that XYZ. Single bands light up in the right hue.
 */
static void lab_agrees_with_another_implementation(void **state)
{
    (void)state;
    const cmsCIEXYZ white = {0.95047, 1, 1.08883};
    for (int i = 0; i <= 100; i++) {
        double grey[MIX_BANDS], r = i / 100.0;
        for (size_t band = 0; band < MIX_BANDS; band++)
            grey[band] = r;
        cmsCIEXYZ xyz = {r * white.X, r * white.Y, r * white.Z};
        cmsCIELab lab;
        cmsXYZ2Lab(&white, &lab, &xyz);
        struct mix_lab mine = mix_lab_of(grey);
        near_to("L*", mine.l, lab.L, 1e-6);
        near_to("a*", mine.a, lab.a, 1e-6);
        near_to("b*", mine.b, lab.b, 1e-6);
    }
    /* Hues by their names: reddish above 600 nm, greenish about 530, bluish below 480. */
    static const struct {
        int from, to, a_sign, b_sign;
    } hues[] = {{11, 15, 1, 1}, {5, 8, -1, 1}, {0, 3, 1, -1}, {7, 15, 1, 1}};
    for (size_t i = 0; i < sizeof hues / sizeof *hues; i++) {
        double some[MIX_BANDS] = {0};
        for (int band = hues[i].from; band <= hues[i].to; band++)
            some[band] = 0.8;
        struct mix_lab lab = mix_lab_of(some);
        assert_true(lab.a * hues[i].a_sign > 0 && lab.b * hues[i].b_sign > 0);
    }
}

/* A white that scatters and a black that absorbs: K and S add by weight, so 1 in 100 of black gives K/S 0.05. */
static void a_mix_is_the_sum_of_its_toners(void **state)
{
    (void)state;
    struct mix_optics white = {.k = {0}}, black = {.k = {0}};
    const struct mix_optics *both[] = {&white, &black};
    for (size_t i = 0; i < MIX_BANDS; i++) {
        white.k[i] = 0.002;
        white.s[i] = 1;
        black.k[i] = 5;
        black.s[i] = 0.1;
    }
    const double grams[] = {99, 1}, twice[] = {198, 2}, pure[] = {1, 0};
    struct mix_lab lab, again, alone;
    assert_true(mix_km_lab(grams, both, 2, &lab));
    double r = mix_km_reflectance((99 * 0.002 + 5) / (99 + 0.1));
    near_to("grey of that reflectance", lab.l, 116 * cbrt(r) - 16, 1e-9);
    assert_true(mix_km_lab(twice, both, 2, &again));
    near_to("amounts do not matter, shares do", mix_de00(lab, again), 0, 1e-9);
    assert_true(mix_km_lab(pure, both, 2, &alone));
    assert_true(alone.l > lab.l);
    const double nothing[] = {0, 0};
    assert_false(mix_km_lab(nothing, both, 2, &lab));
}

static void bands_come_of_measured_points(void **state)
{
    (void)state;
    const double nm[] = {450, 550, 650}, k[] = {1, 3, 2}, s[] = {10, 10, 30};
    struct mix_optics o;
    assert_true(mix_optics_of(nm, k, s, 3, &o));
    near_to("at the end as at the end", o.k[0], 1, 0);
    near_to("between", o.k[5], 2, 1e-12); /* 500 nm */
    near_to("between", o.s[10], 20, 1e-12);
    near_to("red end", o.s[15], 30, 0);
    assert_false(mix_optics_of(nm, k, s, 2, &o));
    const double green[] = {500, 550, 590};
    assert_false(mix_optics_of(green, k, s, 3, &o));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reflectance_is_the_inverse_of_k_by_s),   cmocka_unit_test(white_and_black),
        cmocka_unit_test(lab_agrees_with_another_implementation), cmocka_unit_test(a_mix_is_the_sum_of_its_toners),
        cmocka_unit_test(bands_come_of_measured_points),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
