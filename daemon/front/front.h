/* front.h - what a bench shows, decided once: for the terminal, the page, and any other client.
 *
 * Start with struct front: all that a bench shows follows from it. front_screen makes the whole screen (contract
 * sections 5 and 5a); next.c decides the foot line, moves.c which acts are open, trouble.c what ails scale, disk and
 * clock. No client decides any of this again.
 * Pure    No I/O, no clock, no memory but the JSON it returns. It knows station, mix and text.
 * Units   grams in what is shown, micrograms off the scale; wall times in milliseconds.
 * Owner   The caller owns what a front points to; each json_t is a new reference.
 */
#pragma once

#include "mix/cue.h"
#include "station/batch.h"
#include "station/decide.h"
#include "text/said.h"

#include <jansson.h>

enum front_state { FRONT_LIVE, FRONT_STALE, FRONT_ABSENT, FRONT_SEEKING };

/* What a live scale says of itself in place of a weight. Moving: its frames bear none while the load moves, which is no
 * trouble. Mixed: net and gross in turn, so that no weight of it can be believed. */
enum front_limit { FRONT_WEIGHS, FRONT_OVER, FRONT_UNDER, FRONT_ERROR, FRONT_NO_UNIT, FRONT_MOVING, FRONT_MIXED };

/* How the last write to the disk went. */
enum front_disk { FRONT_DISK_GOOD, FRONT_DISK_FULL, FRONT_DISK_READONLY, FRONT_DISK_FAILED };

struct front_scale {
    enum front_state state;
    enum front_limit limit;
    struct said why, fix; /* what the port says of itself and what helps; code "": it says nothing */
    const char *text;     /* the same in English as `scale.why` has it, NULL or "": nothing */
    const char *cause;    /* `silent`, `strange`, `trying`, `tie`, or "" */
};

struct front {
    const char *station;
    int64_t revision;
    const struct batch *batch; /* NULL: idle */
    const struct track *track;
    const struct mix_flow *flow;
    const struct cup_tares *cups; /* of the shop; NULL: not known */
    enum mix_cue cue;             /* of the open step, by the last reading */
    bool glance;                  /* the next accept of a pour needs a second person */
    bool unkept;                  /* a practice: there is nothing to print a label of */
    bool holds;                   /* a batch is held that this bench could go on with */
    bool settled;                 /* struct settle */
    int in_s;                     /* until the station accepts by itself; 0: it does not */
    bool waiting;                 /* an accept waits for a steady weight */
    struct front_scale scale;
    enum front_disk disk;
    int64_t wall_ms;   /* now */
    int64_t use_by_ms; /* wall time at which the pot life ends, by the clock that goes on in sleep; 0: none */
    double d_g;
    bool comma;
    const char *currency;
    struct said lead;        /* a check weight or a watched pan: the next move; code "": none */
    struct said came;        /* what came at once (track.h) */
    struct said failed, due; /* of the check weight */
    struct said printing;    /* why the label of the batch just finished was not printed */
};

/* The batch as the screen sees it: NULL in idle, held or ended. */
const struct batch *front_batch(const struct front *f);
struct number_style front_style(const struct front *f);
/* {"code","args","text"}, or null where the code is "". */
json_t *front_said(const struct front *f, const struct said *s);

/* Whether the pot life of the batch shown ends within 15 min, or is over: *said tells which. *news is true for the
 * first minute of each, by the clock alone: so each is shown once, also across a restart, and nothing of it is
 * journalled. False: neither, or no pot life is known. */
bool front_pot_life(const struct front *f, struct said *said, bool *news);

/* ---- the whole screen ---- */
json_t *front_screen(const struct front *f);

/* ---- live.c: what changes without an act ---- */

/* Of next, moves, trouble, said, cautions and pot_life (but its left_s) in a screen. Where it differs from the last one
 * sent, another screen of the same revision is due. */
uint64_t front_live_hash(const json_t *screen);

/* Pours of the open step, in micrograms, at which what may be done changes: worked out once an act. */
enum { FRONT_MARKS = 12 };
struct front_marks {
    int64_t ug[FRONT_MARKS];
    size_t count;
};
/* d_g and d2_g: the scale's intervals, 0: it has no second. */
void front_marks(const struct batch *b, double d_g, double d2_g, struct front_marks *m);

/* What foot line, moves and trouble follow from, reading by reading: of two that are alike they are as well. */
struct front_key {
    enum mix_cue cue; /* these five the caller fills */
    enum front_limit limit;
    int in_s;
    bool settled, waiting;
    bool lifted;
    unsigned past;     /* which marks the weight has passed */
    int64_t weight_ug; /* where it stands still and is told; else 0 */
};
void front_key(const struct batch *b, const struct track *t, const struct front_marks *m, struct front_key *key);
bool front_same_key(const struct front_key *a, const struct front_key *b);
/* The rest, which only time or somebody else's act changes: pot life, clock, check weights, printing, the port. */
uint64_t front_clock_key(const struct front *f);

/* ---- the last reading against the open step: what `weight` adds ---- */
struct front_now {
    bool open;    /* a step is open; else the rest means nothing */
    double aim_g; /* NaN: by eye */
    double in_cup_g;
    double to_go_g;     /* aim less in cup, so that rounded to d it reaches exactly 0; NaN: by eye */
    double tolerance_g; /* NaN: none */
    double landing_g;   /* what the cup holds of it once what is in the air has landed; NaN: nothing falls */
};
void front_now(const struct front *f, struct front_now *now);
/* The same of what is given here alone: a struct front is 50 cache lines, too many for each frame. live: the scale
 * weighs. */
void front_now_of(const struct batch *b, const struct track *t, const struct mix_flow *flow, bool live, double d_g,
                  struct front_now *now);
/* The same without landing; false: no step is open. */
bool front_asked(const struct batch *b, const struct track *t, double *aim_g, double *in_cup_g, double *tolerance_g);
/* The cue while nothing flows: past, on aim, or pour. */
enum mix_cue front_resting_cue(const struct batch *b, const struct track *t);

/* Whether the weight stands still, with hysteresis, so that the foot line never flips on a still cup: true from the
 * first reading that counts as stable until the weight moves by more than half the tolerance or is unsteady for 0.5 s.
 */
struct settle {
    bool settled, unsteady;
    int64_t at_ug;       /* where it stood still */
    int64_t unsteady_ms; /* time of the first unsteady reading since */
};
void settle_add(struct settle *s, const struct track *t, int64_t tolerance_ug);
void settle_lost(struct settle *s); /* no scale, or no weight */

/* ---- the parts of the screen ---- */

/* An ACT of the contract. method is the name behind `batch.`; key NULL: no further params, else one of them. */
json_t *front_act(const struct front *f, const char *method, const char *key, json_t *value);

enum front_kind { FRONT_HAND, FRONT_KEY, FRONT_CHOOSE, FRONT_WAIT };
json_t *front_next(const struct front *f);
/* Whether an act is an accept that names a second person: its `glance` is then asked for. */
bool front_glance(const struct front *f, const json_t *act);
/* The id by which a premix is kept where nobody names another: `PM-1042`. Returns id. */
const char *front_premix_id(const struct batch *b, char id[RECIPE_ID]);
json_t *front_moves(const struct front *f);

/* What ails scale, disk or clock. False: nothing. */
struct front_trouble {
    const char *code; /* `scale_absent`, `disk_full`, `clock_wrong`, ...; lives for ever */
    struct said said, fix;
    bool scale; /* no weight can be taken */
};
bool front_trouble(const struct front *f, struct front_trouble *t);
/* `scale_over` and its kin; NULL: it weighs. */
const char *front_limit_code(enum front_limit limit);
/* Of a trouble of the scale alone, for the refusal of an act that needs a weight. */
bool front_scale_trouble(const struct front *f, struct front_trouble *t);
