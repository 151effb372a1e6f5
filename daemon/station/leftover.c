/* leftover.c - what a cup of the shelf holds, told by the parts of another recipe. It must not know a shelf, nor how
 * much of the cup is wanted. */
#include "station/leftover.h"

#include "station/aims.h"

#include <string.h>

bool leftover_line_goes(const char *a, const char *b)
{
    return !*a || !*b || strcmp(a, b) == 0;
}

/* The part that the paint counts for; -1: the recipe does not hold it. What a wrong tin brought is no part of it. */
static int part_of(const struct recipe *recipe, const struct recipe_part *paint)
{
    int at = recipe_find(recipe, paint->toner);
    for (size_t p = 0; at < 0 && paint->role == PART_REDUCER && p < recipe->parts; p++)
        if (recipe->part[p].role == PART_REDUCER && !recipe->part[p].foreign)
            at = (int)p;
    return at >= 0 && recipe->part[at].foreign ? -1 : at;
}

bool leftover_of(const struct batch *cup, const struct recipe *recipe, struct leftover *out)
{
    double content_g = batch_content_g(cup);
    memset(out, 0, sizeof *out);
    memcpy(out->batch, cup->id, sizeof out->batch);
    if (!(content_g > 0))
        return false;
    if (batch_activated(cup))
        out->bar = LEFTOVER_ACTIVATED;
    else if (!leftover_line_goes(cup->recipe.line, recipe->line))
        out->bar = LEFTOVER_LINE;
    for (size_t p = 0; p < cup->recipe.parts; p++) {
        double share = batch_part_g(cup, (int)p) / content_g;
        int at = share > 0 ? part_of(recipe, &cup->recipe.part[p]) : -1;
        if (at >= 0)
            out->share[at] += share;
        else if (share > 0)
            out->foreign += share;
    }
    return true;
}
