/* painter.h - what a painter does at a bench of the machine: puts on weight, looks at the screen, presses keys.
 *
 * Helpers wait for what they name, and fail the test when it does not come (machine.h).
 */
#pragma once

#include "tests/vm/machine.h"

/* Watches all stations: their screens and weights come from now on. */
void painter_watch(struct machine *m);
/* A batch call with station, revision of the newest screen and a new request added; fails the test on a refusal. The
 * screen after it. `params` is taken over, NULL: none. */
json_t *painter_act(struct machine *m, enum machine_line line, const char *method, json_t *params);
/* The same, to be refused: the error's code. */
int painter_refused(struct machine *m, enum machine_line line, const char *method, json_t *params);
/* The scale shows this, steady, and the station has read it. */
void painter_weigh(struct machine *m, enum machine_line line, double grams);
/* The same after a pour: it rises in ten moving readings first, and the station has read each of them. */
void painter_pour(struct machine *m, enum machine_line line, double grams);
/* Until the screen says that the scale is live, stale or absent. */
void painter_wait_scale(struct machine *m, enum machine_line line, const char *state);
/* Asks for the screen as it is now: none is sent for a reading alone. */
void painter_look(struct machine *m, enum machine_line line);
/* A number of the newest screen, such as "now", "to_go_g"; object NULL: of the screen itself. Fails where it is none.
 */
double painter_number(struct machine *m, enum machine_line line, const char *object, const char *member);
const char *painter_text(struct machine *m, enum machine_line line, const char *member);
/* What step `i` (from 0) has in the cup. */
double painter_poured(struct machine *m, enum machine_line line, size_t i);
/* Whether the station was ever told this weight since seen_count was set to 0. */
bool painter_saw(const struct machine *m, enum machine_line line, double grams);
