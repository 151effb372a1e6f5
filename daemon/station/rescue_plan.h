/* rescue_plan.h - which cups of the shelf would mix an overpour right again, and how much of each.
 *
 * Pure but for the solver that is handed in. The answer goes into the event that led to the overpour (event.h), so that
 * a fold never asks again.
 */
#pragma once

#include "mix/rescue.h"
#include "station/decide.h"
#include "station/leftover.h"

/* b is in state over, and may be changed: it is used to try the offer. cup: what may go into it, oldest first. False:
 * there is no such way, or it is no cheaper than growing and taking out. */
bool rescue_plan(struct batch *b, const struct leftover *cup, size_t cups, mix_solve *solve, void *solver,
                 struct mix_program *room, struct event_rescue *out);
