#include "station/recipe.h"

#include <string.h>

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

bool recipe_activates(const struct recipe *r)
{
    for (size_t i = 0; i < r->parts; i++)
        if (r->part[i].role == PART_HARDENER && (r->part[i].per_base > 0 || r->part[i].foreign))
            return true;
    return false;
}
