/* load.h - what stands on the simulated scale, and what the scale makes of it.
 *
 * The world: a pan, a cup, its content, a hand that pours, paint still in the air. The scale: a dead time, a
 * first-order filter, noise, drift, a zero and a tare. Start at load_step(): it moves both by one step of 5 ms.
 * Units   Grams as double (a simulator's truth, not a record), milliseconds as int.
 * Owner   The caller owns struct load; it holds no pointer and needs no finish.
 * Time    Only what load_step() counts. No clock, no I/O, and with a given seed always the same numbers.
 * Mass    Nothing is made or lost: tin + air + cup stays what it was (tests/unit/sim/test_load.c).
 */
#pragma once
#include <stdbool.h>
#include <stdint.h>

enum {
    LOAD_STEP_MS = 5,
    LOAD_FALL_STEPS = 30,   /* 150 ms: paint falls about 11 cm from tin to cup */
    LOAD_LAG_MAX_MS = 5000, /* longest dead time */
    LOAD_LAG_STEPS = LOAD_LAG_MAX_MS / LOAD_STEP_MS + 1,
};

/* The scale interval d, always 1, 2 or 5 times a power of ten. */
struct load_interval {
    int step;     /* 1, 2 or 5 */
    int exponent; /* -6 to 2: d = step x 10^exponent g */
};

/* What the scale is like; fixed but for drift. */
struct load_settings {
    struct load_interval d;
    double capacity_g;      /* above it by more than 9 d the scale says over */
    double noise_g;         /* standard deviation of what is shown */
    double drift_g_per_min; /* of the scale's zero; negative looks like evaporation */
    int settle_ms;          /* a change is marked stable about this long after it, 0 to 20000 */
    int lag_ms;             /* dead time before the filter, 0 to LOAD_LAG_MAX_MS */
    uint64_t seed;          /* of the noise */
};

/* A pour by hand: the flow ramps up, eases near its end, and what left the tin last is still in the air. */
struct load_pour {
    bool open;           /* from load_pour() until the last of it has landed */
    double left_g;       /* still in the tin */
    double landed_g;     /* of this pour, in the cup */
    double flow_g_per_s; /* when in full flow */
    double age_ms;       /* since it began */
};

enum load_status { LOAD_OK, LOAD_OVER, LOAD_UNDER };

struct load {
    struct load_settings set;
    double cup_g;     /* the empty cup; 0: none, what is poured stands on the pan itself */
    double content_g; /* in the cup (or on the pan) */
    bool lifted;      /* the cup is in the hand: the pan is empty, the content stays */
    struct load_pour pour;
    double air_g[LOAD_FALL_STEPS]; /* a ring: what lands at each of the next steps */
    int air_at;
    double past_g[LOAD_LAG_STEPS]; /* a ring: what stood on the pan, for the dead time */
    int past_at;
    double filtered_g; /* gross, after dead time and filter, with drift */
    double drift_g;    /* so far */
    double noise_g;    /* as drawn last */
    int noise_age_ms;
    double zero_g;     /* gross that reads 0 */
    double tare_g;     /* taken off above the zero */
    double band_low_g; /* the readings since band_ms began lie between these */
    double band_high_g;
    int band_ms;
    uint64_t random;
};

/* What the display says now. */
struct load_reading {
    int64_t steps;      /* net weight in units of d */
    int64_t tare_steps; /* tare in units of d */
    bool stable;
    bool net; /* a tare is in force */
    enum load_status status;
};

/* d as a number of grams; false when g is not 1, 2 or 5 times a power of ten from 0.000001 to 500. */
bool load_interval_of(double g, struct load_interval *out);
double load_interval_g(struct load_interval d);

/* An empty pan at rest, reading 0. */
void load_init(struct load *load, const struct load_settings *set);

/* Moves world and scale on by LOAD_STEP_MS. */
void load_step(struct load *load);

/* What really stands on the pan, in grams. */
double load_on_pan_g(const struct load *load);
/* What of the pour is between tin and cup, in grams. */
double load_in_air_g(const struct load *load);
/* The display. */
struct load_reading load_read(const struct load *load);
/* True when nothing moves: no pour, and the filter has come to what is on the pan, and the display is stable. */
bool load_settled(const struct load *load);

/* Acts of the hand. Each returns NULL, or why it cannot be done (a sentence's second half, for an error line). */
const char *load_cup(struct load *load, double g); /* takes away what stands there, puts an empty cup on */
const char *load_off(struct load *load);           /* takes it away for good */
const char *load_lift(struct load *load);          /* into the hand, with its content */
const char *load_put(struct load *load);           /* back on the pan */
const char *load_pour(struct load *load, double g, double flow); /* begins a pour of g at flow g/s */
const char *load_stop(struct load *load);                        /* ends it; what is in the air still lands */
const char *load_add(struct load *load, double g);               /* at once: a check weight, a brush put down */
const char *load_remove(struct load *load, double g);            /* at once: a dip, a stick taken out */

/* Keys of the scale; at the present reading, whether steady or not. */
void load_tare(struct load *load);
void load_zero(struct load *load);
/* The power was off: the zero is what now stands on the pan, the filter starts there, the tare is forgotten. */
void load_power_up(struct load *load);
