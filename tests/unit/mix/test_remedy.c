/* Overpours with known answers. Rows C01 to C13 of check-values.tsv: published mixture problems, whose
 * sources stand in the rows; here the drug, the milk and so on are components like any other. */
#include "mix/amount.h"
#include "mix/remedy.h"

#include "published.h"

#include <math.h>

static const struct mix_tolerance exact = {0, 0, 0, 0};

static void remedies_of(const double *parts, const double *poured, size_t n, double wanted_g, struct mix_tolerance tol,
                        double cup_g, struct mix_remedies *out)
{
    double share[MIX_MAX];
    assert_true(mix_shares(parts, n, share));
    mix_remedies(share, poured, NULL, n, wanted_g, tol, cup_g, out);
}

static void published_overpours(void **state)
{
    (void)state;
    static const struct {
        const char *id;
        double parts[4], poured_g[4];
        size_t n;
        double wanted_g;
        struct {
            size_t component, place; /* place of the number among those expected */
        } add[4];
        size_t adds;
        size_t total; /* place of the total */
        double within;
    } rows[] = {
        {"C01", {22, 78}, {114, 6}, 2, 120, {{1, 0}, {0, 1}}, 2, 2, 0.005},
        {"C03", {43, 57}, {550, 550}, 2, 1100, {{1, 0}, {0, 1}}, 2, 2, 0.005},
        {"C05", {14, 86}, {252, 168}, 2, 420, {{1, 0}, {0, 1}}, 2, 2, 0.005},
        {"C06", {3, 1}, {67.5, 17.5}, 2, 85, {{0, 0}, {1, 1}}, 2, 2, 1e-9},
        {"C08", {1, 9}, {5, 20}, 2, 25, {{0, 0}, {1, 1}}, 2, 2, 1e-9},
        {"C09", {1, 2}, {40, 20}, 2, 60, {{0, 0}, {1, 1}}, 2, 2, 1e-9},
        {"C11", {50, 30, 15, 5}, {50, 33, 15, 0}, 4, 100, {{0, 1}, {1, 2}, {2, 3}, {3, 4}}, 4, 5, 1e-9},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct mix_remedies out;
        remedies_of(rows[i].parts, rows[i].poured_g, rows[i].n, rows[i].wanted_g, exact, NAN, &out);
        assert_true(out.grow.possible);
        near_to(rows[i].id, out.grow.total_g, published(rows[i].id, rows[i].total), rows[i].within);
        for (size_t j = 0; j < rows[i].adds; j++)
            near_to(rows[i].id, out.grow.add_g[rows[i].add[j].component], published(rows[i].id, rows[i].add[j].place),
                    rows[i].within);
    }
}

/* Row C13: drain and replace. The cup holds 300 g of the weak one; the formula wants 275 and 25. */
static void published_dip(void **state)
{
    (void)state;
    const double parts[] = {275, 25};
    const double poured[] = {300, 0};
    struct mix_remedies out;
    remedies_of(parts, poured, 2, 300, exact, NAN, &out);
    near_to("C13 take out", out.dip.take_g, published("C13", 0), 1e-9);
    near_to("C13 pour on", out.dip.add_g[1], published("C13", 0), 1e-9);
}

/* The example of the protocol's mix.remedies, 6 decimals. */
static void protocol_example(void **state)
{
    (void)state;
    const double parts[] = {50, 30, 15, 5};
    const double poured[] = {50, 33, 15, 0};
    const double grow[] = {5, 0, 1.5, 5.5};
    const double dip[] = {4.545455, 0, 1.363636, 5};
    struct mix_remedies out;
    remedies_of(parts, poured, 4, 100, exact, NAN, &out);
    near_to("grow", out.grow.total_g, 110, 1e-9);
    assert_true(out.grow.fits);
    near_to("take", out.dip.take_g, 8.909091, 5e-7);
    near_to("ends at", out.dip.total_g, 100, 0);
    for (size_t i = 0; i < 4; i++) {
        near_to("grow adds", out.grow.add_g[i], grow[i], 1e-9);
        near_to("dip adds", out.dip.add_g[i], dip[i], 5e-7);
    }
    near_to("first", out.leave.deviation_pct[0], 0, 1e-9);
    near_to("second", out.leave.deviation_pct[1], 10, 1e-9);
    near_to("third", out.leave.deviation_pct[2], 0, 1e-9);
    assert_true(isnan(out.leave.deviation_pct[3]));
    near_to("foreign", out.leave.foreign_pct, 0, 0);
}

/* The bench's worked example: 400 g of six toners, 90.6 g of the second where 84.0 was the aim. */
static void bench_example(void **state)
{
    (void)state;
    const double parts[] = {268.0, 84.0, 26.4, 12.8, 6.4, 2.4};
    const double poured[] = {268.3, 90.6, 0, 0, 0, 0};
    struct mix_remedies out;
    remedies_of(parts, poured, 6, 400, (struct mix_tolerance){0.1, 0.005, 0.1, 0.05}, NAN, &out);
    near_to("grow", out.grow.total_g, 429.28, 0.005);
    near_to("dip", out.dip.take_g, 24.48, 0.005);
    near_to("leave", out.leave.deviation_pct[1], 7.9, 0.05);
}

/* What a small toner may err by, by hand: 15 g of 1000 / 5 / 1 parts on d 0.1, a 0.1, r 0.5 %, e 5 %. Its last aim is
 * 0.0149 g, its tolerance half an interval, 0.05. The second's is 0.0746, its tolerance the same. */
static void a_small_toner_errs_by_half_an_interval(void **state)
{
    (void)state;
    const double parts[] = {1000, 5, 1};
    const double sum = 1006;
    const struct mix_tolerance tol = {0.1, 0.005, 0.1, 0.05};
    const double poured[] = {0, 0.15, 0.06};
    struct mix_remedies out;
    remedies_of(parts, poured, 3, 15, tol, NAN, &out);
    /* (0.15 - 0.05) / f = 20.12; (0.06 - 0.05) / f = 10.06, less than what is wanted. */
    near_to("grow", out.grow.total_g, 0.1 * sum / 5, 1e-9);
    near_to("keep (E f + t(E)) / w", out.dip.keep, (15 * 5 / sum + 0.05) / 0.15, 1e-9);
    near_to("take", out.dip.take_g, 0.21 * (1 - out.dip.keep), 1e-9);
    /* The rule before let half the aim pass: (0.06 / 1.5) / f. */
    remedies_of(parts, poured, 3, 15, (struct mix_tolerance){0.1, 0.005, 0, 0.5}, NAN, &out);
    near_to("grow by the rule before", out.grow.total_g, 0.06 / 1.5 * sum, 1e-9);
}

static void a_cup_limits_grow_and_dip(void **state)
{
    (void)state;
    const double parts[] = {1, 1};
    const double poured[] = {60, 0};
    struct mix_remedies out;
    remedies_of(parts, poured, 2, 100, exact, 119, &out);
    assert_false(out.grow.fits);
    near_to("dip ends as wanted", out.dip.total_g, 100, 0);
    remedies_of(parts, poured, 2, 100, exact, 120, &out);
    assert_true(out.grow.fits);
    remedies_of(parts, poured, 2, 100, exact, 80, &out);
    near_to("dip ends at the cup", out.dip.total_g, 80, 0);
    near_to("keeps 40 of 60", out.dip.take_g, 20, 1e-9);
    near_to("adds the rest", out.dip.add_g[1], 40, 1e-9);
    remedies_of(parts, poured, 2, 100, exact, 0, &out);
    assert_false(out.dip.possible);
}

static void a_foreign_component_cannot_be_grown_away(void **state)
{
    (void)state;
    const double parts[] = {50, 50, 0};
    const double poured[] = {50, 40, 2};
    const struct mix_tolerance tol = {0.1, 0.005, 0.1, 0.05};
    struct mix_remedies out;
    remedies_of(parts, poured, 3, 100, tol, NAN, &out);
    assert_false(out.grow.possible);
    assert_true(out.grow.foreign);
    near_to("keep a / w", out.dip.keep, 0.05, 1e-12);
    near_to("take", out.dip.take_g, 92 * 0.95, 1e-9);
    near_to("foreign", out.leave.foreign_pct, 100 * 2 / 92.0, 1e-9);
    assert_true(isnan(out.leave.deviation_pct[2]));
    const double little[] = {50, 40, 0.1};
    remedies_of(parts, little, 3, 100, tol, NAN, &out);
    assert_true(out.grow.possible);
    near_to("a little asks nothing", out.grow.total_g, 100, 0);
    near_to("nor to dip", out.dip.take_g, 0, 0);
}

static void what_was_left_does_not_ask_again(void **state)
{
    (void)state;
    const double share[] = {0.5, 0.3, 0.2};
    const double poured[] = {55, 33, 0};
    const bool left[] = {true, true, false};
    struct mix_remedies out;
    mix_remedies(share, poured, left, 3, 100, exact, NAN, &out);
    near_to("grow", out.grow.total_g, 100, 0);
    near_to("dip", out.dip.take_g, 0, 0);
    near_to("the deviation is still told", out.leave.deviation_pct[0], 10, 1e-9);
}

static void nothing_and_the_most(void **state)
{
    (void)state;
    struct mix_remedies out;
    double parts[MIX_MAX];
    double poured[MIX_MAX] = {0};
    for (size_t i = 0; i < MIX_MAX; i++)
        parts[i] = (double)(i + 1);
    remedies_of(parts, poured, MIX_MAX, 208, exact, NAN, &out);
    near_to("grow is what was wanted", out.grow.total_g, 208, 0);
    near_to("the last is 64 of 2080", out.grow.add_g[MIX_MAX - 1], 6.4, 1e-12);
    near_to("dip takes nothing", out.dip.take_g, 0, 0);
    mix_remedies(NULL, NULL, NULL, 0, 100, exact, NAN, &out);
    near_to("no components", out.grow.total_g, 100, 0);
    near_to("foreign", out.leave.foreign_pct, 0, 0);
    const double share[] = {1 - 1e-300, 1e-300};
    const double tiny[] = {0, 1};
    mix_remedies(share, tiny, NULL, 2, 100, exact, NAN, &out);
    assert_false(out.grow.possible); /* a total of 1e300 g helps nobody */
}

static void make_less_where_the_others_allow_it(void **state)
{
    (void)state;
    const double share[] = {0.5, 0.3, 0.2, 0};
    const double poured[] = {40, 20, 0, 0};
    double total_g = -1;
    assert_true(mix_less_total(share, poured, 4, 0, exact, &total_g));
    near_to("T' = w / f", total_g, 80, 1e-9);
    total_g = -1;
    assert_false(mix_less_total(share, poured, 4, 1, exact, &total_g)); /* 66.7: the first is over then */
    assert_false(mix_less_total(share, poured, 4, 2, exact, &total_g)); /* nothing of it */
    assert_false(mix_less_total(share, poured, 4, 3, exact, &total_g)); /* foreign */
    assert_false(mix_less_total(share, poured, 4, 4, exact, &total_g)); /* no such component */
    near_to("left as it was", total_g, -1, 0);
    assert_true(mix_less_total(share, poured, 4, 1, (struct mix_tolerance){0, 0.25, 0, 0}, &total_g));
    near_to("a tolerance may allow it", total_g, 20 / 0.3, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_overpours),
        cmocka_unit_test(published_dip),
        cmocka_unit_test(protocol_example),
        cmocka_unit_test(bench_example),
        cmocka_unit_test(a_small_toner_errs_by_half_an_interval),
        cmocka_unit_test(a_cup_limits_grow_and_dip),
        cmocka_unit_test(a_foreign_component_cannot_be_grown_away),
        cmocka_unit_test(what_was_left_does_not_ask_again),
        cmocka_unit_test(nothing_and_the_most),
        cmocka_unit_test(make_less_where_the_others_allow_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
