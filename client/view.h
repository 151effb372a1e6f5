/* view.h - a station's screen as lines of text: what `poise status` and every batch command print. */
#pragma once

#include "client/figure.h"

#include <jansson.h>
#include <stdbool.h>
#include <stdio.h>

struct view {
    struct figure_style style;
    int decimals;         /* of a gram, as the scale shows it */
    const char *currency; /* of the remedies' costs; "" where it is not known */
};

void view_screen(const struct view *v, const json_t *screen, FILE *to);
/* What is to go once the scale shows weight_g: one line, or "" where nothing is being poured. `weight` is the params of
 * a weight note. */
void view_weight(const struct view *v, const json_t *screen, const json_t *weight, char *line, size_t size);
