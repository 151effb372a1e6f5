/* aims.h - what the cup is to become: totals, the aim of each step, what is asked for next.
 *
 * Pure functions of a batch. Judged at k_lo, aimed at k_aim (mix/aim.h has both).
 * Units   grams, millilitres.
 */
#pragma once

#include "mix/aim.h"
#include "station/batch.h"

/* The interval that holds at what stands on the pan: the cup and all that is counted. */
double batch_d_g(const struct batch *b);
/* The station's; where a scale's second range has begun, at least its interval: no reading could meet less. */
struct mix_tolerance batch_tolerance(const struct batch *b);
/* The same of a reducer or hardener, whose aim is its own: share 1 of it. */
struct mix_tolerance batch_addition_tolerance(const struct batch *b, const struct recipe_part *p);
/* Counted of a part, over all its steps. */
double batch_part_g(const struct batch *b, int part);
/* What the cup holds of a part's toner, whichever tin it came from: of a premix nothing, of what it is made of its
 * share of it. For records, labels and leftovers; a step asks for what its own tin gives. */
double batch_toner_g(const struct batch *b, int part);
/* The share of the colour that a part's toner shall have, likewise. */
double batch_toner_share(const struct batch *b, int part);
/* Every step of the part was poured. */
bool batch_part_done(const struct batch *b, int part);
/* Everything counted in the cup. */
double batch_content_g(const struct batch *b);
/* Colour counted in the cup, wrong tins with it. */
double batch_colour_g(const struct batch *b);
double batch_k_lo(const struct batch *b);
double batch_k_aim(const struct batch *b);
/* A step's own aim and tolerance. */
double batch_step_aim_g(const struct batch *b, size_t step);
/* What the step should hold at k_lo: what it is judged by. */
double batch_step_judged_aim_g(const struct batch *b, size_t step);
double batch_step_tolerance_g(const struct batch *b, size_t step);
/* Of what a rescue pours out of a cup of the shelf. */
double batch_cup_tolerance_g(const struct batch *b, const struct batch_cup *cup);
/* The step that a toner's weight counts for: the first of that toner not poured yet, else its last; -1: none. */
int batch_step_for(const struct batch *b, const char *toner);
/* Whether the step wants more paint, judged at k_lo. */
bool batch_step_wants(const struct batch *b, size_t step);
/* The step to open next: what earlier components need, smallest share first; then the first not poured; -1: done. */
int batch_next_step(const struct batch *b);
/* Whether a step's part is over its aim and tolerance, at a total (colour) or its own aim. */
bool batch_step_over(const struct batch *b, size_t step, double total_g);
/* Volume (NaN where a density is missing) and weight of the finished cup if the colour became total_g. */
double batch_volume_ml(const struct batch *b, double total_g);
double batch_weight_g(const struct batch *b, double total_g);
double batch_colour_ml(const struct batch *b, double total_g);
/* Whether cup and scale hold it: NULL, or `cup`, or `scale`. */
const char *batch_misfit(const struct batch *b, double total_g);
/* Grams to add of a part on top (reducer, hardener) for a colour of these weights by part. */
double batch_addition_aim_g(const struct batch *b, int part);
/* The same once the cup holds these grams by part more of the colour than was poured. */
double batch_addition_aim_with_g(const struct batch *b, int part, const double add_g[RECIPE_PARTS]);
/* Nothing more of this part is asked for: its last step was closed short. */
bool batch_part_closed(const struct batch *b, int part);
/* What would be asked for of a colour part in a total of total_g, grams: 0 where its tin is empty, or where it ended on
 * the edge of its tolerance in a total that is no smaller. What a tolerance covers is in it. */
double batch_part_asks_g(const struct batch *b, int part, double total_g);
/* More of the base, so that what a cup holds of a part on top is within its tolerance: grams to add by part into add_g,
 * and their sum. False: no amount does it, since every tin is empty. */
bool batch_more_base(const struct batch *b, int part, double add_g[RECIPE_PARTS], double *more_g);
/* The total of the colour in which so many grams more of the base are asked for. */
double batch_more_base_k_g(const struct batch *b, double more_g);
/* Grams of each part without error for this much colour: shares, and what goes on top of them. */
void batch_clean_parts(const struct batch *b, double total_g, double g[RECIPE_PARTS]);
/* The same in sum. */
struct batch_sum {
    double g, ml, cost; /* ml, cost NaN where a density or a price is missing */
};
void batch_clean(const struct batch *b, double total_g, struct batch_sum *out);
/* The most colour that cup and scale hold with what goes on top; INFINITY where neither is known. */
double batch_room_g(const struct batch *b);

/* ---- for aims.c and fill.c: the colour's own part (colour.c) ----
 * What goes on top is aimed from it, never it from that. */

/* Whether no later step is of the same toner: it takes what the whole toner still lacks, the others stand for
 * themselves. */
bool batch_last_of_part(const struct batch *b, size_t step);
/* Of a colour step with a share: its aim in a batch of total_g, and whether it wants more paint, judged at k_lo. */
double batch_colour_step_aim_g(const struct batch *b, size_t step, double total_g);
bool batch_colour_step_wants(const struct batch *b, size_t step);
