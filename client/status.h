/* status.h - a bench's screen on stdout, once or as it changes, and a screen as lines of text: what `poise status` and
 * every batch command print. */
#pragma once

#include "client/ask.h"

#include <stdio.h>

/* The screen as one JSON object with --json, else as lines. */
void status_print(struct ask *a, const json_t *screen);

/* ---- the lines (status_lines.c) ---- */

struct view {
    struct output_style style; /* with the scale's interval: weights are shown to it */
    const char *currency;      /* of the remedies' costs; "" where it is not known */
};

void view_screen(const struct view *v, const json_t *screen, FILE *to);
/* What is to go by a weight note (`weight` is its params): one line, or "" where nothing is being poured. */
void view_weight(const struct view *v, const json_t *screen, const json_t *weight, char *line, size_t size);
