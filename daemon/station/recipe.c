/* recipe.c - questions of a recipe. It must not know what is in a cup. */
#include "station/recipe.h"

#include <math.h>
#include <string.h>

/* Figures are unknown (NaN) until they are given, never 0. */
void recipe_part_init(struct recipe_part *p)
{
    memset(p, 0, sizeof *p);
    p->share = p->per_base = p->density_g_per_ml = p->price_per_kg = p->voc_pct = p->water_pct = NAN;
    p->exempt_pct = p->exempt_density_g_per_ml = p->solids_vol_pct = NAN;
}

/* By its whole id. 96 parts at most, and asked once an act: a walk is quicker than any index. */
int recipe_find(const struct recipe *r, const char *toner)
{
    for (size_t i = 0; i < r->parts; i++)
        if (strcmp(r->part[i].toner, toner) == 0)
            return (int)i;
    return -1;
}

bool recipe_part_is_mix(const struct recipe *r, int part)
{
    for (size_t i = 0; i < r->mixes; i++)
        if (r->mix[i].of == part)
            return true;
    return false;
}

bool recipe_is_premix(const struct recipe *r)
{
    return r->premix_take_g > 0;
}

const char *recipe_first_part(const struct recipe *r)
{
    return r->is_product ? r->part[0].toner : "";
}

/* Where a tint's new step goes in: behind the colour, before reducer and hardener, which are aimed from all of it. */
size_t recipe_colour_steps(const struct recipe *r)
{
    size_t n = 0;
    while (n < r->steps && r->part[r->step[n].part].role == PART_COLOUR && !r->part[r->step[n].part].foreign)
        n++;
    return n;
}

/* Nothing of a part costs nothing, also where its price is unknown: NaN would spread into every sum. */
double recipe_price(const struct recipe_part *p, double grams)
{
    return grams == 0 ? 0 : grams / 1000 * p->price_per_kg;
}

/* Solvent and two-pack share their thinners; water breaks both. */
bool recipe_lines_go(const char *a, const char *b)
{
    if (!*a || !*b || strcmp(a, b) == 0)
        return true;
    return strcmp(a, "waterborne") != 0 && strcmp(b, "waterborne") != 0;
}
