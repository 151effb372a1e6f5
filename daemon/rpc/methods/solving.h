/* solving.h - what the calls that solve a linear program share: the solver while it is needed, and its refusals.
 *
 * Thread  solving_enter and solving_leave on the loop, the rest on the inquiry's helper thread.
 */
#pragma once

#include "mix/workoff.h"
#include "rpc/methods/inquiry.h"
#include "solver/solver.h"

/* One question more of this kind. False: so many wait already that the answer would come late (-32004 `busy`). */
bool solving_enter(struct daemon *d, struct fault *fault);
void solving_leave(struct daemon *d);
/* Makes the solver ready for one question. program: path of poise-solve, which outlives the question. */
void solving_begin(struct solver *s, const struct inquiry *r);
/* The inquiry's fault after a question without an answer: there may be one, but it was not found in time (-32004
 * `slow`), or the solver could not be started. The second best is never shown as the best. */
void solving_failed(struct inquiry *r, const struct solver *s);
/* `why` of a work-off, null where the leftover is used. barred: what bars each, NULL: only lines do. */
json_t *solving_why(const struct mix_workoff *w, size_t n, const char *const barred[]);
