/* cue.c - flow of a pour, where it will land, and what to tell the painter. It learns the lag of scale and hand and
 * knows no station: weights come in, a word goes out. */
#include "mix/cue.h"

#include "mix/aim.h"

#include <math.h>

#define WINDOW_MS    500  /* the flow is taken from so much of the past */
#define APART_MS     15   /* readings closer than this share a place in the ring */
#define GAP_MS       1000 /* silence after which the past says nothing about the flow */
#define JUMP_MS      200  /* a scale's filter spreads a jump over so long at most, where frames come faster */
#define LEARN_OVER   4    /* the lag is the average of about so many stops */
#define EASE_S       2.0  /* ease when the aim is nearer in time than this */
#define EASE_LEAVE_S 30.0 /* and stay so until it is farther: easing makes it farther by itself */
#define EASE_NEAR    8.0  /* ease within so many tolerances, flow or none */
#define EASE_LEAVE   10.0
#define STOP_LEAVE   0.5 /* a stop ends when the landing is short by so many tolerances */

__attribute__((hot)) const char *mix_cue_name(enum mix_cue cue)
{
    static const char *const names[] = {
        [MIX_CUE_POUR] = "pour", [MIX_CUE_EASE] = "ease", [MIX_CUE_STOP] = "stop",
        [MIX_CUE_OK] = "ok",     [MIX_CUE_OVER] = "over",
    };
    size_t i = (size_t)cue;
    return names[i < sizeof names / sizeof *names ? i : MIX_CUE_STOP];
}

void mix_flow_init(struct mix_flow *flow)
{
    *flow = (struct mix_flow){.lag_ms = MIX_LAG_FIRST_MS};
}

void mix_flow_forget(struct mix_flow *flow)
{
    *flow = (struct mix_flow){.lag_ms = flow->lag_ms, .stops = flow->stops};
}

/* The reading `back` places before the newest. */
static const struct mix_flow_reading *past(const struct mix_flow *flow, size_t back)
{
    return &flow->ring[(flow->newest + MIX_FLOW_RING - back) % MIX_FLOW_RING];
}

/* The largest rise to g, faster than this, from a reading of the last JUMP_MS, or from the last one; 0: none. Readings
 * that a network held back come in one piece: from one to the next of them nobody knows how fast it was. */
static double jump_of(const struct mix_flow *flow, double g, int64_t at_ms, double g_per_s)
{
    double most_g = 0;
    bool compared = false;
    if (flow->count == 0 || g <= past(flow, 0)->g)
        return 0; /* it rises no more */
    for (size_t i = 0; i < flow->count; i++) {
        int64_t since_ms = at_ms - past(flow, i)->at_ms;
        double rise_g = g - past(flow, i)->g;
        if (since_ms == 0)
            continue;
        if (compared && since_ms > JUMP_MS)
            break;
        compared = true;
        if (rise_g >= MIX_JUMP_G && rise_g * 1000 > g_per_s * (double)since_ms)
            most_g = fmax(most_g, rise_g);
    }
    return most_g;
}

double mix_flow_add(struct mix_flow *flow, double g, int64_t at_ms)
{
    int64_t since_ms = flow->count > 0 ? at_ms - past(flow, 0)->at_ms : 0;
    bool gap = since_ms < 0 || since_ms > GAP_MS;
    double jump_g = gap ? 0 : jump_of(flow, g, at_ms, MIX_JUMP_G_PER_S);
    if (gap || jump_g > 0)
        flow->stop_shown = false; /* what arrives now need not have been in the air */
    if (gap || (jump_g > 0 && jump_of(flow, g, at_ms, MIX_NO_POUR_G_PER_S) > 0))
        flow->count = 0;
    /* A fast scale would fill the ring with a few ms: its newest reading then takes the place of the one
     * before, measured from the last that stays. */
    bool crowded = flow->count > 1 && at_ms - past(flow, 1)->at_ms < APART_MS;
    if (!crowded) {
        flow->newest = (flow->newest + 1) % MIX_FLOW_RING;
        if (flow->count < MIX_FLOW_RING)
            flow->count++;
    }
    flow->ring[flow->newest] = (struct mix_flow_reading){g, at_ms};
    return jump_g;
}

/* How many of the last readings tell the flow: those of the window, but at least two of a slow scale. */
static size_t recent(const struct mix_flow *flow)
{
    size_t n = 0;
    while (n < flow->count && past(flow, 0)->at_ms - past(flow, n)->at_ms <= WINDOW_MS)
        n++;
    return n < 2 && flow->count >= 2 ? 2 : n;
}

double mix_flow_g_per_s(const struct mix_flow *flow)
{
    size_t n = recent(flow);
    if (n < 2)
        return 0;
    const struct mix_flow_reading *zero = past(flow, 0); /* differences keep large times and weights exact */
    double mean_s = 0;
    double mean_g = 0;
    for (size_t i = 0; i < n; i++) {
        mean_s += (double)(past(flow, i)->at_ms - zero->at_ms) / 1000 / (double)n;
        mean_g += (past(flow, i)->g - zero->g) / (double)n;
    }
    double sgg = 0;
    double sss = 0;
    for (size_t i = 0; i < n; i++) {
        double s = (double)(past(flow, i)->at_ms - zero->at_ms) / 1000 - mean_s;
        sgg += s * (past(flow, i)->g - zero->g - mean_g);
        sss += s * s;
    }
    return sss > 0 ? sgg / sss : 0;
}

double mix_flow_landing_g(const struct mix_flow *flow)
{
    if (flow->count == 0)
        return 0;
    return past(flow, 0)->g + fmax(0, mix_flow_g_per_s(flow)) * flow->lag_ms / 1000;
}

void mix_flow_stop_shown(struct mix_flow *flow)
{
    if (flow->stop_shown || flow->count == 0)
        return;
    flow->stop_shown = true;
    flow->stop_g = past(flow, 0)->g;
    flow->stop_g_per_s = mix_flow_g_per_s(flow);
}

void mix_flow_stopped(struct mix_flow *flow, double settled_g)
{
    if (!flow->stop_shown)
        return;
    flow->stop_shown = false;
    double arrived_g = settled_g - flow->stop_g;
    double lag_ms = 1000 * arrived_g / flow->stop_g_per_s;
    if (!(flow->stop_g_per_s > 0) || arrived_g < 0 || !isfinite(lag_ms))
        return;
    lag_ms = fmin(fmax(lag_ms, MIX_LAG_LEAST_MS), MIX_LAG_MOST_MS);
    if (flow->stops < LEARN_OVER - 1)
        flow->stops++;
    flow->lag_ms += (lag_ms - flow->lag_ms) / (flow->stops + 1); /* the first guess counts as one */
}

/* Mean time between readings: a landing is only looked at then, so it is met half of this late. */
static double interval_s(const struct mix_flow *flow)
{
    size_t n = recent(flow);
    if (n < 2)
        return 0;
    return (double)(past(flow, 0)->at_ms - past(flow, n - 1)->at_ms) / 1000 / (double)(n - 1);
}

/* The flow that matters to a cue: below half a tolerance in the window it is noise of the scale. */
static double sure_flow(const struct mix_flow *flow, double tolerance_g)
{
    double g_per_s = mix_flow_g_per_s(flow);
    return g_per_s * WINDOW_MS / 1000 > tolerance_g / 2 ? g_per_s : 0;
}

static bool is_near(double to_go_g, double short_g, double g_per_s, double tolerance_g, enum mix_cue before)
{
    bool stay = before == MIX_CUE_EASE || before == MIX_CUE_STOP;
    double near_g = (stay ? EASE_LEAVE : EASE_NEAR) * tolerance_g;
    double near_s = stay ? EASE_LEAVE_S : EASE_S;
    return to_go_g <= near_g || short_g < near_s * g_per_s;
}

enum mix_cue mix_cue_of(double to_go_g, double tolerance_g, const struct mix_flow *flow, enum mix_cue before)
{
    double g_per_s = sure_flow(flow, tolerance_g);
    double short_g = to_go_g - g_per_s * flow->lag_ms / 1000; /* what lacks where it lands */
    if (to_go_g < -tolerance_g - MIX_SLACK_G)
        return MIX_CUE_OVER;
    bool lands_past = short_g < -tolerance_g - MIX_SLACK_G;
    if (to_go_g <= tolerance_g + MIX_SLACK_G && !lands_past)
        return MIX_CUE_OK;
    double early_g = g_per_s * interval_s(flow) / 2;
    double leave_g = before == MIX_CUE_STOP && g_per_s > 0 ? STOP_LEAVE * tolerance_g : 0;
    if (g_per_s > 0 && short_g <= early_g + leave_g)
        return MIX_CUE_STOP;
    return is_near(to_go_g, short_g, g_per_s, tolerance_g, before) ? MIX_CUE_EASE : MIX_CUE_POUR;
}
