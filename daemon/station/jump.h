/* jump.h - a rise too fast for a pour: a lid, a tool or another cup was put on while paint is counted.
 *
 * Pure. It refuses nothing: what stands on the pan is the painter's to judge. It is said on the screen until it is
 * taken off or accepted, and the accept keeps it, so that a record tells later where those grams came from. A hand that
 * touches the pan or pulls at the cup and goes again is no jump: only what is still there at a stable reading is said.
 * A cup that is lifted takes it along. Units   micrograms off the scale, grams in words.
 */
#pragma once

#include "text/said.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct jump {
    bool rising;     /* came at once, has not stood still yet */
    bool standing;   /* is there: to be said */
    bool zero_known; /* the scale has not been silent since: a fall to from_ug is it taken off */
    bool rested;     /* rest_ug means something */
    int64_t rest_ug; /* the last stable reading */
    int64_t from_ug; /* the reading without it; paint that ran in since counts */
    int64_t by_ug;   /* how much came; sense only while standing */
};

/* Accepted, or the step ended otherwise: what stands there now is no news. */
void jump_clear(struct jump *j);
/* One reading while a step is open. rise_g: what mix_flow_add said, 0 where this reading is a pour like any other.
 * True: what is to be said changed. */
bool jump_add(struct jump *j, double rise_g, int64_t now_ug, bool stable);
/* The cup was lifted: what stands in it went along, what was still moving means nothing. */
void jump_lifted(struct jump *j);
/* It is back, and the base was moved by so much. */
void jump_moved(struct jump *j, int64_t by_ug);
/* The scale was silent: where its zero is by now nobody knows. */
void jump_gap(struct jump *j);
/* A fall to *from_ug is that taken off, no lift. False: nothing came, or nobody can say. */
bool jump_may_go(const struct jump *j, int64_t *from_ug);
/* Grams that came at once and are still there; NaN: none. */
double jump_g(const struct jump *j);
/* What the screen says of it; nothing where nothing stands there. */
struct said jump_said(const struct jump *j);
