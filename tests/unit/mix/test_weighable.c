/* What a scale can weigh, and premixes; rows W01 to W12 with their sources in check-values.tsv. */
#include "mix/weighable.h"

#include "published.h"

#include <math.h>

/* A sensitivity (SR), the s of USP <41> or a half digit is what one reading may be off: our d / 2. */
static void published_least_weights(void **state)
{
    (void)state;
    static const struct {
        const char *id;
        size_t place;
        double off, error_pct;
    } rows[] = {
        {"W01", 0, 10, 5},           /* mg */
        {"W03", 0, 6, 5},            /* mg */
        {"W06", 0, 4, 5},            /* mg */
        {"W09", 0, 0.41 * 2, 0.1},   /* d; 2 s / m of at most 0.10 %, s = 0.41 d */
        {"W10", 0, 0.02 * 2, 0.1},   /* g; the same with s = 0.02 g */
        {"W11", 0, 0.041 * 2, 0.1},  /* g; d = 0.1 g */
        {"W11", 1, 0.0041 * 2, 0.1}, /* g; d = 0.01 g */
        {"W12", 0, 0.1, 5},          /* g; the whole digit */
        {"W12", 1, 0.05, 5},         /* g; half of it, which is what Poise takes */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        near_to(rows[i].id, mix_weighable_g(2 * rows[i].off, 0, rows[i].error_pct),
                published(rows[i].id, rows[i].place), 1e-9);
    /* W05 asks the other way round: 50 weighed with 6 of doubt is 12 %. */
    near_to("W05", mix_weighable_g(2 * 6, 0, published("W05", 0)), 50, 1e-9);
}

static void the_least_component_sets_the_batch(void **state)
{
    (void)state;
    const double parts[] = {212.0, 0, 61.5, 3.2, 3.2};
    double smallest_g = 0;
    size_t index = 99;
    assert_true(mix_weighable(parts, 5, 0.1, 0, 5, &smallest_g, &index));
    near_to("1 g of 3.2 in 279.9", smallest_g, 279.9 / 3.2, 1e-9);
    assert_int_equal(index, 3);
    assert_true(mix_weighable(parts, 5, 0.1, 0.03, 5, &smallest_g, &index));
    near_to("half a drop on top", smallest_g, 1.6 * 279.9 / 3.2, 1e-9);
    assert_true(mix_weighable(parts, 5, 0, 0, 5, &smallest_g, &index));
    near_to("a perfect scale", smallest_g, 0, 0);
    smallest_g = 7;
    assert_false(mix_weighable(parts, 0, 0.1, 0, 5, &smallest_g, &index));
    assert_false(mix_weighable(&parts[1], 1, 0.1, 0, 5, &smallest_g, &index));
    assert_false(mix_weighable(parts, 5, 0.1, 0, 0, &smallest_g, &index));
    near_to("left as it was", smallest_g, 7, 0);
    assert_true(isinf(mix_weighable_g(0.1, 0.03, 0)));
}

/* The contract's call: u 0.035, m 1.4, k 1.4 / 0.09; worked by hand, in the order of the definition. */
static void premix_of_three(void **state)
{
    (void)state;
    const double grams[] = {0.09, 0.24, 0.48};
    struct mix_premix out;
    assert_true(mix_premix(grams, 3, 0.01, 0.03, 5, 200, &out));
    near_to("the least is weighable", out.toner_g[0], 1.4, 1e-9);
    near_to("the others by the same factor", out.toner_g[1], 0.24 * 1.4 / 0.09, 1e-9);
    near_to("and the third", out.toner_g[2], 0.48 * 1.4 / 0.09, 1e-9);
    near_to("take", out.take_g, 1.4, 1e-9);
    near_to("diluent", out.diluent_g, 1.4 / 0.09 * (1.4 - 0.81), 1e-9);
    near_to("all of it", out.total_g, out.diluent_g + out.toner_g[0] + out.toner_g[1] + out.toner_g[2], 1e-9);
    near_to("worst for the least: all of the error", out.dose_error_pct[0], 5, 1e-9);
    near_to("less for a larger one", out.dose_error_pct[2], 100 * (0.035 / (0.48 * 1.4 / 0.09) + 0.035 / 1.4), 1e-9);
    for (size_t i = 0; i < 3; i++)
        near_to("the part taken holds what is wanted", out.take_g * out.toner_g[i] / out.total_g, grams[i], 1e-12);
}

/* W07: 2 mg wanted; 120 mg is what can be weighed, so the same factor of 60. Its aliquot of 125 mg is a round
 * number chosen by the book; ours is the least, 120 mg, so the diluent is 60 x 120 - 120 where the book has
 * 60 x 125 - 120. A doubt of 3 mg is 2.5 % of 120 mg: half of the 5 % for each of the two weighings. */
static void published_dilution_factor(void **state)
{
    (void)state;
    const double grams[] = {0.002};
    struct mix_premix out;
    assert_true(mix_premix(grams, 1, 0.006, 0, 5, 200, &out));
    near_to("weighed", out.toner_g[0], 0.120, 1e-12);
    near_to("W07 factor", out.total_g / out.take_g, published("W07", 0), 1e-9);
    near_to("W07 diluent by the least aliquot", out.diluent_g, published("W07", 0) * 0.120 - 0.120, 1e-9);
}

static void premix_limits(void **state)
{
    (void)state;
    const double grams[] = {0.12, 0.3};
    const double none[] = {0.12, 0};
    const double lost[] = {NAN};
    double many[MIX_MAX + 1];
    struct mix_premix out = {.take_g = 7};
    for (size_t i = 0; i <= MIX_MAX; i++)
        many[i] = 0.1;
    /* m 2, k 2 / 0.12, diluent k (2 - 0.42) = 26.333. */
    assert_false(mix_premix(grams, 2, 0.1, 0, 5, 26.3, &out)); /* too little of the main component there */
    assert_false(mix_premix(none, 2, 0.1, 0, 5, 200, &out));
    assert_false(mix_premix(grams, 0, 0.1, 0, 5, 200, &out));
    assert_false(mix_premix(grams, 2, 0.1, 0, 0, 200, &out));
    assert_false(mix_premix(lost, 1, 0.1, 0, 5, 200, &out));
    assert_false(mix_premix(many, MIX_MAX + 1, 0.1, 0, 5, 1e9, &out));
    near_to("left as it was", out.take_g, 7, 0);
    assert_true(mix_premix(grams, 2, 0.1, 0, 5, 26.34, &out));
    const double large[] = {3, 4};
    assert_true(mix_premix(large, 2, 0.1, 0, 5, 0, &out));
    near_to("weighable as they are: nothing to thin", out.diluent_g, 0, 0);
    near_to("all of it is taken", out.take_g, 7, 0);
    near_to("as poured", out.toner_g[0], 3, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_least_weights), cmocka_unit_test(the_least_component_sets_the_batch),
        cmocka_unit_test(premix_of_three),         cmocka_unit_test(published_dilution_factor),
        cmocka_unit_test(premix_limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
