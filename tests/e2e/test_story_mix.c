/* The arithmetic methods on hundreds of random calls, each held against the rule as written, found in another way:
 * the least total by bisection instead of in closed form, the rest straight from the definitions. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { MOST = 8, CALLS = 250 };
static const double slack = 1e-6, tight = 2e-5;

/* A fixed seed: a fault comes back. xorshift64, from its published definition (Marsaglia 2003), from memory. */
static double draw(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

static double grams(uint64_t *seed, double most)
{
    return round(draw(seed) * most * 100) / 100;
}

struct mix {
    double f[MOST], w[MOST], T, a, r, cup;
    int n;
};

static double tolerance(const struct mix *m, double K, double f)
{
    return fmax(m->r * K * f, fmin(m->a, K * f / 2));
}

static bool holds(const struct mix *m, double K)
{
    for (int i = 0; i < m->n; i++)
        if (m->f[i] > 0 && m->w[i] > K * m->f[i] + tolerance(m, K, m->f[i]))
            return false;
    return true;
}

static double least_total(const struct mix *m)
{
    if (holds(m, m->T))
        return m->T;
    double low = m->T, high = m->T;
    while (!holds(m, high))
        high *= 2;
    for (int i = 0; i < 200; i++) {
        double mid = (low + high) / 2;
        *(holds(m, mid) ? &high : &low) = mid;
    }
    return high;
}

static void same(json_t *answer, const char *path, double want, const char *what)
{
    json_t *is = story_at(answer, path);
    if (isnan(want) ? json_is_null(is)
                    : json_is_number(is) && fabs(json_number_value(is) - want) <= tight + 1e-6 * fabs(want))
        return;
    fail_msg("%s: %s is %s, not %.9g", what, path, json_dumps(answer, JSON_COMPACT), want);
}

static void same_at(json_t *answer, const char *list, int i, double want, const char *what)
{
    char path[64];
    snprintf(path, sizeof path, "%s.%d", list, i);
    same(answer, path, want, what);
}

static json_t *numbers(const double *of, int n)
{
    json_t *list = json_array();
    for (int i = 0; i < n; i++)
        json_array_append_new(list, json_real(of[i]));
    return list;
}

static void check_dip(const struct mix *m, json_t *r, double W, const char *what)
{
    double E = isnan(m->cup) ? m->T : fmin(m->T, m->cup), s = 1;
    for (int i = 0; i < m->n; i++) {
        if (m->f[i] > 0 && m->w[i] > 0)
            s = fmin(s, (E * m->f[i] + tolerance(m, E, m->f[i])) / m->w[i]);
        else if (m->w[i] > m->a + slack)
            s = fmin(s, m->a / m->w[i]);
    }
    same(r, "dip.take_g", W * (1 - s), what);
    same(r, "dip.total_g", E, what);
    for (int i = 0; i < m->n; i++)
        same_at(r, "dip.add_g", i, fmax(0, E * m->f[i] - s * m->w[i]), what);
}

static void random_remedies(void **state)
{
    struct harness *h = *state;
    uint64_t seed = 20261125;
    for (int call = 0; call < CALLS; call++) {
        struct mix m = {.n = 1 + (int)(draw(&seed) * MOST)};
        double parts[MOST], sum = 0, W = 0;
        for (int i = 0; i < m.n; i++) {
            parts[i] = draw(&seed) < 0.1 ? 0 : round(pow(10, draw(&seed) * 3) * 10) / 10;
            sum += parts[i];
        }
        if (sum <= 0)
            sum = parts[0] = 1;
        m.T = 1 + grams(&seed, 900);
        m.a = draw(&seed) < 0.3 ? 0 : grams(&seed, 0.2);
        m.r = draw(&seed) < 0.3 ? 0 : round(draw(&seed) * 20) / 1000;
        m.cup = draw(&seed) < 0.5 ? (double)NAN : m.T * (0.7 + 0.6 * draw(&seed));
        bool foreign = false;
        for (int i = 0; i < m.n; i++) {
            m.f[i] = parts[i] / sum;
            double about = draw(&seed);
            m.w[i] = about < 0.3  ? 0
                     : m.f[i] > 0 ? round(m.T * m.f[i] * (0.5 + about * 0.7) * 100) / 100
                                  : grams(&seed, 0.3);
            W += m.w[i];
            foreign = foreign || (m.f[i] <= 0 && m.w[i] > m.a + slack);
        }
        json_t *params = json_pack("{s:o,s:f,s:o,s:f,s:f}", "parts", numbers(parts, m.n), "total_g", m.T, "poured_g",
                                   numbers(m.w, m.n), "tolerance_g", m.a, "tolerance_pct", m.r * 100);
        json_object_set_new(params, "cup_g", isnan(m.cup) ? json_null() : json_real(m.cup));
        char what[24], *asked = json_dumps(params, JSON_COMPACT);
        snprintf(what, sizeof what, "call %d", call);
        json_t *r = harness_call(h, "mix.remedies", params);
        if (foreign) {
            assert_true(json_is_null(json_object_get(r, "grow")));
            story_text(r, "grow_why", "foreign");
        } else {
            double K = least_total(&m);
            same(r, "grow.total_g", K, asked);
            for (int i = 0; i < m.n; i++)
                same_at(r, "grow.add_g", i, fmax(0, K * m.f[i] - m.w[i]), asked);
            if (isnan(m.cup) || fabs(K - m.cup) > 1e-4)
                assert_int_equal(json_is_true(story_at(r, "grow.fits")), isnan(m.cup) || K <= m.cup);
        }
        check_dip(&m, r, W, asked);
        for (int i = 0; i < m.n; i++)
            same_at(r, "leave.deviation_pct", i,
                    m.w[i] > 0 && m.f[i] > 0 ? 100 * (m.w[i] - m.T * m.f[i]) / (m.T * m.f[i]) : (double)NAN, asked);
        free(asked);
    }
}

static void random_ratios(void **state)
{
    struct harness *h = *state;
    uint64_t seed = 4111;
    for (int call = 0; call < CALLS; call++) {
        int n = 1 + (int)(draw(&seed) * 5);
        bool by_volume = draw(&seed) < 0.5, by_weight_asked = draw(&seed) < 0.5;
        double parts[MOST], density[MOST], g = 0, ml = 0, asked = 1 + grams(&seed, 2000);
        for (int i = 0; i < n; i++) {
            parts[i] = 0.1 + round(draw(&seed) * 100) / 10;
            density[i] = 0.7 + round(draw(&seed) * 100) / 100;
            g += by_volume ? parts[i] * density[i] : parts[i];
            ml += by_volume ? parts[i] : parts[i] / density[i];
        }
        double scale = asked / (by_weight_asked ? g : ml);
        json_t *r = harness_call(h, "mix.ratio",
                                 json_pack("{s:o,s:s,s:o,s:f}", "parts", numbers(parts, n), "basis",
                                           by_volume ? "volume" : "weight", "densities_g_per_ml", numbers(density, n),
                                           by_weight_asked ? "total_g" : "total_ml", asked));
        for (int i = 0; i < n; i++) {
            same_at(r, "weight_g", i, parts[i] * scale * (by_volume ? density[i] : 1), "ratio");
            same_at(r, "volume_ml", i, parts[i] * scale / (by_volume ? 1 : density[i]), "ratio");
        }
        same(r, "total_g", g * scale, "ratio");
        same(r, "total_ml", ml * scale, "ratio");
    }
}

/* A premix by its definition; a part of take_g out of it holds what is wanted of each. */
static void random_premix(struct harness *h, uint64_t *seed, double d, double error, double half)
{
    double want[3], sum = 0, least = INFINITY, m = 2 * (d / 2 + half) / (error / 100);
    for (size_t i = 0; i < 3; i++) {
        sum += want[i] = 0.01 + grams(seed, 2);
        least = fmin(least, want[i]);
    }
    double k = fmax(1, m / least), take = fmax(m, sum);
    json_t *p = json_pack("{s:o,s:f,s:f,s:f,s:f}", "grams", numbers(want, 3), "d_g", d, "error_pct", error,
                          "half_drop_g", half, "diluent_g_max", 200.0);
    if (k * (take - sum) > 200 + 1e-6) {
        json_t *answer = harness_ask(h, "mix.premix", p);
        assert_int_equal(json_integer_value(story_at(answer, "error.code")), -32005);
        return;
    }
    json_t *r = harness_call(h, "mix.premix", p);
    same(r, "diluent_g", k * (take - sum), "premix");
    same(r, "take_g", take, "premix");
    same(r, "total_g", k * take, "premix");
    for (size_t i = 0; i < 3; i++) {
        double toner_g = json_number_value(json_array_get(json_object_get(r, "toner_g"), i));
        double off_pct = json_number_value(json_array_get(json_object_get(r, "dose_error_pct"), i));
        assert_true(fabs(toner_g / (k * take) * take - want[i]) < 1e-4);
        assert_true(off_pct <= error + 1e-4);
    }
}

static void random_small_weights(void **state)
{
    struct harness *h = *state;
    uint64_t seed = 77;
    for (int call = 0; call < CALLS; call++) {
        double parts[MOST], sum = 0, least = INFINITY;
        int n = 1 + (int)(draw(&seed) * MOST);
        for (int i = 0; i < n; i++)
            sum += parts[i] = 0.1 + round(pow(10, draw(&seed) * 3) * 10) / 10;
        for (int i = 0; i < n; i++)
            least = fmin(least, parts[i]);
        double d = draw(&seed) < 0.5 ? 0.1 : 0.01, error = 1 + round(draw(&seed) * 9), half = grams(&seed, 0.1);
        double m = (d / 2 + half) / (error / 100);
        json_t *r = harness_call(h, "mix.weighable",
                                 json_pack("{s:o,s:f,s:f,s:f}", "parts", numbers(parts, n), "d_g", d, "error_pct",
                                           error, "half_drop_g", half));
        same(r, "smallest_g", m * sum / least, "weighable");
        assert_true(parts[json_integer_value(json_object_get(r, "component"))] <= least);
        random_premix(h, &seed, d, error, half);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_remedies),
        cmocka_unit_test(random_ratios),
        cmocka_unit_test(random_small_weights),
    };
    return cmocka_run_group_tests(tests, story_begin, story_end);
}
