/* act.h - does what a key asked for: turns pages, writes, chooses; what needs the daemon goes into the queue.
 *
 * Pure but for memory. */
#pragma once

#include "client/screen/calls.h"

/* request: an id for the case that this is a call. False: leave the screen. */
bool act_do(struct model *m, struct move move, struct moment now, const char *request, struct calls *q);
