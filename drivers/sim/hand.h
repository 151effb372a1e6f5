/* hand.h - carries acts out on the simulated scale, and answers each with one line.
 *
 * `ok ...` or `error ...` at once; `pour` answers `done G`, and `settle` `settled G`, when the load is at rest and the
 * frame that says so has gone out; `tare` and `zero` wait for a stable reading as the keys of a scale do, `restart`
 * until the scale is back. Other words may be said meanwhile (lift in mid-pour, say). So a test waits for lines, never
 * for a time. What a program reads (`ok`, `done`, `error WORD:`) is the same in every language.
 * Owner   The caller owns struct sim_hand; out is borrowed and flushed after each line.
 */
#pragma once
#include "drivers/sim/grammar.h"
#include "drivers/sim/sim.h"
#include <stdio.h>

enum sim_key { KEY_NONE, KEY_TARE, KEY_ZERO };

struct sim_hand {
    struct sim *sim;
    FILE *out;
    enum words_language language; /* of what stands behind `error NAME:` */
    bool pouring;                 /* a pour has not been answered */
    int64_t landed_us;            /* since then it has landed; 0: not yet */
    int settling;                 /* so many `settle` have not been answered */
    int64_t settling_us;          /* since then */
    enum sim_key key;             /* pressed, waiting for a stable reading */
    int64_t key_us;
    bool restarting; /* dark; sim->dark_until_us tells how long */
    bool quit;
};

/* Borrows both; nothing was told yet. */
void sim_hand_init(struct sim_hand *hand, struct sim *sim, enum words_language language, FILE *out);

/* Reads a line and does it, the load being up to now; an empty one or a comment is passed over without an answer. */
void sim_hand_say(struct sim_hand *hand, const char *line, int64_t now_us);

/* The answer to a line that is longer than SIM_LINE_MAX; `line` is how it begins. */
void sim_hand_refuse_line(struct sim_hand *hand, const char *line);

/* Answers what has come true since; after each sim_tick(). */
void sim_hand_look(struct sim_hand *hand, int64_t now_us);

/* True when every act has been answered. */
bool sim_hand_idle(const struct sim_hand *hand);
