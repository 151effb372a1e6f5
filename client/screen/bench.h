/* bench.h - the station's screen, as the daemon sends it, in C.
 *
 * bench_read() turns the JSON of a `screen` into this struct, field by field under the protocol's own names. What is
 * null there is NAN or "" here. Texts are cut at their buffers' ends, at a whole character. Lists longer than
 * BENCH_STEPS are cut too. Pure: the JSON stays the caller's, nothing here points into it. */
#ifndef POISE_CLIENT_SCREEN_BENCH_H
#define POISE_CLIENT_SCREEN_BENCH_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { BENCH_STEPS = 72, BENCH_ID = 64, BENCH_NAME = 128, BENCH_TEXT = 256 };

enum bench_state { BENCH_IDLE, BENCH_CUP, BENCH_POUR, BENCH_OVER, BENCH_DONE };
enum step_state { STEP_NEXT, STEP_NOW, STEP_AGAIN, STEP_DONE };
enum cue { CUE_NONE, CUE_POUR, CUE_EASE, CUE_STOP, CUE_OK, CUE_OVER };
enum scale_state { SCALE_LIVE, SCALE_STALE, SCALE_ABSENT, SCALE_SEEKING };

struct bench_step {
    char toner[BENCH_ID];
    char name[BENCH_NAME];
    double aim_g;    /* NAN: nothing is known yet */
    double poured_g; /* NAN or 0: nothing was poured */
    enum step_state state;
};

struct bench_now {
    bool open;     /* there is an open step */
    bool take_out; /* the taking out after a dip: no toner, aims below 0 */
    char toner[BENCH_ID];
    char name[BENCH_NAME];
    double aim_g, in_cup_g, to_go_g; /* NAN: by eye (a tint) or not known */
    double tolerance_g;
    double scale_shows_g; /* what the scale's own display reads at the aim */
    enum cue cue;
};

struct remedy {
    bool offered; /* false: null */
    bool fits;
    double total_g, volume_ml, waste_g, cost, take_g; /* NAN: not given */
    size_t n;                                         /* of the two lists */
    double add_g[BENCH_STEPS];                        /* in the order of the steps */
    double deviation_pct[BENCH_STEPS];
    char why[BENCH_TEXT]; /* why it does not fit, or is not offered */
    char ratio[BENCH_ID]; /* leave in hardener: the ratio that results */
};

struct bench {
    enum bench_state state;
    int64_t revision;
    char station[BENCH_ID];
    char batch[BENCH_ID];
    char formula[BENCH_ID], name[BENCH_NAME], variant[BENCH_ID], coat[BENCH_ID], finish[BENCH_ID];
    char order[BENCH_NAME], painter[BENCH_ID];
    size_t step; /* from 1; 0: none open */
    size_t n_steps;
    struct bench_step steps[BENCH_STEPS];
    struct bench_now now;
    double total_g, wanted_g, cup_ml, fill_ml;
    struct remedy grow, dip, leave;
    bool again; /* `begin again` is offered */
    double again_cost;
    char currency[8];
    bool lifted;
    enum scale_state scale;
    char scale_why[BENCH_TEXT];
    char scale_cause[BENCH_ID]; /* `silent`, `strange`, `trying`, `tie`, or "" */
    char caution[BENCH_TEXT];   /* all of them, with `; ` between */
    char message[BENCH_TEXT];
    bool checking; /* the message leads a check weight: it is the next move */
    char use_by[BENCH_ID];
};

/* What a step still asks for, grams: its aim, less what was poured before. Below 0 for one that is over. */
double bench_step_open_g(const struct bench_step *step);
/* True where something was counted for it. */
bool bench_step_poured(const struct bench_step *step);
/* The step that opens after the present one, or NULL: what grew first, its smallest first, then the book's order. */
const struct bench_step *bench_step_after(const struct bench *b);

/* Fills *b from a screen. False, with *b left alone, where the JSON is not an object with a state that is known. */
bool bench_read(struct bench *b, const json_t *screen);

/* The printed name of a state or cue, and back. */
const char *bench_scale_name(enum scale_state state);
bool bench_scale_state(const char *name, enum scale_state *state);
const char *bench_cue_name(enum cue cue);
bool bench_cue(const char *name, enum cue *cue);

/* Small readers that the other lists use too: a member's text (numbers are printed) or "" into buf; a number or NAN. */
void bench_text(const json_t *object, const char *key, char *buf, size_t size);
double bench_number(const json_t *object, const char *key);

/* Copies text and cuts it at a whole UTF-8 character. */
void bench_copy(char *buf, size_t size, const char *text);

#endif
