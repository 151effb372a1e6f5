/* sure.h - how sure a cup's composition is: the uncertainty of each weighing carried into the shares.
 *
 * Pure functions of a batch, for the record and the closing page. Standard uncertainties (k = 1); mix/uncertainty.h has
 * the arithmetic and its source.
 */
#pragma once

#include "station/batch.h"

struct batch_sure {
    double u_g[RECIPE_PARTS], share_u_pct[RECIPE_PARTS]; /* by part; of the whole cup */
    struct said said;                                    /* in one line */
};

/* Standard uncertainty of one pour, at what stands on the pan. */
double batch_pour_u_g(const struct batch *b);
/* False: nothing is in the cup. */
bool batch_sure(const struct batch *b, struct batch_sure *out);
