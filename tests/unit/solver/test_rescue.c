/* Rescue: without cups the cheaper of grow and dip, exactly; with cups what is worked by hand, and GLPK's word. */
#include "mix/rescue.h"

#include "mix/amount.h"
#include "mix/remedy.h"
#include "solver/lpsolve.h"
#include "tests/unit/mix/published.h"
#include "tests/unit/solver/glpk.h"

#include <math.h>

static struct mix_program room; /* too large for a stack */

struct overpour {
    double share[MIX_MAX], poured_g[MIX_MAX], price[MIX_MAX], worth[MIX_MAX];
    struct mix_leftover cup[MIX_MAX];
    struct mix_rescue_asked asked;
};

/* Prices are 40 a kilogram, waste 2, a cup of the shelf nothing. */
static void overpour(struct overpour *o, const double *parts, const double *poured_g, size_t n, double wanted_g)
{
    *o = (struct overpour){0};
    mix_shares(parts, n, o->share);
    for (size_t i = 0; i < n; i++) {
        o->poured_g[i] = poured_g[i];
        o->price[i] = 40;
    }
    o->asked = (struct mix_rescue_asked){.share = o->share,
                                         .poured_g = o->poured_g,
                                         .n = n,
                                         .wanted_g = wanted_g,
                                         .tol = {.error = 0.5},
                                         .cup_g = NAN,
                                         .price_per_kg = o->price,
                                         .waste_per_kg = 2,
                                         .leftover = o->cup,
                                         .leftover_per_kg = o->worth};
}

static void put(struct overpour *o, double grams, const double *parts)
{
    struct mix_leftover *l = &o->cup[o->asked.leftovers++];
    *l = (struct mix_leftover){.grams = grams};
    mix_shares(parts, o->asked.n, l->share);
}

static struct mix_rescue solved(const struct overpour *o)
{
    struct mix_rescue out;
    struct lpsolve library;
    assert_true(lpsolve_open(&library, 20));
    assert_true(mix_rescue(&o->asked, lpsolve_run, &library, &room, &out));
    lpsolve_close(&library);
    return out;
}

/* The contract's overpour: growing adds 12 g, dipping takes 8.909 and adds 10.909. */
static void without_cups_the_cheaper(void **state)
{
    (void)state;
    struct overpour o;
    overpour(&o, (double[]){50, 30, 15, 5}, (double[]){50, 33, 15, 0}, 4, 100);
    struct mix_rescue out = solved(&o);
    near_to("grams are less here by dipping", out.take_g, 8.909091, 1e-6);
    near_to("its cost", out.cost, (40 * (4.545455 + 1.363636 + 5) + 2 * 8.909091) / 1000, 1e-6);
    o.asked.waste_per_kg = 10;
    out = solved(&o);
    near_to("dear waste: growing", out.total_g, 110, 1e-9);
    near_to("nothing out", out.take_g, 0, 0);
    near_to("its cost", out.cost, 0.48, 1e-9);
    o.asked.cup_g = 105;
    out = solved(&o);
    near_to("growing does not fit", out.total_g, 100, 1e-9);
    assert_true(out.fits);
    o.asked.price_per_kg = NULL;
    o.asked.cup_g = NAN;
    out = solved(&o);
    near_to("without prices by grams", out.total_g, 110, 1e-9);
    assert_true(isnan(out.cost));
}

/* 3 g too much of the second. A cup without any of it, in the proportions of the rest (50:15:5), makes it right: the
 * whole must become 110 g, of which 12 g are missing: 5 of the first, 1.5 of the third, 5.5 of the fourth. */
static void a_cup_in_place_of_fresh_toner(void **state)
{
    (void)state;
    struct overpour o;
    overpour(&o, (double[]){50, 30, 15, 5}, (double[]){50, 33, 15, 0}, 4, 100);
    put(&o, 200, (double[]){50, 0, 15, 55});
    struct mix_rescue out = solved(&o);
    assert_true(out.cups);
    near_to("all from the cup", out.use_g[0], 12, 1e-5);
    near_to("nothing fresh", out.add_g[0] + out.add_g[2] + out.add_g[3], 0, 1e-5);
    near_to("free", out.cost, 0, 1e-9);
    o.worth[0] = 100; /* a cup dearer than fresh toner stays on the shelf */
    out = solved(&o);
    assert_false(out.cups);
}

static double between(double least, double most)
{
    return least + (most - least) * ((double)rand() / RAND_MAX);
}

static void random_overpour(struct overpour *o, unsigned seed, bool cups)
{
    double parts[MIX_MAX], poured[MIX_MAX], other[MIX_MAX], sum = 0, wanted = between(50, 800);
    srand(seed);
    size_t n = 2 + (size_t)(rand() % 6);
    for (size_t i = 0; i < n; i++)
        sum += parts[i] = between(0.5, 100);
    for (size_t i = 0; i < n; i++)
        poured[i] = rand() % 3 ? wanted * parts[i] / sum * between(0.7, 1.1) : 0;
    overpour(o, parts, poured, n, wanted);
    o->asked.tol = (struct mix_tolerance){.abs_g = seed % 3 ? 0.1 : 0, .rel = 0.005, .d_g = 0.1, .error = 0.05};
    o->asked.cup_g = seed % 4 ? (double)NAN : wanted * between(0.9, 1.1);
    for (size_t i = 0; i < n; i++)
        o->price[i] = between(10, 90);
    for (size_t j = 0; cups && j < 5; j++) {
        for (size_t i = 0; i < n; i++)
            other[i] = parts[i] * between(0, 2);
        o->worth[j] = between(0, 20);
        put(o, between(1, 300), other);
    }
}

/* The word: with no cup on the shelf it gives grow and dip exactly. */
static void no_cup_is_grow_or_dip(void **state)
{
    (void)state;
    for (unsigned seed = 1; seed <= 500; seed++) {
        struct overpour o;
        struct mix_remedies r;
        random_overpour(&o, seed, false);
        struct mix_rescue out = solved(&o);
        mix_remedies(o.share, o.poured_g, NULL, o.asked.n, o.asked.wanted_g, o.asked.tol, o.asked.cup_g, &r);
        bool grow = memcmp(out.add_g, r.grow.add_g, sizeof out.add_g) == 0;
        bool dip = memcmp(out.add_g, r.dip.add_g, sizeof out.add_g) == 0;
        near_to("total", out.total_g, grow ? r.grow.total_g : r.dip.total_g, 0);
        near_to("taken out", out.take_g, grow ? 0 : r.dip.take_g, 0);
        assert_true(grow || dip);
    }
}

/* Both solvers pay the same, never more than without a cup, and nothing is over or short in the end. */
static void agrees_with_glpk(void **state)
{
    (void)state;
    const char *shelves = getenv("SHELVES");
    unsigned most = shelves ? (unsigned)atoi(shelves) : 200, helped = 0;
    struct lpsolve library;
    assert_true(lpsolve_open(&library, 20));
    for (unsigned seed = 1; seed <= most; seed++) {
        struct overpour o;
        struct mix_rescue ours, theirs;
        random_overpour(&o, seed, true);
        assert_true(mix_rescue(&o.asked, lpsolve_run, &library, &room, &ours));
        assert_true(mix_rescue(&o.asked, glpk_run, NULL, &room, &theirs));
        if (!(fabs(ours.cost - theirs.cost) <= 1e-4))
            fail_msg("overpour %u: lp_solve %.6f, GLPK %.6f", seed, ours.cost, theirs.cost);
        double in_cup_g = 0;
        for (size_t i = 0; i < o.asked.n; i++)
            in_cup_g += o.poured_g[i];
        for (size_t i = 0; ours.cups && i < o.asked.n; i++) {
            double kept = in_cup_g > 0 ? (in_cup_g - ours.take_g) / in_cup_g : 1;
            double got = kept * o.poured_g[i] + ours.add_g[i];
            for (size_t j = 0; j < o.asked.leftovers; j++)
                got += ours.use_g[j] * o.cup[j].share[i];
            double aim = ours.total_g * o.share[i];
            double t = mix_tolerance_g(o.share[i], ours.total_g, o.asked.tol);
            if (!(got >= aim - 1e-4 && got <= aim + t + 1e-4))
                fail_msg("overpour %u: component %zu is %.6f, aim %.6f", seed, i, got, aim);
        }
        helped += ours.cups;
    }
    lpsolve_close(&library);
    assert_true(helped > most / 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_cups_the_cheaper),
        cmocka_unit_test(a_cup_in_place_of_fresh_toner),
        cmocka_unit_test(no_cup_is_grow_or_dip),
        cmocka_unit_test(agrees_with_glpk),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
