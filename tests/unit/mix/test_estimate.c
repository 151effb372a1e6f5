/* What weighed-back cups teach. Worked by hand from the design's formula and from the least expected cost. */
#include "mix/estimate.h"

#include "published.h"

#include <math.h>

/* Source: the design, (n x median + 4) / (n + 4). */
static void a_correction_leans_on_what_was_estimated(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double ratio[6];
        size_t n;
        double factor;
    } rows[] = {
        {"nothing learnt yet", {0}, 0, 1},
        {"a first job moves a fifth of what it was off", {0.5}, 1, 0.9},
        {"the mean of the middle two", {0.9, 0.7, 0.8, 3}, 4, (4 * 0.85 + 4) / 8},
        {"one that ran wild moves nothing", {0.9, 0.9, 0.9, 0.9, 9}, 5, (5 * 0.9 + 4) / 9},
        {"in any order", {1.2, 0.8, 1.0, 0.9, 1.1, 1.05}, 6, (6 * 1.025 + 4) / 10},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        near_to(rows[i].name, mix_correction(rows[i].ratio, rows[i].n), rows[i].factor, 1e-12);
}

/* Needs of 80, 90, 100, 110 and 150 mL for an estimate of 100. Mixing 110: waste 30 + 20 + 10 of 5, once again of 5. */
static void what_is_worth_mixing_weighs_waste_against_a_second_mix(void **state)
{
    (void)state;
    const double ratio[] = {0.9, 1.5, 0.8, 1.1, 1.0};
    struct mix_run_out r = mix_run_out(ratio, 5, 100, 96, 0.05, 4);
    near_to("a rare large need is not mixed for", r.ml, 110, 1e-9);
    near_to("three of five were more than 96", r.chance_pct, 100 * 4 / 7.0, 1e-9);
    r = mix_run_out(ratio, 5, 100, 110, 0.05, 100);
    near_to("a dear second mix", r.ml, 150, 1e-9);
    near_to("enough to the last bit", r.chance_pct, 100 * 2 / 7.0, 1e-9);
    near_to("dear paint", mix_run_out(ratio, 5, 100, 96, 10, 4).ml, 80, 1e-9);
}

static void too_few_jobs_say_nothing(void **state)
{
    (void)state;
    const double ratio[] = {0.9, 1.1, 1.0};
    assert_true(isnan(mix_run_out(ratio, 2, 100, 100, 0.05, 4).ml));
    assert_true(!isnan(mix_run_out(ratio, 3, 100, 100, 0.05, 4).ml));
    assert_true(isnan(mix_run_out(ratio, 3, 100, 100, NAN, 4).ml));
    assert_true(!isnan(mix_run_out(ratio, 3, 100, 100, NAN, 4).chance_pct));
}

/* Against every amount there is, not only those of before. */
static void no_other_amount_costs_less(void **state)
{
    (void)state;
    srand(11);
    for (int shop = 0; shop < 300; shop++) {
        double ratio[12], waste = 0.01 + (double)(rand() % 50) / 100, again = rand() % 20;
        size_t n = 3 + (size_t)(rand() % 10);
        for (size_t i = 0; i < n; i++)
            ratio[i] = 0.6 + (double)(rand() % 900) / 1000;
        double best = INFINITY, got = 0, ml = mix_run_out(ratio, n, 100, 100, waste, again).ml;
        for (int amount = 600; amount <= 1501; amount++) {
            double cost = 0, a = amount / 10.0;
            for (size_t i = 0; i < n; i++)
                cost += 100 * ratio[i] > a + 1e-6 ? again : waste * (a - 100 * ratio[i]);
            best = fmin(best, cost);
            if (fabs(a - ml) < 0.05)
                got = cost;
        }
        near_to("least cost", got, best, 1e-6);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_correction_leans_on_what_was_estimated),
        cmocka_unit_test(what_is_worth_mixing_weighs_waste_against_a_second_mix),
        cmocka_unit_test(too_few_jobs_say_nothing),
        cmocka_unit_test(no_other_amount_costs_less),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
