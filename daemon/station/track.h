/* track.h - from readings to what is in the cup: what counts as poured (track.c), and what came at once (jump.c).
 *
 * Pure: a reading and its time come in, the state moves on. A pour is the difference of two stable readings: the last
 * one before the weight began to rise (base) and the one taken at accept. Poise never tares a scale.
 * Rules   slow downward drift while nothing is poured moves the base (evaporation, at most 0.2 g/min; common practice,
 *         no source); never upward. A fall of more than half the cup's tare is a lift: the count stands until the
 *         same difference returns (2 d + 0.1 %), wherever the scale's zero is by then. Anything else asks.
 * Units   micrograms, milliseconds of the loop's clock.
 */
#pragma once

#include "text/said.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define TRACK_WINDOW 64 /* readings kept for the host's own stability rule */

enum track_kind { TRACK_KIND_UNKNOWN, TRACK_KIND_NET, TRACK_KIND_GROSS };

struct track_reading {
    int64_t weight_ug;
    int stable; /* 1, 0, or -1: the frame says nothing, the host's rule holds */
    enum track_kind kind;
    int64_t at_ms;
};

/* What the fold knows and the tracker needs. */
struct track_context {
    int64_t d_ug;
    int64_t tare_ug;    /* -1: not known */
    int64_t content_ug; /* all that is counted in the cup */
    bool dip;           /* paint is being taken out */
    bool came;          /* something came at once (struct jump) and may go again: that fall is no lift */
    int64_t before_ug;  /* the reading without it */
};

struct track {
    /* the last reading */
    bool has_now, now_stable;
    int64_t now_ug, now_ms;
    enum track_kind kind;
    /* net, gross or not said, as it began; two of them in turn without a step to 0 tell two weights, and none is taken
     */
    bool has_kept; /* keeps means something */
    enum track_kind keeps;
    int64_t kept_ug; /* the last reading of that kind */
    bool mixed;
    int64_t mixed_ms; /* of the last reading of another kind */
    /* while no step is open: the first weight of 1 g or more that stood still since the pan was empty */
    bool stood;
    int64_t stood_ug;
    /* the open step */
    bool active;     /* base is set */
    int64_t base_ug; /* reading of the cup with all that is counted */
    int64_t last_ug; /* last stable reading since, the one that stands while lifted */
    int64_t high_ug; /* last reading before a fall, stable or not */
    /* drift: the highest stable reading of the present 1.5 s, and when the base was last moved */
    int64_t drift_high_ug, drift_from_ms, base_ms;
    bool has_drift;
    /* lifted */
    bool lifted;
    int64_t low_ug;  /* the lowest plateau while lifted, or the 0 it was set to */
    int64_t fall_ug; /* the first fall: the difference that must return */
    bool has_low;
    /* the host's rule: a ring of the last 0.6 s */
    int64_t ring_low_ug[TRACK_WINDOW], ring_high_ug[TRACK_WINDOW], ring_ms[TRACK_WINDOW];
    size_t ring_count, ring_next;
};

enum track_note { TRACK_NOTHING, TRACK_LIFTED, TRACK_BACK };

void track_init(struct track *t);
/* Counting starts from this reading: cup accepted, pour accepted, set anew. */
void track_start(struct track *t, int64_t base_ug, int64_t last_ug);
/* A batch left the scale: nothing is counted any more. The last reading stays. */
void track_stop(struct track *t);
/* Moves on by one reading. */
enum track_note track_add(struct track *t, const struct track_reading *r, const struct track_context *c);
/* What the open step has in the cup beyond what is counted: the last reading's, or while lifted the one that stands. */
int64_t track_pour_ug(const struct track *t);
/* The port was closed or silent: a window of stable readings must begin anew. */
void track_gap(struct track *t);

/* ---- jump.c: a rise too fast for a pour: a lid, a tool or another cup was put on while paint is counted ----
 *
 * It refuses nothing: what stands on the pan is the painter's to judge. The screen shows it until it is taken off
 * or accepted, and the accept keeps it, so that a record tells later where those grams came from. A hand that touches
 * the pan or pulls at the cup and goes again is no jump: only what is still there at a stable reading is shown. A cup
 * that is lifted takes it along. */
struct jump {
    bool rising;     /* came at once, has not stood still yet */
    bool standing;   /* is there: to be said */
    bool zero_known; /* the scale has not been silent since: a fall to from_ug is it taken off */
    bool rested;     /* rest_ug means something */
    int64_t rest_ug; /* the last stable reading */
    int64_t from_ug; /* the reading without it; paint that ran in since counts */
    int64_t by_ug;   /* how much came; sense only while standing */
};

/* Accepted, or the step ended otherwise: what stands there now is no news. */
void jump_clear(struct jump *j);
/* One reading while a step is open. rise_g: what mix_flow_add said, 0 where this reading is a pour like any other.
 * True: what is to be said changed. */
bool jump_add(struct jump *j, double rise_g, int64_t now_ug, bool stable);
/* The cup was lifted: what stands in it went along, what was still moving means nothing. */
void jump_lifted(struct jump *j);
/* It is back, and the base was moved by so much. */
void jump_moved(struct jump *j, int64_t by_ug);
/* The scale was silent: where its zero is by now nobody knows. */
void jump_gap(struct jump *j);
/* A fall to *from_ug is that taken off, no lift. False: nothing came, or nobody can say. */
bool jump_may_go(const struct jump *j, int64_t *from_ug);
/* Grams that came at once and are still there; NaN: none. */
double jump_g(const struct jump *j);
/* What the screen says of it; nothing where nothing stands there. */
struct said jump_said(const struct jump *j);
