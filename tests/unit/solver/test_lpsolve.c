/* The solver on published blends, and on what has no answer. */
#include "solver/lpsolve.h"

#include "tests/unit/mix/published.h"

#include <math.h>

static struct mix_program p; /* too large for a stack */

static void row(double least, double most, const double *values, size_t n)
{
    mix_program_row(&p, least, most);
    for (size_t i = 0; i < n; i++)
        mix_program_entry(&p, i, values[i]);
}

/* False: no answer. *goal is what was minimised. */
static bool run(double *x, double *goal)
{
    struct lpsolve library;
    assert_true(lpsolve_open(&library, 20));
    bool good = lpsolve_run(&library, &p, x);
    lpsolve_close(&library);
    *goal = 0;
    for (size_t i = 0; good && i < p.columns; i++)
        *goal += p.goal[i] * x[i];
    return good;
}

/* Row C20: nine alloys, from memory as GAMS writes them (blend). The answer proves the memory. */
static void alloys(void **state)
{
    (void)state;
    const double lead[] = {10, 10, 40, 60, 30, 30, 30, 50, 20}, zinc[] = {10, 30, 50, 30, 30, 40, 20, 40, 30},
                 tin[] = {80, 60, 10, 10, 40, 30, 50, 10, 50}, one[] = {1, 1, 1, 1, 1, 1, 1, 1, 1},
                 price[] = {4.1, 4.3, 5.8, 6.0, 7.6, 7.5, 7.3, 6.9, 7.3};
    double x[MIX_COLUMNS], goal;
    mix_program_init(&p);
    for (size_t i = 0; i < 9; i++)
        p.goal[mix_program_column(&p, 0, MIX_FREE, false)] = price[i];
    row(30, 30, lead, 9);
    row(30, 30, zinc, 9);
    row(40, 40, tin, 9);
    row(1, 1, one, 9);
    assert_true(run(x, &goal));
    near_to("C20", goal, published("C20", 0), 1e-9);
    near_to("alloy b", x[1], published("C20", 1), 1e-9);
    near_to("alloy d", x[3], published("C20", 2), 1e-9);
}

/* Rows C18 and C19: GLPK's plan.mod from memory, scrap of five bins, aluminium and silicon to 2,000 lb. */
static void scrap(void **state)
{
    (void)state;
    const double bounds[][2] = {{0, 200}, {0, 2500}, {400, 800}, {100, 700}, {0, 1500}, {0, MIX_FREE}, {0, MIX_FREE}};
    const double cost[] = {.03, .08, .17, .12, .15, .21, .38};
    const struct {
        double least, most, part[7];
    } rows[] = {
        {2000, 2000, {1, 1, 1, 1, 1, 1, 1}},
        {-MIX_FREE, 60, {.15, .04, .02, .04, .02, .01, .03}},
        {-MIX_FREE, 100, {.03, .05, .08, .02, .06, .01, 0}},
        {-MIX_FREE, 40, {.02, .04, .01, .02, .02, 0, 0}},
        {-MIX_FREE, 30, {.02, .03, 0, 0, .01, 0, 0}},
        {1500, MIX_FREE, {.70, .75, .80, .75, .80, .97, 0}},
        {250, 300, {.02, .06, .08, .12, .02, .01, .97}},
    };
    double x[MIX_COLUMNS], goal;
    mix_program_init(&p);
    for (size_t i = 0; i < 7; i++)
        p.goal[mix_program_column(&p, bounds[i][0], bounds[i][1], false)] = cost[i];
    for (size_t i = 0; i < 7; i++)
        row(rows[i].least, rows[i].most, rows[i].part, 7);
    assert_true(run(x, &goal));
    near_to("C18", goal, published("C18", 0), 1e-6);
    for (size_t i = 0; i < 7; i++)
        near_to("C19", x[i], published("C19", i), 1e-3);
}

/* An amount that is nothing or at least 5, wanted between 2 and 4: there is none; up to 6: there is. */
static void nothing_or_enough(void **state)
{
    (void)state;
    double x[MIX_COLUMNS], goal;
    for (int most = 4; most <= 6; most += 2) {
        mix_program_init(&p);
        size_t amount = mix_program_column(&p, 2, most, false), on = mix_program_column(&p, 0, 1, true);
        p.goal[amount] = 1;
        mix_program_nothing_or(&p, amount, on, 5, 100);
        assert_int_equal(run(x, &goal), most == 6);
    }
    near_to("the least of it", x[0], 5, 1e-6);
}

static void too_much_is_said(void **state)
{
    (void)state;
    mix_program_init(&p);
    for (size_t i = 0; i < MIX_COLUMNS; i++)
        mix_program_column(&p, 0, 1, false);
    assert_false(p.overfull);
    mix_program_column(&p, 0, 1, false);
    assert_true(p.overfull);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(alloys),
        cmocka_unit_test(scrap),
        cmocka_unit_test(nothing_or_enough),
        cmocka_unit_test(too_much_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
