/* Work-off: the design's example, published blends, what holds a leftover back, and random shelves against GLPK. */
#include "mix/workoff.h"

#include "mix/amount.h"
#include "solver/lpsolve.h"
#include "tests/unit/mix/published.h"
#include "tests/unit/solver/glpk.h"

#include <math.h>

static struct mix_program room; /* too large for a stack; each test writes it anew */

struct shelf {
    double share[MIX_MAX];
    struct mix_leftover cup[MIX_MAX];
    struct mix_workoff_asked asked;
};

/* A shelf with one cup more, of n parts. */
static void put(struct shelf *s, double grams, const double *parts)
{
    struct mix_leftover *l = &s->cup[s->asked.leftovers++];
    *l = (struct mix_leftover){.grams = grams};
    mix_shares(parts, s->asked.n, l->share);
}

static void target(struct shelf *s, double total_g, const double *parts, size_t n)
{
    *s = (struct shelf){0};
    mix_shares(parts, n, s->share);
    s->asked = (struct mix_workoff_asked){
        .share = s->share, .n = n, .total_g = total_g, .tol = {.error = 0.5}, .leftover = s->cup};
}

static struct mix_workoff solved(const struct shelf *s)
{
    struct mix_workoff out;
    struct lpsolve library;
    assert_true(lpsolve_open(&library, 20));
    assert_true(mix_workoff(&s->asked, lpsolve_run, &library, &room, &out));
    lpsolve_close(&library);
    return out;
}

/* Source: design.md, "Work-off". */
static void the_designs_example(void **state)
{
    (void)state;
    struct shelf s;
    target(&s, 300, (double[]){212.0, 61.5, 3.2}, 3);
    put(&s, 150, (double[]){205.5, 61.5, 9.7});
    put(&s, 80, (double[]){212.0, 61.5, 3.2});
    struct mix_workoff out = solved(&s);
    near_to("the darker variant", out.use_g[0], 72.577, 5e-4);
    near_to("its own", out.use_g[1], 80, 1e-6);
    near_to("all of it", out.total_g, 300, 1e-6);
    near_to("no more black", out.add_g[2], 0, 1e-6);
}

/* Rows C14 and C17: where two components decide two amounts, the work-off must find the printed ones. */
static void published_blends(void **state)
{
    (void)state;
    struct shelf s;
    target(&s, 14, (double[]){7, 7}, 2);
    put(&s, 30, (double[]){12, 18});
    put(&s, 12, (double[]){9, 3});
    struct mix_workoff out = solved(&s);
    near_to("C14 A", out.use_g[0], published("C14", 0), 1e-6);
    near_to("C14 B", out.use_g[1], published("C14", 1), 1e-6);
    target(&s, 100, (double[]){0.2, 99.8}, 2);
    put(&s, 500, (double[]){0.1, 99.9});
    put(&s, 500, (double[]){0.5, 99.5});
    out = solved(&s);
    near_to("C17 weak", out.use_g[0], published("C17", 0), 1e-5);
    near_to("C17 strong", out.use_g[1], published("C17", 1), 1e-5);
}

static void the_older_first(void **state)
{
    (void)state;
    struct shelf s;
    target(&s, 100, (double[]){3, 1}, 2);
    put(&s, 30, (double[]){3, 1});
    put(&s, 90, (double[]){3, 1});
    put(&s, 50, (double[]){3, 1});
    struct mix_workoff out = solved(&s);
    near_to("all of the oldest", out.use_g[0], 30, 1e-6);
    near_to("then the next", out.use_g[1], 70, 1e-6);
    near_to("none of the newest", out.use_g[2], 0, 0);
    assert_int_equal(out.why[2], MIX_USED); /* nothing ails it but that there is no room */
}

static void what_holds_a_leftover_back(void **state)
{
    (void)state;
    struct shelf s;
    target(&s, 100, (double[]){3, 1, 0}, 3);
    s.asked.smallest_g = 2;
    put(&s, 50, (double[]){3, 0.5, 0.5});
    put(&s, 1.5, (double[]){3, 1, 0});
    put(&s, 50, (double[]){3, 1, 0});
    put(&s, 75, (double[]){1, 0, 0});
    put(&s, 50, (double[]){1, 1, 0});
    s.cup[2].barred = true;
    struct mix_workoff out = solved(&s);
    assert_int_equal(out.why[0], MIX_FOREIGN);
    assert_int_equal(out.why[1], MIX_SMALL);
    assert_int_equal(out.why[2], MIX_BARRED);
    near_to("the rest makes it whole", out.use_g[3] + out.use_g[4], 100, 1e-5);
    target(&s, 100, (double[]){3, 1}, 2);
    put(&s, 100, (double[]){3, 1});
    put(&s, 20, (double[]){10, 1});
    out = solved(&s);
    near_to("its own fills the cup", out.use_g[0], 100, 1e-6);
    near_to("so this one is out", out.use_g[1], 0, 0);
    assert_int_equal(out.why[1], MIX_TOO_RICH);
}

/* A use of 1 g and an addition of 0.5 g cannot be weighed, so less of the leftover is used. */
static void nothing_or_weighable(void **state)
{
    (void)state;
    struct shelf s;
    target(&s, 100, (double[]){99.5, 0.5}, 2);
    s.asked.smallest_g = 1;
    put(&s, 99.5, (double[]){1, 0});
    struct mix_workoff out = solved(&s);
    /* Half a gram of the second can never be weighed: the additions are let off, the use is not. */
    near_to("used", out.use_g[0], 99.5, 1e-5);
    near_to("fresh", out.add_g[1], 0.5, 1e-5);
    target(&s, 100, (double[]){60, 40}, 2);
    s.asked.smallest_g = 5;
    put(&s, 58, (double[]){1, 0});
    out = solved(&s);
    near_to("room for a weighable addition", out.use_g[0], 55, 1e-5);
    near_to("which it is", out.add_g[0], 5, 1e-5);
}

static double between(double least, double most)
{
    return least + (most - least) * ((double)rand() / RAND_MAX);
}

/* A formula of 2 to 7 toners and up to 9 cups: its own, variants of it, and some strangers. */
static void random_shelf(struct shelf *s, unsigned seed)
{
    double parts[MIX_MAX], other[MIX_MAX];
    srand(seed);
    size_t n = 2 + (size_t)(rand() % 6);
    for (size_t i = 0; i < n; i++)
        parts[i] = between(0.5, 100);
    target(s, between(50, 800), parts, n);
    s->asked.tol = (struct mix_tolerance){.abs_g = seed % 3 ? 0.1 : 0, .rel = 0.005, .d_g = 0.1, .error = 0.05};
    s->asked.smallest_g = seed % 2 ? between(0.5, 3) : 0;
    size_t cups = (size_t)(rand() % 9);
    for (size_t j = 0; j < cups; j++) {
        for (size_t i = 0; i < n; i++)
            other[i] = parts[i] * (j % 3 ? between(0.6, 1.4) : 1) + (j % 4 == 3 && i == 0 ? 60 : 0);
        put(s, between(0.2, 300), other);
    }
}

static double sum(const double *x, size_t n)
{
    double all = 0;
    for (size_t i = 0; i < n; i++)
        all += x[i];
    return all;
}

/* Whatever a solver says: no component over its tolerance, no cup beyond its content, no amount too small. */
static void is_sound(unsigned seed, const struct shelf *s, const struct mix_workoff *out)
{
    const struct mix_workoff_asked *a = &s->asked;
    for (size_t i = 0; i < a->n; i++) {
        double got = out->add_g[i];
        for (size_t j = 0; j < a->leftovers; j++)
            got += out->use_g[j] * a->leftover[j].share[i];
        double aim = a->total_g * a->share[i], t = mix_tolerance_g(a->share[i], a->total_g, a->tol);
        if (!(fabs(got - aim) <= t + 1e-4) && out->add_g[i] <= 0)
            fail_msg("shelf %u: component %zu is %.6f, aim %.6f", seed, i, got, aim);
    }
    for (size_t j = 0; j < a->leftovers; j++) {
        assert_true(out->use_g[j] <= a->leftover[j].grams + 1e-6);
        if (out->use_g[j] > 0 && out->use_g[j] < a->smallest_g - 1e-5)
            fail_msg("shelf %u: %.6f g of cup %zu, smallest %.6f", seed, out->use_g[j], j, a->smallest_g);
    }
}

/* The sum must be the same; of the uses only how the sum divides could differ, and lexicographic order leaves no
 * choice, so they must be too, but for what slack moves. */
static void agrees_with_glpk(void **state)
{
    (void)state;
    const char *shelves = getenv("SHELVES");
    unsigned most = shelves ? (unsigned)atoi(shelves) : 1000;
    struct lpsolve library;
    assert_true(lpsolve_open(&library, 20));
    for (unsigned seed = 1; seed <= most; seed++) {
        struct shelf s;
        struct mix_workoff ours, theirs;
        random_shelf(&s, seed);
        assert_true(mix_workoff(&s.asked, lpsolve_run, &library, &room, &ours));
        assert_true(mix_workoff(&s.asked, glpk_run, NULL, &room, &theirs));
        is_sound(seed, &s, &ours);
        double a = sum(ours.use_g, s.asked.leftovers), b = sum(theirs.use_g, s.asked.leftovers);
        if (!(fabs(a - b) <= 1e-4))
            fail_msg("shelf %u: lp_solve uses %.6f g, GLPK %.6f g", seed, a, b);
        for (size_t j = 0; j < s.asked.leftovers; j++) {
            if (!(fabs(ours.use_g[j] - theirs.use_g[j]) <= 1e-2))
                fail_msg("shelf %u: cup %zu: lp_solve %.6f g, GLPK %.6f g", seed, j, ours.use_g[j], theirs.use_g[j]);
        }
    }
    lpsolve_close(&library);
}

/* Both solvers on one program. */
struct both {
    struct lpsolve library;
    unsigned seed, refused, asked;
    bool none; /* the last program had no answer */
};

static double goal_of(const struct mix_program *p, const double *x)
{
    double goal = 0;
    for (size_t c = 0; c < p->columns; c++)
        goal += p->goal[c] * x[c];
    return goal;
}

/* A mix_solve: what one of them cannot solve the other cannot either, and where both can they reach the same. A later
 * wish holds the sum to a nanogram, which a solver may call impossible: then the answer before it stands, as good in
 * grams (agrees_with_glpk), and only the sum is looked at here. */
static bool both_run(void *solver, const struct mix_program *p, double *x)
{
    struct both *both = solver;
    double theirs[MIX_COLUMNS];
    bool ours_good = lpsolve_run(&both->library, p, x), sum = both->asked == 0 || (both->asked == 1 && both->none);
    both->asked++;
    both->none = !ours_good;
    if (!sum)
        return ours_good;
    bool theirs_good = glpk_run(NULL, p, theirs);
    if (ours_good != theirs_good)
        fail_msg("shelf %u: lp_solve %s, GLPK %s", both->seed, ours_good ? "answers" : "refuses",
                 theirs_good ? "answers" : "refuses");
    both->refused += !ours_good;
    if (ours_good && !(fabs(goal_of(p, x) - goal_of(p, theirs)) <= 1e-4))
        fail_msg("shelf %u: lp_solve reaches %.6f, GLPK %.6f", both->seed, goal_of(p, x), goal_of(p, theirs));
    return ours_good;
}

/* Shelves where every amount is nothing or much: some of them have no answer at all, and the additions are let off. */
static void what_has_no_answer_has_none_for_both(void **state)
{
    (void)state;
    struct both both = {.refused = 0};
    assert_true(lpsolve_open(&both.library, 20));
    for (both.seed = 1; both.seed <= 300; both.seed++) {
        struct shelf s;
        struct mix_workoff out;
        random_shelf(&s, both.seed);
        both.asked = 0;
        both.none = false;
        s.asked.smallest_g = s.asked.total_g * between(0.01, 0.3);
        s.asked.tol = (struct mix_tolerance){.error = 0.5};
        unsigned before = both.refused;
        assert_true(mix_workoff(&s.asked, both_run, &both, &room, &out));
        for (size_t j = 0; j < s.asked.leftovers; j++)
            if (out.use_g[j] > 0 && out.use_g[j] < s.asked.smallest_g - 1e-4)
                fail_msg("shelf %u: %.6f g of cup %zu, smallest %.6f%s", both.seed, out.use_g[j], j, s.asked.smallest_g,
                         both.refused > before ? ", additions let off" : "");
    }
    lpsolve_close(&both.library);
    if (both.refused < 20)
        fail_msg("only %u programs had no answer", both.refused);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_designs_example),
        cmocka_unit_test(published_blends),
        cmocka_unit_test(the_older_first),
        cmocka_unit_test(what_holds_a_leftover_back),
        cmocka_unit_test(nothing_or_weighable),
        cmocka_unit_test(agrees_with_glpk),
        cmocka_unit_test(what_has_no_answer_has_none_for_both),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
