/* The doubt of a cup: each term by hand, and the shares against a Monte Carlo of readings that a scale rounds. */
#include "mix/uncertainty.h"

#include "published.h"

#include <math.h>

static double between_0_and_1(void)
{
    return ((double)rand() + 0.5) / ((double)RAND_MAX + 1);
}

/* Box and Muller; two uniform numbers make a normal one. */
static double normal(void)
{
    double radius = sqrt(-2 * log(between_0_and_1()));
    return radius * cos(2 * M_PI * between_0_and_1());
}

static double rounded(double grams, double d_g)
{
    return d_g * round(grams / d_g);
}

/* One pour as a scale tells it: two readings of true weights, each rounded to d. */
static double poured(double grams, const struct mix_weighing *w)
{
    double base_g = 100 * between_0_and_1();
    double real_g = grams + w->repeatability_g * normal() + w->drop_g * normal() + w->drift_g * normal();
    return rounded(base_g + real_g, w->d_g) - rounded(base_g, w->d_g);
}

enum { CUPS = 20000, N = 4 };

/* With 20,000 cups a standard deviation is itself sure to 0.5 %; 3 % is six times that. */
static void agrees_with_20000_cups(void **state)
{
    (void)state;
    const double grams[N] = {212.0, 61.5, 3.2, 0};
    const double weighings[N] = {2, 1, 1, 0}; /* the largest in two pours, as `pour_order = bed` has it */
    const struct mix_weighing w = {0.1, 0.03, 0.02, 0.01};
    double u_g[N], share_u_pct[N], sum[N] = {0}, squares[N] = {0}, sum_g[N] = {0}, squares_g[N] = {0};
    srand(7);
    mix_uncertainty(grams, weighings, N, &w, u_g, share_u_pct);
    for (int cup = 0; cup < CUPS; cup++) {
        double got[N], all = 0;
        for (size_t i = 0; i < N; i++) {
            got[i] = 0;
            for (int pour = 0; pour < (int)weighings[i]; pour++)
                got[i] += poured(grams[i] / weighings[i], &w);
            all += got[i];
        }
        for (size_t i = 0; i < N; i++) {
            double off = 100 * (got[i] / all - grams[i] / 276.7);
            sum[i] += off;
            squares[i] += off * off;
            sum_g[i] += got[i] - grams[i];
            squares_g[i] += (got[i] - grams[i]) * (got[i] - grams[i]);
        }
    }
    for (size_t i = 0; i < N; i++) {
        double spread = sqrt(squares[i] / CUPS - (sum[i] / CUPS) * (sum[i] / CUPS));
        double spread_g = sqrt(squares_g[i] / CUPS - (sum_g[i] / CUPS) * (sum_g[i] / CUPS));
        near_to("share", share_u_pct[i], spread, 0.03 * spread);
        near_to("grams", u_g[i], spread_g, 0.03 * spread_g);
    }
}

/* Worked by hand: 3-4-12-84-85 is a chain of right triangles; d^2/6 = 9 for d = sqrt 54. */
static void each_term_counts(void **state)
{
    (void)state;
    const struct mix_weighing w = {sqrt(54), 4, 12, 84};
    near_to("all four", mix_pour_u_g(&w), 85, 1e-9);
    const double grams[] = {50, 50};
    double u_g[2], share_u_pct[2];
    const struct mix_weighing one = {.repeatability_g = 1};
    mix_uncertainty(grams, NULL, 2, &one, u_g, share_u_pct);
    /* ds = (0.5 dg1 - 0.5 dg2) / 100. */
    near_to("halves", share_u_pct[0], 100 * sqrt(0.5) / 100, 1e-9);
    near_to("their grams", u_g[1], 1, 1e-12);
    const double alone[] = {50, 0};
    mix_uncertainty(alone, NULL, 2, &one, u_g, share_u_pct);
    near_to("what is alone is all of it", share_u_pct[0], 0, 1e-12);
    near_to("what was not weighed is sure", u_g[1], 0, 0);
    const double nothing[] = {0, 0};
    mix_uncertainty(nothing, NULL, 2, &one, u_g, share_u_pct);
    assert_true(isnan(share_u_pct[0]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_20000_cups),
        cmocka_unit_test(each_term_counts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
