/* late.h - keys that come at the wrong moment: on a page that nobody has read yet, or while a move is unanswered.
 *
 *   Enter, or `.` that speaks to the daemon, within ENTER_QUIET_MS of a new page   waits, is shown so, and is done once
 *                                                     the page has stood; refused in words if it becomes another page
 *   Enter within ENTER_TWICE_MS of an Enter, on a new page                         refused in words: a double tap
 *   another key while one waits                                                    is done; the one that waited is
 * refused what writes or chooses while a move is unanswered                              refused in words
 *
 * None is dropped without a word. Pure. */
#pragma once

#include "client/screen/keys.h"

enum { ENTER_TWICE_MS = 300 };

/* What Enter (or `.`) asks for where the foot line says `act`. */
struct move late_move(const struct model *m, enum act act, uint32_t value, bool dot, struct moment now);
/* The key waits for its page to have stood. */
void late_wait(struct model *m, bool dot, struct moment now);
/* True once a key that waited may be done: *press. One whose page or foot line became another is refused. */
bool late_is_due(struct model *m, struct moment now, struct press *press);
/* How long the loop may sleep: until a key is due, else `most_ms`. */
int late_sleep_ms(const struct model *m, struct moment now, int most_ms);
/* Whether this must be refused while a move is unanswered. */
bool late_is_refused(const struct model *m, enum act act);
