/* contents.c - what the cup holds toner by toner, a premix counted as what it is made of. It must not know which tin is
 * to be poured next: a step asks for a premix as for any toner.
 *
 * So there are two ways to ask how much of a part is in the cup:
 *   batch_part_g    by tins, for aims, growth, remedies, and what is taken from stock
 *   batch_toner_g   by toners, for the record, label, cost, VOC, and a leftover that goes into another cup
 * Both sum to the same weight.
 */
#include "station/aims.h"

#include <math.h>

/* A premix is in the cup, but no toner of the formula: what it is made of is told in its place. */
double batch_toner_g(const struct batch *b, int part)
{
    const struct recipe *r = &b->recipe;
    double grams = recipe_part_is_mix(r, part) ? 0 : batch_part_g(b, part);
    for (size_t i = 0; i < r->mixes; i++)
        if (r->mix[i].toner == part)
            grams += r->mix[i].share * batch_part_g(b, r->mix[i].of);
    return grams;
}

/* What the formula says of it, while that still stands: a premix is never made to the last figure, and what it is off
 * by is told as any other deviation. */
double batch_toner_share(const struct batch *b, int part)
{
    const struct recipe *r = &b->recipe;
    double share = recipe_part_is_mix(r, part) ? 0 : r->part[part].share;
    for (size_t i = 0; i < r->mixes; i++) {
        if (r->mix[i].toner != part)
            continue;
        if (!isnan(r->mix[i].wanted))
            return r->mix[i].wanted; /* the formula's own figure */
        share += r->mix[i].share * r->part[r->mix[i].of].share;
    }
    return share;
}
