/* What must hold for any cup: thousands of random ones, from one seed that is printed. */
#include "mix/amount.h"
#include "mix/remedy.h"

#include "published.h"

#include <math.h>

#define SEED  UINT64_C(20261125)
#define CUPS  20000
#define SLACK (1.5 * MIX_SLACK_G) /* the slack itself, and rounding of doubles */

static uint64_t seed_now = SEED;

/* splitmix64: a fixed sequence on every machine. */
static double random_01(void)
{
    uint64_t z = (seed_now += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

struct cup {
    size_t n;
    double share[MIX_MAX], poured_g[MIX_MAX];
    bool left[MIX_MAX];
    double wanted_g;
    struct mix_tolerance tol;
    bool foreign;
};

/* A cup as benches see them: shares over three decades, most pours near the aim, some not begun, some far
 * over, some left, now and then a foreign component. */
static struct cup random_cup(void)
{
    struct cup cup = {.n = 1 + (size_t)(random_01() * 12), .wanted_g = 15 + 1000 * random_01()};
    double parts[MIX_MAX];
    if (random_01() < 0.02)
        cup.n = MIX_MAX;
    for (size_t i = 0; i < cup.n; i++)
        parts[i] = i > 0 && random_01() < 0.05 ? 0 : pow(10, 3 * random_01());
    assert_true(mix_shares(parts, cup.n, cup.share));
    if (random_01() < 0.7)
        cup.tol = (struct mix_tolerance){0.2 * random_01(), 0.01 * random_01(), 0, 0.5};
    /* The rule of today on a coarse or a fine scale; without, the one that older batches were poured by. */
    if (cup.tol.abs_g > 0 && random_01() < 0.7) {
        cup.tol.d_g = fmin(random_01() < 0.5 ? 0.1 : 0.01, 2 * cup.tol.abs_g);
        cup.tol.error = 0.2 * random_01();
    }
    for (size_t i = 0; i < cup.n; i++) {
        double kind = random_01();
        double aim_g = cup.share[i] > 0 ? cup.share[i] * cup.wanted_g : 0.3;
        if (kind < 0.3)
            cup.poured_g[i] = 0;
        else if (kind < 0.8)
            cup.poured_g[i] = aim_g * (0.97 + 0.05 * random_01());
        else
            cup.poured_g[i] = aim_g * 2.5 * random_01();
        cup.left[i] = random_01() < 0.05;
        if (!(cup.share[i] > 0) && !cup.left[i] && cup.poured_g[i] > cup.tol.abs_g + MIX_SLACK_G)
            cup.foreign = true;
    }
    return cup;
}

/* The definition itself, without the closed form: is nothing over in a batch of k_g? */
static bool allowed(const struct cup *cup, double k_g)
{
    for (size_t i = 0; i < cup->n; i++) {
        if (!cup->left[i] && cup->share[i] > 0 &&
            cup->poured_g[i] > cup->share[i] * k_g + mix_tolerance_g(cup->share[i], k_g, cup->tol))
            return false;
    }
    return true;
}

static double least_by_bisection(const struct cup *cup)
{
    double low = cup->wanted_g;
    double high = 1e9;
    if (allowed(cup, low))
        return low;
    for (int i = 0; i < 200; i++) {
        double middle = (low + high) / 2;
        if (allowed(cup, middle))
            high = middle;
        else
            low = middle;
    }
    return high;
}

static void grow_is_the_least_total(const struct cup *cup, const struct mix_grow *grow)
{
    double least_share = 1;
    for (size_t i = 0; i < cup->n; i++) {
        if (cup->share[i] > 0)
            least_share = fmin(least_share, cup->share[i]);
    }
    /* The slack is 1 ug of a component, so up to 1 ug / share of the total. */
    near_to("least total", grow->total_g, least_by_bisection(cup), SLACK / least_share + 1e-9 * grow->total_g);
}

static void grow_brings_everything_in(const struct cup *cup, const struct mix_grow *grow)
{
    for (size_t i = 0; i < cup->n; i++) {
        double after_g = cup->poured_g[i] + grow->add_g[i];
        double f = cup->share[i];
        if (!(grow->add_g[i] >= 0))
            fail_msg("grow asks for a pour of %g", grow->add_g[i]);
        if (cup->left[i])
            continue;
        if (mix_is_over(f, after_g, grow->total_g, cup->tol) || mix_is_under(f, after_g, grow->total_g, cup->tol))
            fail_msg("after grow a share of %g has %.9f g of %.9f", f, after_g, f * grow->total_g);
    }
}

static void dip_ends_where_it_says(const struct cup *cup, const struct mix_dip *dip)
{
    double end_g = 0;
    double may_be_off_g = SLACK * MIX_MAX;
    double in_cup_g = 0;
    for (size_t i = 0; i < cup->n; i++) {
        double f = cup->share[i];
        double after_g = dip->keep * cup->poured_g[i] + dip->add_g[i];
        if (!(dip->add_g[i] >= 0))
            fail_msg("dip asks for a pour of %g", dip->add_g[i]);
        in_cup_g += cup->poured_g[i];
        end_g += after_g;
        /* What is within tolerance, left, or foreign and little stays in the cup beside its aim. */
        may_be_off_g += fmax(0, after_g - f * dip->total_g);
        if (!cup->left[i] && mix_is_over(f, after_g - SLACK, dip->total_g, cup->tol))
            fail_msg("after dip a share of %g has %.9f g of %.9f", f, after_g, f * dip->total_g);
    }
    if (end_g < dip->total_g - SLACK * MIX_MAX || end_g > dip->total_g + may_be_off_g)
        fail_msg("dip ends at %.9f, not %.9f", end_g, dip->total_g);
    near_to("what is taken", dip->take_g, in_cup_g * (1 - dip->keep), 1e-9);
    assert_true(dip->keep >= 0 && dip->keep <= 1);
}

static void every_cup(void **state)
{
    (void)state;
    print_message("seed %llu, %d cups\n", (unsigned long long)SEED, CUPS);
    size_t grown = 0;
    size_t dipped = 0;
    size_t foreign = 0;
    for (int i = 0; i < CUPS; i++) {
        struct cup cup = random_cup();
        struct mix_remedies out;
        mix_remedies(cup.share, cup.poured_g, cup.left, cup.n, cup.wanted_g, cup.tol, NAN, &out);
        assert_int_equal(out.grow.foreign, cup.foreign);
        assert_int_equal(out.grow.possible, !cup.foreign);
        dip_ends_where_it_says(&cup, &out.dip);
        dipped += out.dip.keep < 1;
        foreign += cup.foreign;
        if (cup.foreign)
            continue;
        grow_is_the_least_total(&cup, &out.grow);
        grow_brings_everything_in(&cup, &out.grow);
        grown += out.grow.total_g > cup.wanted_g;
    }
    /* The cups must have been worth asking about. */
    assert_true(grown > CUPS / 10);
    assert_true(dipped > CUPS / 10);
    assert_true(foreign > CUPS / 100);
}

/* Without tolerance nothing may stand beside its aim: dip and add ends at the total to a microgram. */
static void exact_dip_ends_exactly(void **state)
{
    (void)state;
    for (int i = 0; i < CUPS / 10; i++) {
        struct cup cup = random_cup();
        struct mix_remedies out;
        double end_g = 0;
        if (cup.foreign)
            continue;
        mix_remedies(cup.share, cup.poured_g, NULL, cup.n, cup.wanted_g, (struct mix_tolerance){0, 0, 0, 0}, NAN, &out);
        for (size_t j = 0; j < cup.n; j++)
            end_g += out.dip.keep * cup.poured_g[j] + out.dip.add_g[j];
        near_to("end", end_g, cup.wanted_g, 2 * MIX_SLACK_G * MIX_MAX);
    }
}

/* After grow the one that forced it stands exactly on its edge, and readings are whole micrograms: it must
 * not be called over, and the total must not move again. */
static void an_edge_never_asks_twice(void **state)
{
    (void)state;
    size_t edges = 0;
    for (int i = 0; i < CUPS; i++) {
        struct cup cup = random_cup();
        if (cup.foreign)
            continue;
        double k_g = mix_k_lo(cup.share, cup.poured_g, cup.left, cup.n, cup.wanted_g, cup.tol);
        edges += k_g > cup.wanted_g;
        for (size_t j = 0; j < cup.n; j++) {
            double edge_g = k_g * cup.share[j] + mix_tolerance_g(cup.share[j], k_g, cup.tol);
            cup.poured_g[j] = fmax(fmin(cup.poured_g[j], edge_g), round(edge_g * 1e6) / 1e6);
            assert_false(mix_is_over(cup.share[j], cup.poured_g[j], k_g, cup.tol));
        }
        double again_g = mix_k_lo(cup.share, cup.poured_g, cup.left, cup.n, k_g, cup.tol);
        if (again_g > k_g || again_g < k_g)
            fail_msg("asked twice: %.12f, then %.12f", k_g, again_g);
    }
    assert_true(edges > CUPS / 10);
}

static void aims_stay_between_the_least_and_r_more(void **state)
{
    (void)state;
    for (int i = 0; i < CUPS; i++) {
        struct cup cup = random_cup();
        bool done[MIX_MAX];
        if (cup.foreign)
            continue;
        for (size_t j = 0; j < cup.n; j++)
            done[j] = cup.poured_g[j] > 0 && !cup.left[j];
        double k_g = mix_k_lo(cup.share, cup.poured_g, cup.left, cup.n, cup.wanted_g, cup.tol);
        double aim_g = mix_k_aim(cup.share, cup.poured_g, done, cup.n, k_g, cup.tol);
        assert_true(aim_g >= k_g && aim_g <= k_g * (1 + cup.tol.rel) * (1 + 1e-12));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_cup),
        cmocka_unit_test(exact_dip_ends_exactly),
        cmocka_unit_test(an_edge_never_asks_twice),
        cmocka_unit_test(aims_stay_between_the_least_and_r_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
