/* colour.h - the colour's own part of aims.h, for aims.c and fill.c. What goes on top is aimed from it, never it from
 * that. Units   grams.
 */
#pragma once

#include "station/batch.h"

/* Whether no later step is of the same toner: it takes what the whole toner still lacks, the others stand for
 * themselves. */
bool batch_last_of_part(const struct batch *b, size_t step);
/* Of a colour step with a share: its aim in a batch of total_g, and whether it wants more paint, judged at k_lo. */
double batch_colour_step_aim_g(const struct batch *b, size_t step, double total_g);
bool batch_colour_step_wants(const struct batch *b, size_t step);
