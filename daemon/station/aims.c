/* aims.c - what each step is to hold, and what is asked next. It must not know how the cup came to be so. */
#include "station/aims.h"

#include <math.h>

/* Grams counted of the step's toner by its other steps. */
static double others_g(const struct batch *b, size_t step)
{
    return batch_part_g(b, b->recipe.step[step].part) - b->step_g[step];
}

/* At a total of the colour; what goes on top has its own aim. */
static double step_aim_at(const struct batch *b, size_t step, double total_g)
{
    int part = b->recipe.step[step].part;
    const struct recipe_part *p = &b->recipe.part[part];
    if (p->role != PART_COLOUR)
        return fmax(0, batch_addition_aim_g(b, part) - others_g(b, step));
    return p->share > 0 ? batch_colour_step_aim_g(b, step, total_g) : 0;
}

double batch_step_aim_g(const struct batch *b, size_t step)
{
    return step_aim_at(b, step, batch_k_aim(b));
}

/* Where k_aim stands above k_lo a person may pour to either: only this one judges. */
double batch_step_judged_aim_g(const struct batch *b, size_t step)
{
    return step_aim_at(b, step, batch_k_lo(b));
}

/* Grams to both sides. The last step of a toner named twice is judged for the whole toner, so it has the whole
 * toner's tolerance; a step before it has its own share's. */
double batch_step_tolerance_g(const struct batch *b, size_t step)
{
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[step].part];
    if (p->role != PART_COLOUR)
        return mix_tolerance_g(1, batch_step_aim_g(b, step), batch_addition_tolerance(b, p));
    if (p->share <= 0)
        return b->set.tolerance_g;
    double share = batch_last_of_part(b, step) ? p->share : b->recipe.step[step].share;
    return mix_tolerance_g(share, batch_k_lo(b), batch_tolerance(b));
}

double batch_cup_tolerance_g(const struct batch *b, const struct batch_cup *cup)
{
    return mix_tolerance_g(1, cup->aim_g, batch_tolerance(b));
}

/* An aim of less than a microgram (no per cent of reducer at all) is nothing to pour. */
static bool addition_wants(const struct batch *b, size_t step)
{
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[step].part];
    double aim = batch_addition_aim_g(b, b->recipe.step[step].part);
    return mix_is_under(1, batch_part_g(b, b->recipe.step[step].part), aim, batch_addition_tolerance(b, p)) &&
           aim > MIX_SLACK_G;
}

/* A step that was closed short never wants again, nor does what nobody planned. */
bool batch_step_wants(const struct batch *b, size_t step)
{
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[step].part];
    if (p->role == PART_COLOUR)
        return batch_colour_step_wants(b, step);
    return !b->step_short[step] && !p->foreign && addition_wants(b, step);
}

/* The open one among several of a toner, since a tin in the hand is meant for what is still to come. */
int batch_step_for(const struct batch *b, const char *toner)
{
    int part = recipe_find(&b->recipe, toner), found = -1;
    for (size_t s = 0; part >= 0 && s < b->recipe.steps; s++) {
        if (b->recipe.step[s].part != part)
            continue;
        found = (int)s;
        if (!b->step_poured[s])
            break;
    }
    return found;
}

/* Smallest share first: an overshoot on a small share raises the total most, so it should happen while the large ones
 * are open and can follow (simulated: the worst rescue falls from 13 pours to 6). */
int batch_next_step(const struct batch *b)
{
    int best = -1;
    for (size_t s = 0; s < b->recipe.steps; s++) {
        const struct recipe_part *p = &b->recipe.part[b->recipe.step[s].part];
        if (p->role != PART_COLOUR || !b->step_poured[s] || !batch_step_wants(b, s))
            continue;
        if (best < 0 || p->share < b->recipe.part[b->recipe.step[best].part].share)
            best = (int)s;
    }
    if (best >= 0)
        return best;
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (batch_step_wants(b, s))
            return (int)s;
    return -1;
}

/* What was left, or ended at 0 to go on an edge, is settled and asks no more; a stray toner has a as its whole room. */
bool batch_step_over(const struct batch *b, size_t step, double total_g)
{
    int part = b->recipe.step[step].part;
    const struct recipe_part *p = &b->recipe.part[part];
    double poured = batch_part_g(b, part);
    if (b->part_left[part] || !isnan(b->part_edge_g[part]))
        return false;
    if (p->role == PART_COLOUR)
        return p->share > 0 ? mix_is_over(p->share, poured, total_g, batch_tolerance(b))
                            : poured > b->set.tolerance_g + MIX_SLACK_G;
    if (p->foreign)
        return poured > b->set.tolerance_g + MIX_SLACK_G;
    double aim = batch_addition_aim_g(b, part);
    /* Reducer that came with a leftover, where none is asked for: nothing to choose. */
    if (aim <= MIX_SLACK_G)
        return false;
    return mix_is_over(1, poured, aim, batch_addition_tolerance(b, p));
}
