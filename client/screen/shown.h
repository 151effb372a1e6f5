/* shown.h - what a bench shows, as the daemon sends it (contract sections 5 and 5a), in C.
 *
 * shown_read() turns the JSON of a `screen` into this struct, member by member under the protocol's own names. It
 * decides nothing: the next move, the moves that are open, the verdicts and the troubles stand in the JSON.
 * What is null there is NAN, "" or `said` false here. Texts are cut between characters, lists at their ends.
 * Owner   A struct shown holds one reference to its JSON, which acts point into; shown_finish lets it go. */
#pragma once

#include "text/said.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SHOWN_STEPS = 72, SHOWN_ID = 64, SHOWN_NAME = 256, SHOWN_TEXT = 256, SHOWN_MOVES = 24, SHOWN_SAIDS = 12 };

enum bench_state { BENCH_IDLE, BENCH_CUP, BENCH_POUR, BENCH_OVER, BENCH_DONE };
enum step_state { STEP_NEXT, STEP_NOW, STEP_AGAIN, STEP_DONE };
enum verdict {
    VERDICT_NONE,
    VERDICT_ON_AIM,
    VERDICT_SHORT,
    VERDICT_OVER,
    VERDICT_LEFT,
    VERDICT_FOREIGN,
    VERDICT_TINTED
};
enum cue { CUE_NONE, CUE_POUR, CUE_EASE, CUE_STOP, CUE_OK, CUE_OVER };
enum scale_state { SCALE_LIVE, SCALE_STALE, SCALE_ABSENT, SCALE_SEEKING };
enum next_kind { NEXT_HAND, NEXT_KEY, NEXT_CHOOSE, NEXT_WAIT };

/* A sentence of the daemon: its code and slots, and its English for a code that this program does not know. */
struct told {
    struct said said;
    char text[SHOWN_TEXT];
};

struct shown_step {
    char toner[SHOWN_ID], name[SHOWN_NAME], lot[SHOWN_ID], place[SHOWN_ID];
    double aim_g;    /* NAN: nothing is known yet */
    double poured_g; /* NAN or 0: nothing was poured */
    double deviation_pct;
    enum step_state state;
    enum verdict verdict;
};

/* The open step by the last reading; a `weight` note moves the last five on. */
struct shown_now {
    bool open;     /* there is an open step */
    bool take_out; /* the taking out after a dip: no toner, aims below 0 */
    char toner[SHOWN_ID], name[SHOWN_NAME];
    double aim_g, tolerance_g; /* NAN: by eye (a tint) */
    double in_cup_g, to_go_g, landing_g;
    enum cue cue;
};

struct remedy {
    bool offered;                                     /* false: null */
    double total_g, volume_ml, waste_g, cost, take_g; /* NAN: not given */
    size_t n;                                         /* of the two lists */
    double add_g[SHOWN_STEPS];                        /* in the order of the steps */
    double deviation_pct[SHOWN_STEPS];
    char ratio[SHOWN_ID]; /* leave in hardener: the ratio that results */
};

struct shown_move {
    const json_t *act; /* {"method","params"}, of the JSON held */
    const json_t *asks;
    struct told said, why; /* why: of a shut one */
    bool open;
};

struct shown_next {
    enum next_kind kind;
    struct told said, second;
    const json_t *act, *second_act; /* NULL: none */
    double in_s;                    /* the station accepts by itself in so long; NAN: it does not */
};

struct shown {
    json_t *held; /* the JSON itself */
    enum bench_state state;
    int64_t revision;
    char station[SHOWN_ID], batch[SHOWN_ID];
    char formula[SHOWN_ID], name[SHOWN_NAME], variant[SHOWN_ID], coat[SHOWN_ID], finish[SHOWN_ID];
    char order[SHOWN_NAME], painter[SHOWN_ID];
    size_t step; /* from 1; 0: none open */
    size_t n_steps, n_moves, n_cautions, n_facts;
    struct shown_step steps[SHOWN_STEPS];
    struct shown_now now;
    struct shown_next next;
    struct shown_move moves[SHOWN_MOVES];
    struct told cautions[SHOWN_SAIDS], facts[SHOWN_SAIDS];
    struct told said; /* what the station did by itself, or asks */
    bool in_trouble;
    struct told trouble, mend;
    double colour_g, spray_g, spray_ml, cup_ml; /* `fill` */
    double pot_left_s;                          /* as of sending; NAN: no pot life runs */
    bool activated;
    struct remedy grow, dip, leave, rescue;
    double again_cost; /* NAN: not offered or not known */
    char currency[8];
    bool lifted;
    enum scale_state scale;
};

/* Fills *b from a screen. False, with *b left alone, where the JSON is not an object with a state that is known. What
 * *b held before is the caller's to finish. */
bool shown_read(struct shown *b, json_t *screen);
void shown_finish(struct shown *b);

/* The move of a method whose params hold `key` with that text, or true (key NULL: whichever comes first); NULL: it is
 * not among this state's moves. */
const struct shown_move *shown_move(const struct shown *b, const char *method, const char *key, const char *value);
/* True where something was counted for a step. */
bool shown_poured(const struct shown_step *step);
/* What a step that waits still asks for, grams. */
double shown_open_g(const struct shown_step *step);

/* The printed name of a state or cue, and back. */
const char *shown_scale_name(enum scale_state state);
bool shown_scale_state(const char *name, enum scale_state *state);
const char *shown_cue_name(enum cue cue);
bool shown_cue(const char *name, enum cue *cue);

/* Small readers that the lists use too: a member's text (numbers are printed) or "" into buf; a number or NAN. */
void shown_text(const json_t *object, const char *key, char *buf, size_t size);
double shown_number(const json_t *object, const char *key);
/* A said; false, and nothing told, where it is none. */
bool told_read(struct told *t, const json_t *said);
/* Its sentence. Returns buf. */
const char *told_text(const struct told *t, enum words_language language, const struct number_style *style, char *buf,
                      size_t size);
