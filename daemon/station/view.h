/* view.h - the screen, the record and the plan as JSON: pure functions of a batch and the last reading.
 *
 * Shapes are contract.md section 5. Units in the members' names; a number not known is null.
 * Owner   Each returns a new reference, NULL only when memory is gone.
 */
#pragma once

#include "mix/cue.h"
#include "station/batch.h"

#include <jansson.h>

/* What the screen shows beside the batch. */
struct view_live {
    const char *station;
    int64_t revision;
    const char *scale_state, *scale_why, *scale_cause; /* why NULL: none; cause as port_cause */
    enum mix_cue cue;
    int64_t use_by_ms; /* wall time, 0: none */
    const char *currency;
    const char *message;    /* overrides the batch's, NULL: does not */
    bool checking;          /* that message leads a check weight or a watched pan: it is the next move */
    const char *caution[2]; /* of the scale, beside the batch's; NULL: none */
};

/* b NULL: idle. t: the station's tracker. */
json_t *view_screen(const struct batch *b, const struct track *t, const struct view_live *live);
/* to go, in cup of the open step by the last reading, grams. False: nothing is open. */
bool view_now(const struct batch *b, const struct track *t, double *aim_g, double *in_cup_g, double *tolerance_g);
/* batch.get but for station, shelf and events, which the shell knows. */
json_t *view_record(const struct batch *b, const char *currency);
json_t *view_number(double value); /* at most 6 decimals; null for NaN and infinities */
json_t *view_money(double value);
json_t *view_text(const char *text); /* null for "" */
/* mix.voc of these grams by part, as the method answers it; null where a figure is missing. */
json_t *view_voc(const struct recipe *r, const double grams[]);
/* mix.plan of a batch just begun: colour and what goes on top. */
json_t *view_plan(const struct batch *b, const char *currency);
