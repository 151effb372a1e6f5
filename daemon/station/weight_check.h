/* weight_check.h - is the scale right: a check weight put on and taken off again, and an empty pan watched for a while.
 *
 * Pure. A check takes three readings, empty, loaded, empty again. What is judged is loaded less the mean of the two
 * empty ones, so that a slow drift of the zero does not count as an error of the weight (the ABA cycle of weighing
 * practice, as in OIML R 111-1 annex C; from memory). An empty pan that does not come back fails too.
 * Units   micrograms off the scale; grams and d in the outcome.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum check_next { CHECK_NONE, CHECK_EMPTY, CHECK_LOADED, CHECK_AGAIN, CHECK_DONE };

struct check {
    enum check_next next; /* the reading that is wanted now */
    double grams;         /* the check weight's nominal */
    double tolerance_g;
    int64_t empty_ug, loaded_ug, again_ug; /* as far as taken */
};

struct check_outcome {
    double error_g, error_d; /* what the scale shows beyond the nominal */
    double zero_g, zero_d;   /* what the empty pan shows afterwards beyond before */
    bool passed;
};

/* `none`, `empty`, `loaded`, `again`, `done`. */
const char *check_next_name(enum check_next next);
void check_begin(struct check *c, double grams, double tolerance_g);
/* What a steady reading is while one is wanted; a tenth of the weight tells a loaded pan from an empty one. */
enum check_sight {
    CHECK_FITS,       /* the one wanted */
    CHECK_ON_ALREADY, /* for the empty pan: as heavy as the check weight, so it lies there */
    CHECK_NOT_ON,     /* for the loaded pan: as empty as it was */
    CHECK_EMPTIED,    /* the same, lighter than it was: something had stood there; check_rebase takes this as empty */
    CHECK_STILL_ON,   /* for the second empty pan: loaded */
    CHECK_BELOW       /* the same, lighter than it was: what lay below the weight went with it */
};
enum check_sight check_look(const struct check *c, int64_t weight_ug);
/* Takes it; true: that was the last. */
bool check_take(struct check *c, int64_t weight_ug);
/* Of a pan that proves to be emptied only now: this is what empty reads. */
void check_rebase(struct check *c, int64_t weight_ug);
/* Of a check that is done; d_g at the load, empty_d_g with the pan empty: two intervals on a multi-interval scale. */
void check_judge(const struct check *c, double d_g, double empty_d_g, struct check_outcome *out);

/* ---- an empty pan, watched ---- */

#define DRIFT_SLOTS 128

struct drift {
    int64_t from_ms, for_ms;
    double low_g[DRIFT_SLOTS], high_g[DRIFT_SLOTS], sum_g[DRIFT_SLOTS];
    int count[DRIFT_SLOTS];
};

struct drift_outcome {
    enum drift_kind { DRIFT_STEADY, DRIFT_DRIFTS, DRIFT_DRAUGHT } kind;
    double d_per_min; /* of the straight line through the readings, rising is positive */
    double span_d;    /* how far they reach to both sides of it */
};

/* `steady`, `drift`, `draught`. */
const char *drift_kind_name(enum drift_kind kind);
void drift_begin(struct drift *w, int64_t now_ms, int64_t for_ms);
void drift_add(struct drift *w, int64_t now_ms, double grams);
/* False: too few readings to say anything. Steady: all within 1 d. Drift: a line that goes 1 d or more lies in them,
 * with at most 1 d to each side (or a tenth of the way it went). Else draught: they tremble or swing. */
bool drift_judge(const struct drift *w, double d_g, struct drift_outcome *out);
