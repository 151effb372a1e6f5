/* weight_check.c - what three readings of a check weight say, and a watched pan. It must not know when one is due. */
#include "station/weight_check.h"

#include <math.h>
#include <string.h>

#define SLACK_G 1e-6

const char *check_next_name(enum check_next next)
{
    static const char *const names[] = {"none", "empty", "loaded", "again", "done"};
    return names[next];
}

/* Grams, both. */
void check_begin(struct check *c, double grams, double tolerance_g)
{
    *c = (struct check){.next = CHECK_EMPTY, .grams = grams, .tolerance_g = tolerance_g};
}

enum check_sight check_look(const struct check *c, int64_t weight_ug)
{
    double tenth_g = c->grams / 10, on_g = (double)(weight_ug - c->empty_ug) / 1e6;
    switch (c->next) {
    case CHECK_EMPTY: /* a mat or a cup may stand there: only what is put on it counts */
        return fabs((double)weight_ug / 1e6 - c->grams) < tenth_g ? CHECK_ON_ALREADY : CHECK_FITS;
    case CHECK_LOADED:
        return on_g >= tenth_g ? CHECK_FITS : on_g <= -tenth_g ? CHECK_EMPTIED : CHECK_NOT_ON;
    default:
        return on_g >= tenth_g ? CHECK_STILL_ON : on_g <= -tenth_g ? CHECK_BELOW : CHECK_FITS;
    }
}

/* Readings come in the order of enum check_next; the fourth would be nobody's. */
bool check_take(struct check *c, int64_t weight_ug)
{
    int64_t *const to[] = {[CHECK_EMPTY] = &c->empty_ug, [CHECK_LOADED] = &c->loaded_ug, [CHECK_AGAIN] = &c->again_ug};
    if (c->next == CHECK_NONE || c->next == CHECK_DONE)
        return false;
    *to[c->next] = weight_ug;
    c->next++;
    return c->next == CHECK_DONE;
}

void check_rebase(struct check *c, int64_t weight_ug)
{
    c->empty_ug = weight_ug;
}

/* Both must hold: a weight that reads right on a zero that wandered is luck. */
void check_judge(const struct check *c, double d_g, double empty_d_g, struct check_outcome *out)
{
    double empty_g = ((double)c->empty_ug + (double)c->again_ug) / 2e6;
    out->error_g = (double)c->loaded_ug / 1e6 - empty_g - c->grams;
    out->zero_g = (double)(c->again_ug - c->empty_ug) / 1e6;
    out->error_d = out->error_g / d_g;
    out->zero_d = out->zero_g / empty_d_g;
    out->passed = fabs(out->error_g) <= c->tolerance_g + SLACK_G && fabs(out->zero_g) <= c->tolerance_g + SLACK_G;
}

const char *drift_kind_name(enum drift_kind kind)
{
    static const char *const names[] = {"steady", "drift", "draught"};
    return names[kind];
}

/* All slots empty; for_ms is cut into DRIFT_SLOTS of them, whatever the scale's rate. */
void drift_begin(struct drift *w, int64_t now_ms, int64_t for_ms)
{
    memset(w, 0, sizeof *w);
    w->from_ms = now_ms;
    w->for_ms = for_ms;
}

/* A slot keeps lowest, highest and sum: a thousand readings a second weigh no more than ten. */
void drift_add(struct drift *w, int64_t now_ms, double grams)
{
    int64_t at = (now_ms - w->from_ms) * DRIFT_SLOTS / w->for_ms;
    if (now_ms < w->from_ms || at >= DRIFT_SLOTS)
        return;
    if (w->count[at]++ == 0)
        w->low_g[at] = w->high_g[at] = grams;
    w->low_g[at] = fmin(w->low_g[at], grams);
    w->high_g[at] = fmax(w->high_g[at], grams);
    w->sum_g[at] += grams;
}

/* The straight line of least squares through the means of the slots; x counts slots. */
static bool line_through(const struct drift *w, double *slope, double *at_0)
{
    double n = 0, x = 0, y = 0, xx = 0, xy = 0;
    for (int i = 0; i < DRIFT_SLOTS; i++) {
        if (!w->count[i])
            continue;
        double mean = w->sum_g[i] / w->count[i];
        n++;
        x += i;
        y += mean;
        xx += (double)i * i;
        xy += i * mean;
    }
    double spread = n * xx - x * x;
    if (n < 4 || spread <= 0)
        return false;
    *slope = (n * xy - x * y) / spread;
    *at_0 = (y - *slope * x) / n;
    return true;
}

/* A line that goes 1 d within the watch is drift; what scatters about it by more is air, or a bench that is walked
 * into. */
bool drift_judge(const struct drift *w, double d_g, struct drift_outcome *out)
{
    double slope, at_0, low = INFINITY, high = -INFINITY, span = 0;
    if (!line_through(w, &slope, &at_0))
        return false;
    for (int i = 0; i < DRIFT_SLOTS; i++) {
        if (!w->count[i])
            continue;
        double on_line = at_0 + slope * i;
        low = fmin(low, w->low_g[i]);
        high = fmax(high, w->high_g[i]);
        span = fmax(span, fmax(w->high_g[i] - on_line, on_line - w->low_g[i]));
    }
    double way = fabs(slope) * DRIFT_SLOTS;
    out->d_per_min = slope * DRIFT_SLOTS * 60000 / (double)w->for_ms / d_g;
    out->span_d = span / d_g;
    if (high - low <= d_g + SLACK_G)
        out->kind = DRIFT_STEADY;
    else
        out->kind = way >= d_g && span <= fmax(d_g, way / 10) + SLACK_G ? DRIFT_DRIFTS : DRIFT_DRAUGHT;
    return true;
}
