/* scale_doubt.c - how sure a pour is on this scale, learnt where the shop says nothing: from check weights, and from
 * the empty pan that was watched. It must not know how a check is made, nor what a doubt does to a cup.
 *
 * A check reads the empty pan twice, before the weight and after it. Two readings of one load differ by what the scale
 * repeats to and by their roundings: s^2 of a difference, as of a pour, is the mean of the squares less d^2/6, which is
 * reckoned by itself (JCGM 100, 4.2 and H.5 of paired observations; mix/uncertainty.h). A drift of r in a minute moves
 * a pour of about a minute (common practice, no source) by at most r, and so by r/sqrt(3) (JCGM 100, 4.3.7).
 */
#include "bench/bench_parts.h"

#include "text/json_read.h"
#include "text/number.h"

#include <math.h>

enum { CHECKS_LEAST = 5, CHECKS_MOST = 20 };

/* Looking through checks, the newest first. */
struct looking {
    int checks;
    double squares; /* g^2 */
    int64_t seq;    /* of the last one seen; 0: there is none before */
};

/* A store callback. One that failed says that something was wrong, not how the scale repeats. */
static void add_check(void *arg, const struct store_event *e)
{
    struct looking *l = arg;
    json_t *body = json_read_text(e->body ? e->body : "{}");
    const json_t *zero = json_object_get(body, "zero_g"), *d = json_object_get(body, "d_g");
    l->seq = e->seq;
    if (json_is_true(json_object_get(body, "passed")) && json_is_number(zero) && json_is_number(d)) {
        l->squares += pow(json_number_value(zero), 2) - pow(json_number_value(d), 2) / 6;
        l->checks++;
    }
    json_decref(body);
}

void bench_doubt_learn(struct bench *b)
{
    struct looking l = {.seq = 0};
    for (int looked = 0; looked < 2 * CHECKS_MOST && l.checks < CHECKS_MOST; looked++) {
        int64_t before = l.seq;
        if (store_last_weight_check(b->daemon->store, b->config->name, before, add_check, &l) != STORE_FOUND)
            break;
    }
    b->check.doubt_checks = l.checks;
    /* Finer than a tenth of an interval nothing was seen, only not seen. */
    b->check.repeatability_g =
        l.checks < CHECKS_LEAST ? NAN : fmax(sqrt(fmax(0, l.squares / l.checks)), b->config->d_g / 10);
}

void bench_doubt_watched(struct bench *b, double g_per_min)
{
    b->check.drift_g = fabs(g_per_min) / sqrt(3);
}

/* The file's own word goes before what was learnt. */
static bool says_repeatability(const struct config_station *c)
{
    return fabs(c->repeatability_g - c->d_g) > 1e-12;
}

double bench_doubt_repeatability_g(const struct bench *b)
{
    return says_repeatability(b->config) || !(b->check.repeatability_g > 0) ? NAN : b->check.repeatability_g;
}

double bench_doubt_drift_g(const struct bench *b)
{
    return b->config->drift_g > 0 ? NAN : b->check.drift_g;
}

static double two_digits(double value)
{
    return value > 0 ? number_round(value, pow(10, floor(log10(value)) - 1)) : 0;
}

json_t *bench_doubt_said(const struct bench *b)
{
    const struct number_style style = {.point = '.'};
    double learnt_g = bench_doubt_repeatability_g(b), drift_g = bench_doubt_drift_g(b);
    struct said repeats = says_repeatability(b->config) ? say("doubt_file u=%f", b->config->repeatability_g)
                          : isnan(learnt_g)
                              ? say("doubt_usual u=%f least=%d", b->config->d_g, CHECKS_LEAST)
                              : say("doubt_checks u=%f count=%d", two_digits(learnt_g), b->check.doubt_checks);
    struct said drifts = b->config->drift_g > 0 ? say("doubt_drift_file u=%f", b->config->drift_g)
                                                : say("doubt_drift u=%f", two_digits(drift_g));
    json_t *list = json_array();
    json_array_append_new(list, said_json(&repeats, &style));
    if (b->config->drift_g > 0 || drift_g > 0)
        json_array_append_new(list, said_json(&drifts, &style));
    return list;
}
