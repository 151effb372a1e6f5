/* begin.h - from what a person asked for to a beginning: formula, coat, product, amount, what is in the cup already.
 *
 * Used by batch.begin and by mix.plan, so that both say the same. Reads the catalogue and older batches.
 * Owner   Each returns malloc'd memory that the caller frees; NULL: *fault says why.
 */
#pragma once

#include "bench/learnt.h"
#include "daemon.h"
#include "mix/weighable.h"
#include "station/batch.h"

/* One thing that a plan or a beginning warns of. */
struct begin_warning {
    char code[24];         /* below_smallest, no_density, no_reducer, cup_small, over_capacity */
    char toner[RECIPE_ID]; /* that it is about; "": none */
    struct said said;      /* in any language */
    char text[240];        /* the same in English */
};
/* How panels came to litres. */
struct begin_estimate {
    double ml;     /* ready to spray, before the correction; NaN: the amount was not given by panels */
    double factor; /* the correction, 1 where nothing is learnt yet */
    struct learnt learnt;
};
/* Toners too small for the scale, and the premix that would dose them. */
struct begin_premix {
    char toner[MIX_MAX][RECIPE_ID];
    size_t toners;           /* 0: the scale weighs them all, or no premix helps */
    char diluent[RECIPE_ID]; /* the main component that thins them */
    struct mix_premix mix;   /* in the order of toner */
    char kept[RECIPE_ID];    /* the one of the bank that the batch takes from; "": none */
};
#define BEGIN_WARNINGS 8
struct begin_warnings {
    struct begin_warning warning[BEGIN_WARNINGS]; /* in the order in which they were found */
    size_t count;
    double smallest_g; /* colour, below which the scale errs by more than error_pct; NaN: no colour in it */
    struct begin_estimate estimate;
    struct begin_premix premix;
};

/* params as batch.begin's, station's settings from config. */
struct event_begun *begin_batch(struct daemon *d, const struct config_station *config, const json_t *params,
                                struct fault *fault);
/* The same with what it warns of; for the plan. */
struct event_begun *begin_plan(struct daemon *d, const struct config_station *config, const json_t *params,
                               struct begin_warnings *warnings, struct fault *fault);
/* The same batch once more: formula, variant, coat, amount, order and painter. */
struct event_begun *begin_again(const struct batch *b);
/* The line of a toner, "" where nobody knows it. */
void begin_line_of(struct daemon *d, const char *toner, char *out, size_t size);
/* A toner of the catalogue as a part. False: none such (-32001 with field). */
bool begin_part(struct daemon *d, const char *toner, const char *field, struct recipe_part *out, struct fault *fault);
