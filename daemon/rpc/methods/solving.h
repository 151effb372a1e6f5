/* solving.h - what the calls that solve a linear program share: the library while it is needed, and its refusals.
 *
 * Thread  solving_enter and solving_leave on the loop, the rest on the inquiry's helper thread.
 */
#pragma once

#include "mix/workoff.h"
#include "rpc/methods/inquiry.h"
#include "solver/lpsolve.h"

/* One question more of this kind. False: so many wait already that the answer would come late (-32004 `busy`). */
bool solving_enter(struct daemon *d, struct fault *fault);
void solving_leave(struct daemon *d);
/* Opens the library. False: it is not installed, and the inquiry's fault says so. */
bool solving_open(struct lpsolve *l, struct inquiry *r);
/* There may be an answer, but it was not found in time (-32004 `slow`): the second best is never shown as the best. */
void solving_gave_up(struct inquiry *r);
/* `why` of a work-off, null where the leftover is used. barred: what bars each, NULL: only lines do. */
json_t *solving_why(const struct mix_workoff *w, size_t n, const char *const barred[]);
