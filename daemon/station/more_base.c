/* more_base.c - more of the base for a reducer or hardener that is over: how much of each colour makes it right. It
 * must not know which remedy is chosen, nor why. */
#include "mix/bounds.h"
#include "station/aims.h"

#include <math.h>

enum { HALVINGS = 100 }; /* more than a double can tell apart */

/* What would be asked for in a total of k_g, by part: as everywhere, nobody pours what a tolerance covers. */
static double asked_for(const struct batch *b, double k_g, double add_g[RECIPE_PARTS])
{
    double sum = 0;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        double in_cup_g = batch_part_g(b, (int)p);
        add_g[p] = 0;
        if (part->role != PART_COLOUR || part->share <= 0 ||
            !mix_is_under(part->share, in_cup_g, k_g, batch_tolerance(b)))
            continue;
        add_g[p] = batch_part_asks_g(b, (int)p, k_g);
        sum += add_g[p];
    }
    return sum;
}

/* Whether so much of a part on top is within its tolerance once the base has become more by these grams. */
static bool is_right(const struct batch *b, int part, const double add_g[RECIPE_PARTS])
{
    double aim = batch_addition_aim_with_g(b, part, add_g);
    return !mix_is_over(1, batch_part_g(b, part), aim, batch_addition_tolerance(b, &b->recipe.part[part]));
}

/* The total from which this much more of the colour is asked for, but for a microgram. */
double batch_more_base_k_g(const struct batch *b, double more_g)
{
    double add_g[RECIPE_PARTS], low = batch_k_lo(b), high = 2 * low + more_g;
    while (high < MIX_LARGEST && asked_for(b, high, add_g) < more_g - MIX_SLACK_G)
        high *= 2;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = (low + high) / 2;
        *(asked_for(b, middle, add_g) < more_g - MIX_SLACK_G ? &low : &high) = middle;
    }
    return high;
}

/* The least total that does it. What is asked for never falls as the total grows, so halving finds it. */
bool batch_more_base(const struct batch *b, int part, double add_g[RECIPE_PARTS], double *more_g)
{
    double low = batch_k_lo(b), high = low;
    do {
        high = 2 * high + 1;
        asked_for(b, high, add_g);
        if (high > MIX_LARGEST)
            return false;
    } while (!is_right(b, part, add_g));
    for (int i = 0; i < HALVINGS; i++) {
        double middle = (low + high) / 2;
        asked_for(b, middle, add_g);
        *(is_right(b, part, add_g) ? &high : &low) = middle;
    }
    *more_g = asked_for(b, high, add_g);
    return true;
}
