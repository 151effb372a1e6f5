/* Whole batches poured by a careless hand, the daemon held against the rules as a second program would write them:
 * what is over, what grows by itself, what is topped up in which order, every aim and total, remedies chosen at random,
 * dips of other amounts than asked, accepts taken back. The least total is found by bisection. World: story.h. */
#include "tests/e2e/story.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum { PARTS = 3, STORIES = 80, NONE = -1 };
static const double a = 0.05, r = 0.005, d = 0.01, e = 0.05, slack = 1e-6;
static const char *const toner[PARTS] = {"A", "B", "C"};

/* xorshift64, from memory; a fixed seed, so that a fault comes back. */
static double draw(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

struct model {
    double f[PARTS], w[PARTS], T, wanted;
    bool poured[PARTS], left[PARTS];
    double edge[PARTS]; /* accepted at 0 to go on its edge, at this total: asks nothing up to there; 0: not */
    double before;      /* over: the total that the remedies start from */
    int now, over;
};

static double tolerance(double K, double f)
{
    return fmax(r * K * f, fmin(a, fmax(d / 2, e * K * f)));
}

static bool fits_into(const struct model *m, double K, int without)
{
    for (int i = 0; i < PARTS; i++)
        if (i != without && !m->left[i] && !(m->edge[i] > 0) &&
            m->w[i] > K * m->f[i] + tolerance(K, m->f[i]) + slack / 10)
            return false;
    return true;
}

static double least(const struct model *m, double T, int without)
{
    double low = T, high = T;
    if (fits_into(m, T, without))
        return T;
    while (!fits_into(m, high, without))
        high *= 2;
    for (int i = 0; i < 100; i++) {
        double mid = (low + high) / 2;
        *(fits_into(m, mid, without) ? &high : &low) = mid;
    }
    return high;
}

static bool lacks(const struct model *m, int i, double K)
{
    return m->w[i] < K * m->f[i] - tolerance(K, m->f[i]) - slack && !(K <= m->edge[i] + slack);
}

/* What aims follow: the greater of the least total and what the closed parts stand for, at most 0.5 % more, and no more
 * than the station may grow to by itself. What waits for a top-up is not closed. */
static double aimed(const struct model *m)
{
    double T = m->over == NONE ? m->T : m->before, K = least(m, T, m->over), w = 0, f = 0;
    for (int i = 0; i < PARTS; i++)
        if (m->poured[i] && !m->left[i] && !(m->edge[i] > 0) && i != m->over && !lacks(m, i, K)) {
            w += m->w[i];
            f += m->f[i];
        }
    return fmin(fmin(fmax(K, f > 0 ? w / f : 0), (1 + r) * K), fmax(K, 1.05 * m->wanted));
}

static int next_step(const struct model *m)
{
    double K = least(m, m->T, NONE);
    int best = NONE;
    for (int i = 0; i < PARTS; i++)
        if (m->poured[i] && lacks(m, i, K) && (best == NONE || m->f[i] < m->f[best]))
            best = i;
    for (int i = 0; i < PARTS && best == NONE; i++)
        if (!m->poured[i])
            best = i;
    return best;
}

static void accept(struct model *m, double grams)
{
    int i = m->now;
    const struct model was = *m;
    double before = least(m, m->T, NONE), shown = round(aimed(m) * m->f[i] / d) * d;
    m->w[i] += grams;
    m->poured[i] = true;
    m->left[i] = false;
    m->edge[i] = 0;
    double after = least(m, before, NONE);
    bool over = after > before + slack, on_aim = fabs(shown - m->w[i]) <= d / 2 + slack;
    bool asks = after > 1.05 * m->wanted + slack;
    for (int j = 0; j < PARTS; j++) /* what waited for a top-up before changes nothing that was closed */
        asks = asks || (j != i && m->poured[j] && lacks(m, j, after) && !lacks(&was, j, before));
    if (on_aim && (over || lacks(m, i, after)))
        m->edge[i] = before;
    else if (over && !asks)
        m->T = after; /* and stays so */
    m->over = over && !on_aim && asks ? i : NONE;
    m->before = before;
    m->now = m->over == NONE ? next_step(m) : NONE;
}

static void check(struct harness *h, const struct model *m, const char *where)
{
    const char *state = m->over != NONE ? "over" : m->now == NONE ? "done" : "pour";
    if (strcmp(harness_text(h, "bench", "state"), state) != 0)
        print_error("%s: the model has w %.2f %.2f %.2f of %.2f\n", where, m->w[0], m->w[1], m->w[2], m->wanted);
    story_is(h, "state", state);
    double K = aimed(m);
    story_near(h, "total_g", K);
    story_near(h, "wanted_g", m->wanted);
    for (size_t i = 0; i < PARTS; i++) {
        char path[32];
        snprintf(path, sizeof path, "steps.%zu.poured_g", i);
        story_near(h, path, m->w[i]);
    }
    if (m->now != NONE)
        story_now(h, toner[m->now], K * m->f[m->now], m->w[m->now]);
}

static void check_remedies(struct harness *h, const struct model *m)
{
    double K = least(m, m->before, NONE), s = 1, W = 0;
    story_near(h, "remedies.grow.total_g", K);
    for (int i = 0; i < PARTS; i++) {
        double E = m->before;
        W += m->w[i];
        if (m->w[i] > 0 && !m->left[i] && !(m->edge[i] > 0)) /* an error that was accepted is not dipped for */
            s = fmin(s, (E * m->f[i] + tolerance(E, m->f[i])) / m->w[i]);
    }
    story_near(h, "remedies.dip.take_g", W * (1 - s));
    story_near(h, "remedies.dip.total_g", m->before);
    for (int i = 0; i < PARTS; i++) {
        char path[32];
        snprintf(path, sizeof path, "remedies.grow.add_g.%d", i);
        bool wants = !m->poured[i] || lacks(m, i, K);
        story_near(h, path, wants ? fmax(0, K * m->f[i] - m->w[i]) : 0);
        snprintf(path, sizeof path, "remedies.dip.add_g.%d", i);
        story_near(h, path, fmax(0, m->before * m->f[i] - s * m->w[i]));
    }
}

/* Takes out about what is asked, sometimes too little: then it asks again. */
static void dip(struct harness *h, struct model *m, uint64_t *seed)
{
    double ask = -harness_number(h, "bench", "now.aim_g"), W = m->w[0] + m->w[1] + m->w[2];
    double out = fmin(W * 0.9, fmax(0.02, ceil(ask * (0.6 + draw(seed)) * 100) / 100));
    story_pour(h, -out);
    for (int i = 0; i < PARTS; i++)
        m->w[i] *= (W - out) / W;
    m->T = m->before;
    for (int i = 0; i < PARTS; i++) /* what the dip took of it is another lack, unless the scale could hide it */
        if (m->w[i] + d < m->T * m->f[i] - tolerance(m->T, m->f[i]) - slack)
            m->edge[i] = 0;
    if (m->w[m->over] > m->T * m->f[m->over] + tolerance(m->T, m->f[m->over]) + slack) {
        if (out < ask - d / 2 - slack)
            return;
        m->edge[m->over] = m->T; /* as much as the scale can show was taken */
    }
    m->over = NONE;
    m->now = next_step(m);
}

static void remedy(struct harness *h, struct model *m, uint64_t *seed)
{
    double which = draw(seed);
    check_remedies(h, m);
    if (which < 0.4) {
        story_act(h, "remedy", "{'choice':'grow'}");
        m->wanted = m->T = least(m, m->before, NONE);
    } else if (which < 0.6) {
        story_act(h, "remedy", "{'choice':'leave'}");
        m->left[m->over] = true;
        m->T = m->before;
    } else {
        story_act(h, "remedy", "{'choice':'dip'}");
        dip(h, m, seed);
        return;
    }
    m->over = NONE;
    m->now = next_step(m);
}

/* Of ten pours four are right, three a little over, three far over; those of a top-up likewise. */
static double hand(const struct model *m, uint64_t *seed)
{
    double go = aimed(m) * m->f[m->now] - m->w[m->now], kind = draw(seed);
    double more = kind < 0.4 ? 0 : (kind < 0.7 ? 0.03 : 0.15) * draw(seed) * m->wanted * m->f[m->now];
    return fmax(0.01, round((go + more) * 100) / 100);
}

static void careless(struct harness *h, const double parts[PARTS], const char *formula, double grams, uint64_t *seed)
{
    double sum = parts[0] + parts[1] + parts[2];
    struct model m = {.T = grams, .wanted = grams, .now = 0, .over = NONE};
    for (int i = 0; i < PARTS; i++)
        m.f[i] = parts[i] / sum;
    story_cup(h, "{'formula':'%s','grams':%g,'reduce_pct':0}", formula, grams);
    check(h, &m, "begin");
    for (int acts = 0; acts < 25 && (m.now != NONE || m.over != NONE); acts++) {
        if (m.over != NONE) {
            remedy(h, &m, seed);
            check(h, &m, "remedy");
            continue;
        }
        struct model was = m;
        double pour = hand(&m, seed);
        accept(&m, pour);
        story_pour(h, pour);
        check(h, &m, "pour");
        if (draw(seed) < 0.15) {
            story_act(h, "undo", "{}");
            story_near(h, "total_g", aimed(&was));
            story_now(h, toner[was.now], aimed(&was) * was.f[was.now], was.w[was.now] + pour);
            story_act(h, "accept", "{}");
            check(h, &m, "undone and done again");
        }
    }
    story_clear(h);
}

static void by_a_careless_hand(void **state)
{
    struct harness *h = *state;
    uint64_t seed = 25112026;
    for (int i = 0; i < STORIES; i++) {
        double grams = 60 + round(draw(&seed) * 500);
        if (draw(&seed) < 0.6)
            careless(h, (const double[]){50, 30, 20}, "TS-1", grams, &seed);
        else
            careless(h, (const double[]){212, 61.5, 3.2}, "TS-3", 200 + grams, &seed);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test_setup_teardown(by_a_careless_hand, story_begin, story_end)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
