/* batch_record.h - what is told of a batch: how each step came out, its facts, and batch.get and mix.plan as JSON.
 *
 * Pure functions of a batch, for all who show one: screen, record, label, lists. Shapes are contract.md sections 4, 5
 * and 5a. Judged at k_lo, as over and under are; k_aim only aims.
 * Units   grams, per cent of a step's aim; in JSON they stand in the members' names, and a number not known is null.
 * Owner   Each json_t is a new reference, NULL only when memory is gone.
 */
#pragma once

#include "station/batch.h"

#include <jansson.h>

enum step_verdict {
    STEP_NONE,   /* nothing accepted yet, or open just now */
    STEP_ON_AIM, /* within tolerance at k_lo, or accepted at 0 to go */
    STEP_SHORT,  /* less than that: left short, or asked for once more */
    STEP_OVER,   /* waits for its remedy, or is being taken out */
    STEP_LEFT,   /* too much, and a person chose to leave it */
    STEP_FOREIGN,
    STEP_TINTED,
    STEP_VERDICTS
};
/* As the screen says it; NULL for STEP_NONE. */
extern const char *const step_verdict_names[STEP_VERDICTS];

enum step_verdict batch_step_verdict(const struct batch *b, size_t step);
/* NaN where nothing was poured, and where there is no aim to be off from: a wrong tin, a tint. */
double batch_step_deviation_pct(const struct batch *b, size_t step);
/* The lots of the step's toner in order, `A17, A18`; "" where none was given. Owned by the batch. */
const char *batch_step_lot(const struct batch *b, size_t step);

enum { BATCH_FACTS = 2 * BATCH_BITS + RECIPE_PARTS + 2 };
/* What is to be told of the batch for good: `fact_tinted`, `fact_foreign`, `fact_left` (too much), `fact_short` (left
 * short). At most `most` of them; how many. The figures of tints and wrong tins stand in the batch too. */
size_t batch_facts(const struct batch *b, struct said *out, size_t most);

/* What the cup holds at the prices of the beginning; NaN where one is missing. */
double batch_cost(const struct batch *b);

/* batch.get but for station, shelf and events, which the shell knows. */
json_t *view_record(const struct batch *b, const char *currency);
json_t *view_text(const char *text); /* null for "" */
/* mix.plan of a batch just begun: colour and what goes on top. */
json_t *view_plan(const struct batch *b, const char *currency);
