/* reading.c - the last reading against the open step: to go, in cup, where it lands, and whether it stands still.
 *
 * On the way of each frame. It must not know how any of it is worded.
 */
#include "front/front.h"
#include "mix/aim.h"

#include <math.h>
#include <stdlib.h>

#define UNSTEADY_MS 500 /* a still cup may tremble for so long */

/* Grams; what the open step counted already and what stands on the pan beyond it. */
__attribute__((hot)) bool front_asked(const struct batch *b, const struct track *t, double *aim_g, double *in_cup_g,
                                      double *tolerance_g)
{
    *aim_g = b->asked.aim_g;
    *in_cup_g = b->asked.counted_g + (b->asked.running ? (double)track_pour_ug(t) / 1e6 : 0);
    *tolerance_g = b->asked.tolerance_g;
    return b->asked.open;
}

/* A weight half an interval past its aim would round away from 0, and one half an interval short as well: 0 would never
 * be shown. The microgram makes the first of them 0. */
static double to_go_of(double aim_g, double in_cup_g, double d_g)
{
    if (isnan(aim_g))
        return NAN;
    int64_t ug = llround((aim_g - in_cup_g) * 1e6), d_ug = llround(d_g * 1e6);
    if (ug < 0 && d_ug > 0 && -2 * ug % d_ug == 0 && -2 * ug / d_ug % 2 == 1)
        ug++;
    return (double)ug / 1e6;
}

/* On the way of each frame. landing_g is NaN where nothing falls, where the scale is not live, and where less than one
 * interval is on its way: a landing that flickers by 1 d says nothing. */
__attribute__((hot)) void front_now_of(const struct batch *b, const struct track *t, const struct mix_flow *flow,
                                       bool live, double d_g, struct front_now *now)
{
    *now = (struct front_now){.landing_g = NAN};
    now->open = b && front_asked(b, t, &now->aim_g, &now->in_cup_g, &now->tolerance_g);
    if (!now->open)
        return;
    now->to_go_g = to_go_of(now->aim_g, now->in_cup_g, d_g);
    bool flows = b->asked.running && !t->lifted && !isnan(now->tolerance_g) && flow && flow->count > 0;
    if (!flows || !live)
        return;
    double falling_g = mix_flow_landing_g(flow) - (double)t->now_ug / 1e6;
    if (falling_g >= d_g)
        now->landing_g = now->in_cup_g + falling_g;
}

void front_now(const struct front *f, struct front_now *now)
{
    bool live = f->scale.state == FRONT_LIVE && f->scale.limit == FRONT_WEIGHS;
    front_now_of(f->batch, f->track, f->flow, live, f->d_g, now);
}

/* By tolerance alone: without flow there is nothing to ease or to stop. */
enum mix_cue front_resting_cue(const struct batch *b, const struct track *t)
{
    double aim, in_cup, tolerance;
    if (b && b->state == BATCH_OVER)
        return MIX_CUE_OVER;
    if (!b || !front_asked(b, t, &aim, &in_cup, &tolerance) || isnan(tolerance) || t->lifted)
        return MIX_CUE_POUR;
    if (in_cup > aim + tolerance + MIX_SLACK_G)
        return MIX_CUE_OVER;
    return in_cup >= aim - tolerance - MIX_SLACK_G ? MIX_CUE_OK : MIX_CUE_POUR;
}

/* Hysteresis, as an edge that flickers would blink: settled stays until the weight has gone by more than half the
 * tolerance, or has been unsteady for UNSTEADY_MS. */
__attribute__((hot)) void settle_add(struct settle *s, const struct track *t, int64_t tolerance_ug)
{
    if (t->now_stable) {
        *s = (struct settle){.settled = true, .at_ug = t->now_ug};
        return;
    }
    if (!s->settled)
        return;
    if (!s->unsteady)
        s->unsteady_ms = t->now_ms;
    s->unsteady = true;
    if (2 * llabs(t->now_ug - s->at_ug) > tolerance_ug || t->now_ms - s->unsteady_ms >= UNSTEADY_MS)
        s->settled = false;
}

/* Without a weight nothing stands still: the next stable reading settles anew. */
void settle_lost(struct settle *s)
{
    *s = (struct settle){0};
}
