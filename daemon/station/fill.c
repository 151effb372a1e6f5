/* fill.c - what the cup will hold: what goes on top, volume, weight, price, and whether cup and scale bear it. */
#include "station/aims.h"

#include <math.h>

/* What a colour part will weigh when all is poured: what is there once nothing more is asked (left short, say), else
 * its aim. */
static double part_planned_g(const struct batch *b, int part, double total_g, bool real)
{
    const struct recipe_part *p = &b->recipe.part[part];
    double poured = batch_part_g(b, part);
    if (p->share <= 0)
        return poured;
    if (b->rules >= 6 && batch_part_closed(b, part))
        return poured + batch_part_asks_g(b, part, total_g);
    bool settled = real && batch_part_done(b, part);
    for (size_t s = 0; settled && s < b->recipe.steps; s++)
        if (b->recipe.step[s].part == part && batch_colour_step_wants(b, s))
            settled = false;
    if (settled)
        return poured;
    return fmax(poured, p->share * total_g);
}

/* A foreign toner without a density counts at the colour's mean, else one stray tin would leave no volume at all. */
static double colour_ml_of(const struct batch *b, const double g[], bool *known)
{
    double ml = 0, sized_g = 0, unsized_g = 0;
    *known = true;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        if (part->role != PART_COLOUR || g[p] <= 0)
            continue;
        if (isnan(part->density_g_per_ml)) {
            unsized_g += g[p];
            if (!part->foreign)
                *known = false;
            continue;
        }
        sized_g += g[p];
        ml += g[p] / part->density_g_per_ml;
    }
    if (unsized_g > 0 && sized_g > 0)
        ml += unsized_g * ml / sized_g;
    else if (unsized_g > 0)
        *known = false;
    return ml;
}

/* Grams of the colour parts alone, out of a list by part. */
static double colour_sum(const struct batch *b, const double g[])
{
    double sum = 0;
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (b->recipe.part[p].role == PART_COLOUR)
            sum += g[p];
    return sum;
}

/* Grams of each part on top for a colour of these grams by part; real: what was poured of earlier ones counts. */
static double addition_aim(const struct batch *b, const double g[], int part, bool real)
{
    const struct recipe *r = &b->recipe;
    const struct recipe_part *p = &r->part[part];
    if (p->foreign || !(p->per_base > 0))
        return 0;
    bool known;
    double base = r->by_volume ? colour_ml_of(b, g, &known) : colour_sum(b, g);
    if (p->of_mix) {
        for (size_t i = 0; i < (size_t)part; i++) {
            if (r->part[i].role == PART_COLOUR || r->part[i].foreign)
                continue;
            double poured = batch_part_g(b, (int)i);
            double aim = real && poured > 0 ? poured : addition_aim(b, g, (int)i, real);
            base += r->by_volume ? aim / r->part[i].density_g_per_ml : aim;
        }
    }
    return base * p->per_base * (r->by_volume ? p->density_g_per_ml : 1);
}

/* From what was really poured: reducer for the colour as it came out, hardener likewise. */
double batch_addition_aim_g(const struct batch *b, int part)
{
    double g[RECIPE_PARTS] = {0};
    double total = batch_k_aim(b);
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (b->recipe.part[p].role == PART_COLOUR)
            g[p] = part_planned_g(b, (int)p, total, true);
    return addition_aim(b, g, part, true);
}

double batch_addition_aim_with_g(const struct batch *b, int part, const double add_g[RECIPE_PARTS])
{
    double g[RECIPE_PARTS] = {0};
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (b->recipe.part[p].role == PART_COLOUR)
            g[p] = batch_part_g(b, (int)p) + add_g[p];
    return addition_aim(b, g, part, true);
}

/* Colour by part if the whole became total_g: what is there already never gets less. */
static void planned(const struct batch *b, double total_g, double g[])
{
    for (size_t p = 0; p < b->recipe.parts; p++)
        g[p] = b->recipe.part[p].role == PART_COLOUR ? part_planned_g(b, (int)p, total_g, false) : 0;
}

/* What goes on top is never less than what is there: reducer cannot be taken back. */
static double planned_addition(const struct batch *b, const double g[], int part)
{
    return fmax(batch_part_g(b, part), addition_aim(b, g, part, false));
}

/* Volumes add (ASTM D5201). */
double batch_colour_ml(const struct batch *b, double total_g)
{
    double g[RECIPE_PARTS] = {0};
    bool known;
    planned(b, total_g, g);
    double ml = colour_ml_of(b, g, &known);
    return known ? ml : NAN;
}

/* Colour at this total and all that goes on top, as it will stand in the cup; what is there already never gets less. */
double batch_volume_ml(const struct batch *b, double total_g)
{
    double g[RECIPE_PARTS] = {0};
    bool known;
    planned(b, total_g, g);
    double ml = colour_ml_of(b, g, &known);
    for (size_t p = 0; p < b->recipe.parts; p++) {
        if (b->recipe.part[p].role == PART_COLOUR)
            continue;
        double add = planned_addition(b, g, (int)p);
        if (add > 0)
            ml += add / b->recipe.part[p].density_g_per_ml;
    }
    return known ? ml : NAN;
}

/* Without the cup; who compares it with the scale's capacity adds the tare. */
double batch_weight_g(const struct batch *b, double total_g)
{
    double g[RECIPE_PARTS] = {0};
    planned(b, total_g, g);
    double sum = colour_sum(b, g);
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (b->recipe.part[p].role != PART_COLOUR)
            sum += planned_addition(b, g, (int)p);
    return sum;
}

/* The cup by volume, to its fill limit, the scale by weight with the cup. What is unknown holds everything: nobody is
 * kept from pouring for want of a number. */
const char *batch_misfit(const struct batch *b, double total_g)
{
    double ml = batch_volume_ml(b, total_g);
    if (!isnan(b->cup_ml) && !isnan(ml) && ml > b->cup_ml * b->fill_pct / 100 + 1e-6)
        return "cup";
    double load = batch_weight_g(b, total_g) + (isnan(b->tare_g) ? 0 : b->tare_g);
    if (!isnan(b->set.capacity_g) && load > b->set.capacity_g + MIX_SLACK_G)
        return "scale";
    return NULL;
}

/* Colour first: what goes on top is reckoned from it. */
void batch_clean_parts(const struct batch *b, double total_g, double g[RECIPE_PARTS])
{
    for (size_t p = 0; p < b->recipe.parts; p++)
        g[p] = b->recipe.part[p].role == PART_COLOUR ? fmax(0, b->recipe.part[p].share) * total_g : 0;
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (b->recipe.part[p].role != PART_COLOUR)
            g[p] = addition_aim(b, g, (int)p, false);
}

/* Nothing of what was really poured enters: what a batch costs and fills beyond this is the price of an overpour. */
void batch_clean(const struct batch *b, double total_g, struct batch_sum *out)
{
    double g[RECIPE_PARTS] = {0};
    bool known;
    batch_clean_parts(b, total_g, g);
    out->ml = colour_ml_of(b, g, &known);
    out->g = out->cost = 0;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        out->g += g[p];
        out->cost += recipe_price(&b->recipe.part[p], g[p]);
        if (b->recipe.part[p].role != PART_COLOUR && g[p] > 0)
            out->ml += g[p] / b->recipe.part[p].density_g_per_ml;
    }
    if (!known)
        out->ml = NAN;
}

/* Both bounds are linear in the colour, so the cup for one gram tells them for all. */
double batch_room_g(const struct batch *b)
{
    struct batch_sum one;
    batch_clean(b, 1, &one);
    double room = INFINITY;
    if (!isnan(b->cup_ml) && one.ml > 0)
        room = b->cup_ml * b->fill_pct / 100 / one.ml;
    if (!isnan(b->set.capacity_g) && one.g > 0)
        room = fmin(room, (b->set.capacity_g - (isnan(b->tare_g) ? 0 : b->tare_g)) / one.g);
    return room;
}
