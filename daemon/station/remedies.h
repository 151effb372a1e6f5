/* remedies.h - what can be done about an overpour, with what each costs. Pure; of a batch in state over.
 *
 * Units   grams, millilitres, the shop's currency; NaN: not known. Lists run in the order of the steps, a toner named
 *         twice at its first step.
 */
#pragma once

#include "station/batch.h"

struct remedy {
    bool possible;
    double total_g, volume_ml, waste_g, cost;
    const char *why; /* NULL: it fits; else `cup`, `scale`, `foreign` */
    double add_g[RECIPE_PARTS];
};

struct batch_remedies {
    struct remedy grow, dip, leave;
    double take_g;
    double deviation_pct[RECIPE_PARTS]; /* leave; NaN: null */
    double foreign_pct;
    char ratio[64]; /* leave in hardener: the ratio that results; "" else */
    bool again;
    double again_cost;
};

void batch_remedies(const struct batch *b, struct batch_remedies *out);
/* What goes with an overpour: `over toner over_g`, or `over_foreign toner in_cup_g`. */
struct said batch_over_said(const struct batch *b);
