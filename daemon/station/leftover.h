/* leftover.h - a cup of the shelf as paint for another batch: what each gram of it holds of that batch's parts.
 *
 * Pure. bench/shelf_cups.c reads the cups; the work-off and the rescue reckon with them; begin_have.c asks the same
 * rule of lines. Units   grams; shares of all that the cup holds, its reducer too, so that they sum to 1 with
 * `foreign`.
 */
#pragma once

#include "station/batch.h"

/* Why a cup must stay where it stands, whatever it holds. */
enum leftover_bar { LEFTOVER_GOES, LEFTOVER_LINE, LEFTOVER_ACTIVATED, LEFTOVER_PAST, LEFTOVER_UNWEIGHED };

struct leftover {
    char batch[24];
    double left_g;
    enum leftover_bar bar;
    double share[RECIPE_PARTS]; /* by part of the recipe that it was told by */
    double foreign;             /* of what that recipe does not hold */
};

/* Whether paint that was mixed already may join another: stricter than recipe_lines_go, since what is mixed can no more
 * be told apart. Both lines the same, or one of them not known. */
bool leftover_line_goes(const char *a, const char *b);
/* Tells the cup by a recipe: its reducer counts as the recipe's reducer, whichever it was. left_g is the caller's.
 * False: there is nothing in it. */
bool leftover_of(const struct batch *cup, const struct recipe *recipe, struct leftover *out);
