/* status.h - a bench's screen on stdout, once or as it changes. */
#pragma once

#include "client/ask.h"

/* The screen as one JSON object with --json, else as lines. */
void status_print(struct ask *a, const json_t *screen);
