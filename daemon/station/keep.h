/* keep.h - when the reading of an open step is worth a write, so that a restart goes on from it.
 *
 * A pour must lose nothing that its tolerance would see, and a cup that stands and flickers must write nothing for
 * days. So a reading is kept when it is off the kept one by more than the larger of tolerance and interval (in a pour),
 * or by more than the interval and has stood for 3 s (the hand has stopped). Pure: what is kept, and where, is not its
 * own. Asked once a second, which is how often a pour may write. Units   micrograms, milliseconds of the loop's clock.
 */
#pragma once

#include "station/track.h"

struct keep {
    bool kept;                  /* a restart would find last and base; false: nothing was kept, or it was not written */
    int64_t last_ug, base_ug;   /* as it would find them (track.h) */
    int64_t stood_ug, stood_ms; /* the reading that stands to within d, and since when */
};

/* The journal itself tells what t holds, as after each act. */
void keep_known(struct keep *k, const struct track *t);
/* Whether what t holds is to be kept now; then it is taken for kept. A write that fails sets k->kept to false, and the
 * next call says yes. */
bool keep_due(struct keep *k, const struct track *t, int64_t d_ug, int64_t tolerance_ug, int64_t now_ms);
