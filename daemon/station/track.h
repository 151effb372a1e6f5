/* track.h - from readings to what is in the cup: what counts as poured.
 *
 * Pure: a reading and its time come in, the state moves on. A pour is the difference of two stable readings: the last
 * one before the weight began to rise (base) and the one taken at accept. Poise never tares a scale.
 * Rules   slow downward drift while nothing is poured moves the base (evaporation, at most 0.2 g/min; common practice,
 *         no source); never upward. A fall of more than half the cup's tare is a lift: the count stands until the
 *         same difference returns (2 d + 0.1 %), wherever the scale's zero is by then. Anything else asks.
 * Units   micrograms, milliseconds of the loop's clock.
 */
#pragma once

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
    bool came;          /* something came at once (jump.h) and may go again: that fall is no lift */
    int64_t before_ug;  /* the reading without it */
};

struct track {
    /* the last reading */
    bool has_now, now_stable;
    int64_t now_ug, now_ms;
    enum track_kind kind;
    /* net or gross, as the counting began; both in turn without a step to 0 tell two weights, and none is taken */
    enum track_kind keeps;
    bool mixed;
    int64_t mixed_ms; /* of the last reading of the other kind */
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
