/* cue.h - what the hand shall do now: pour, ease, stop.
 *
 * A pour does not end where the scale reads: paint is in the air, and the scale's filter runs behind.
 * From the last readings comes the flow, from past stops the lag; reading + flow x lag is where the weight
 * lands if the hand stops now. Start with mix_flow_init, give every reading to mix_flow_add, ask mix_cue_of.
 * Units   grams, milliseconds, g/s. Only differences of grams and times matter.
 * Owner   The caller owns struct mix_flow, one a station; no memory of its own. Time comes in with the
 *         reading: no clock.
 * Learning: when the cue first becomes stop, mix_flow_stop_shown; when the weight has settled,
 *         mix_flow_stopped. So the lag holds the hand's reaction too.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum mix_cue { MIX_CUE_POUR, MIX_CUE_EASE, MIX_CUE_STOP, MIX_CUE_OK, MIX_CUE_OVER };

/* pour, ease, stop, ok, over; never NULL. */
const char *mix_cue_name(enum mix_cue cue);

/* Before anything was learnt: 0.25 s of reaction, 0.1 s in the air, a filter, and some caution, since a
 * stop too soon costs a drop more and one too late an overpour. */
#define MIX_LAG_FIRST_MS 800.0
#define MIX_LAG_LEAST_MS 50.0
#define MIX_LAG_MOST_MS  2500.0
#define MIX_FLOW_RING    40 /* readings at most 15 ms apart cover the 0.5 s that the flow is taken from */

struct mix_flow {
    struct mix_flow_reading {
        double g;
        int64_t at_ms;
    } ring[MIX_FLOW_RING];
    size_t newest; /* place of the last reading; sense only where count > 0 */
    size_t count;
    double lag_ms;       /* learnt, MIX_LAG_LEAST_MS to MIX_LAG_MOST_MS */
    unsigned stops;      /* learnt from so far; counts no farther than matters */
    bool stop_shown;     /* a stop waits to be learnt from */
    double stop_g;       /* the reading when stop was shown */
    double stop_g_per_s; /* and the flow */
};

/* Empty, with MIX_LAG_FIRST_MS. */
void mix_flow_init(struct mix_flow *flow);

/* Forgets the readings, keeps what was learnt: at a new step, a lifted cup, a tare. */
void mix_flow_forget(struct mix_flow *flow);

/* A hand pours up to 100 g/s out of a large tin. What comes twice as fast is doubtful: a scale's filter makes a thing
 * put on the pan look no faster than that. What comes five times as fast is no pour. Common practice, no source. */
#define MIX_JUMP_G          20.0
#define MIX_JUMP_G_PER_S    200.0
#define MIX_NO_POUR_G_PER_S 500.0

/* One reading. Grams of a rise of MIX_JUMP_G and more that was faster than MIX_JUMP_G_PER_S within the last 0.2 s, else
 * 0; nothing is learnt from a stop before it. A time before the last one (another clock), a gap of more than 1 s, or
 * such a rise faster than MIX_NO_POUR_G_PER_S begins anew. */
double mix_flow_add(struct mix_flow *flow, double g, int64_t at_ms);

/* Flow by least squares over the last 0.5 s; 0 with fewer than two readings. May be negative. */
double mix_flow_g_per_s(const struct mix_flow *flow);

/* Where the weight lands if the hand stops now: last reading + flow x lag; a fall adds nothing. 0 without
 * a reading. */
double mix_flow_landing_g(const struct mix_flow *flow);

/* The cue became stop: remembers reading and flow. A second call before mix_flow_stopped changes nothing. */
void mix_flow_stop_shown(struct mix_flow *flow);

/* The weight settled at settled_g: what arrived since the stop, over the flow then, is the lag; bounded,
 * and averaged with what was learnt before (half of the way at the first stop, then a third, then a quarter). Nothing
 * is learnt without a stop, from a trickle, or from a fall. */
void mix_flow_stopped(struct mix_flow *flow, double settled_g);

/* The cue. to_go_g: aim less what is in the cup by the last reading; tolerance_g of this step; before: the
 * cue shown last, so that it does not flicker (MIX_CUE_POUR at the beginning of a step). */
enum mix_cue mix_cue_of(double to_go_g, double tolerance_g, const struct mix_flow *flow, enum mix_cue before);
