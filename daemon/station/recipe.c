/* recipe.c - questions of a recipe. It must not know what is in a cup. */
#include "station/recipe.h"

#include <math.h>
#include <string.h>

void recipe_part_init(struct recipe_part *p)
{
    memset(p, 0, sizeof *p);
    p->share = p->per_base = p->density_g_per_ml = p->price_per_kg = p->voc_pct = p->water_pct = NAN;
    p->exempt_pct = p->exempt_density_g_per_ml = p->solids_vol_pct = NAN;
}

int recipe_find(const struct recipe *r, const char *toner)
{
    for (size_t i = 0; i < r->parts; i++)
        if (strcmp(r->part[i].toner, toner) == 0)
            return (int)i;
    return -1;
}

size_t recipe_colour_steps(const struct recipe *r)
{
    size_t n = 0;
    while (n < r->steps && r->part[r->step[n].part].role == PART_COLOUR && !r->part[r->step[n].part].foreign)
        n++;
    return n;
}

double recipe_price(const struct recipe_part *p, double grams)
{
    return grams == 0 ? 0 : grams / 1000 * p->price_per_kg;
}

bool recipe_lines_go(const char *a, const char *b)
{
    if (!*a || !*b || strcmp(a, b) == 0)
        return true;
    return strcmp(a, "waterborne") != 0 && strcmp(b, "waterborne") != 0;
}
