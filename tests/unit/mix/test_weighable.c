/* What a scale can weigh, and letdowns; rows W01 to W12 with their sources in check-values.tsv. */
#include "mix/letdown.h"
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

/* Worked by hand from m = (d/2 + half drop) / error: 1 g here, so 0.12 g must be thinned 8.33 times. */
static void letdown_example(void **state)
{
    (void)state;
    struct mix_letdown out;
    assert_true(mix_letdown(0.12, 0.1, 0, 5, 200, &out));
    near_to("toner", out.toner_g, 1, 1e-9);
    near_to("diluent", out.diluent_g, 7.333333, 5e-7);
    near_to("take", out.take_g, 1, 1e-9);
    near_to("holds what is wanted", out.take_g * out.toner_g / (out.toner_g + out.diluent_g), 0.12, 1e-12);
}

/* W07: 2 mg wanted, 120 mg is what can be weighed: the same factor of 60. Its aliquot of 125 mg is a round
 * number chosen by the book; ours is the least, 120 mg, so the diluent is 60 x 120 - 120 where the book has 60 x 125 -
 * 120. */
static void published_dilution_factor(void **state)
{
    (void)state;
    struct mix_letdown out;
    assert_true(mix_letdown(0.002, 0.012, 0, 5, 200, &out));
    near_to("weighed", out.toner_g, 0.120, 1e-12);
    near_to("W07 factor", (out.toner_g + out.diluent_g) / out.take_g, published("W07", 0), 1e-9);
    near_to("W07 diluent by the least aliquot", out.diluent_g, published("W07", 0) * 0.120 - 0.120, 1e-9);
}

static void letdown_limits(void **state)
{
    (void)state;
    struct mix_letdown out = {.toner_g = 7};
    assert_false(mix_letdown(0.12, 0.1, 0, 5, 7.3, &out)); /* too little of the main component there */
    assert_false(mix_letdown(0, 0.1, 0, 5, 200, &out));
    assert_false(mix_letdown(0.12, 0.1, 0, 0, 200, &out));
    assert_false(mix_letdown(NAN, 0.1, 0, 5, 200, &out));
    near_to("left as it was", out.toner_g, 7, 0);
    assert_true(mix_letdown(3, 0.1, 0, 5, 200, &out));
    near_to("weighable as it is", out.diluent_g, 0, 0);
    near_to("all of it is taken", out.take_g, 3, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_least_weights), cmocka_unit_test(the_least_component_sets_the_batch),
        cmocka_unit_test(letdown_example),         cmocka_unit_test(published_dilution_factor),
        cmocka_unit_test(letdown_limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
