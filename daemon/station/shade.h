/* shade.h - what a deviation looks like: a colour difference with its spread, or nothing where data is too thin.
 *
 * By the toners' optics where every toner in the cup has them (mix/kubelka.h), else by the shop's own measured cards,
 * where the deviation points the way in which they differ.
 * Pure functions of a batch. CIEDE2000, about 1 where a trained eye begins to see it.
 */
#pragma once

#include "station/batch.h"

#include <jansson.h>

struct shade {
    bool known;
    double value, spread; /* spread: a standard uncertainty, of the model and of the weighing */
};

/* Of a colour with these grams by part against the recipe's shares. */
struct shade batch_shade(const struct batch *b, const double grams[RECIPE_PARTS]);
/* Of one toner alone that is off_g too much (below 0: too little), all others on their aims at k_lo. */
struct shade batch_part_shade(const struct batch *b, int part, double off_g);
/* {"value","spread","said"}, null where it is unknown; said is null where there is nothing to tell. least: it is told
 * to be the least of several. A new reference. */
json_t *shade_json(const struct shade *shade, bool least, const struct number_style *style);
