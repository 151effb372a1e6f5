/* begin_bed.c - the order in which a batch's colour is poured: the formula's own, or a bed. It must not know amounts.
 *
 * The order is decided once, at the beginning, and stands in the recipe's steps; so the journal keeps it, a batch begun
 * by the other order folds as before, and no later rule asks which it was.
 */
#include "bench/begin_parts.h"

#include "rpc/rpc.h"

#include <string.h>

/* Of the largest toner, poured first: enough to bury what a small one is too much by, with most of it still to come.
 * Simulated (4,000 cups each, design): cups that need a remedy fall from 37 to 13 % (ground, 400 g). */
#define BED 0.30

/* `bed` of the call, else of the station. */
static bool order_of(struct beginning *c, bool *bed)
{
    const char *order = NULL;
    if (!rpc_get_text(c->params, "pour_order", &order, c->fault))
        return false;
    *bed = order ? strcmp(order, "bed") == 0 : c->config->pour_order == POUR_BED;
    return !order || *bed || strcmp(order, "formula") == 0 ||
           fault_said(c->fault, FAULT_INVALID, "pour_order", NULL, "member_choice field=%s given=%s choices=%s",
                      "pour_order", order, "formula, bed");
}

/* The colour's parts from small to large, each once; the formula's order where two are alike. How many. */
static size_t by_size(const struct recipe *r, int part[RECIPE_PARTS])
{
    size_t n = 0;
    for (size_t p = 0; p < r->parts; p++) {
        if (r->part[p].role != PART_COLOUR)
            continue;
        size_t at = n++;
        for (; at > 0 && r->part[part[at - 1]].share > r->part[p].share; at--)
            part[at] = part[at - 1];
        part[at] = (int)p;
    }
    return n;
}

/* 30 % of the largest, the others from small to large, the rest of the largest. A toner that the formula names twice
 * has one step here: why it was parted is gone with the order. */
static void make_bed(struct recipe *r)
{
    struct recipe_step top[RECIPE_PARTS];
    int part[RECIPE_PARTS];
    size_t colour = recipe_colour_steps(r), tops = r->steps - colour, n = by_size(r, part);
    if (n < 2)
        return;
    memcpy(top, &r->step[colour], tops * sizeof *top);
    double largest = r->part[part[n - 1]].share;
    r->steps = 0;
    r->step[r->steps++] = (struct recipe_step){.part = part[n - 1], .share = BED * largest};
    for (size_t i = 0; i + 1 < n; i++)
        r->step[r->steps++] = (struct recipe_step){.part = part[i], .share = r->part[part[i]].share};
    r->step[r->steps++] = (struct recipe_step){.part = part[n - 1], .share = (1 - BED) * largest};
    memcpy(&r->step[r->steps], top, tops * sizeof *top);
    r->steps += tops;
}

/* Only the order of the steps changes: shares and aims stay what the formula says. */
bool begin_bed(struct beginning *c)
{
    bool bed;
    if (!order_of(c, &bed))
        return false;
    if (bed)
        make_bed(&c->begun->recipe);
    return true;
}
