/* fold_rescue.c - a rescue under way: paint out, then cup after cup of the shelf, each counted by what it holds. It
 * must not know how a rescue was worked out.
 *
 * While it lasts no part asks and no aim moves (`rescuing`): what is over stays over until the last cup is in. What
 * then still stands a hair beyond its tolerance, though each act was as asked, is on its edge and asks no more.
 */
#include "station/aims.h"

#include <math.h>
#include <string.h>

void fold_offer(struct batch *b, const struct event_rescue *offer)
{
    if (offer && offer->cups <= EVENT_RESCUE_CUPS && b->cups + offer->cups <= BATCH_CUPS)
        b->rescue = *offer;
    else
        b->rescue.cups = 0;
}

bool fold_rescue_begin(struct batch *b, const struct event *e)
{
    const struct event_rescue *r = &b->rescue;
    if (r->cups == 0 || b->cups + r->cups > BATCH_CUPS)
        return false;
    b->open_cup = b->cups;
    for (size_t i = 0; i < r->cups; i++) {
        struct batch_cup *cup = &b->cup[b->cups++];
        *cup = (struct batch_cup){.aim_g = r->cup[i].grams};
        memcpy(cup->batch, r->cup[i].batch, sizeof cup->batch);
    }
    b->target_g = e->total_g;
    b->wanted_g = fmax(b->wanted_g, e->total_g);
    b->rescuing = b->rescue_exact = true;
    b->now = e->take_g > 0 ? NOW_TAKE_OUT : NOW_CUP;
    b->take_g = e->take_g;
    b->state = BATCH_POUR;
    return true;
}

/* The record tells where the paint came from, as of a leftover that the batch was begun with. */
static void remember_have(struct batch *b, const char *batch, double grams)
{
    const size_t room = sizeof b->have / sizeof b->have[0];
    size_t i = 0;
    while (i < b->haves && strcmp(b->have[i].batch, batch) != 0)
        i++;
    if (i == room || !(grams > 0))
        return;
    if (i == b->haves) {
        b->have[i] = (struct event_have){.grams = 0};
        memcpy(b->have[i].batch, batch, sizeof b->have[i].batch);
        b->haves++;
    }
    b->have[i].grams += grams;
}

/* By part into the steps, as what was in the cup from the beginning. */
void fold_rescue_count(struct batch *b, double grams)
{
    struct batch_cup *cup = &b->cup[b->open_cup];
    const struct event_rescue_cup *from = &b->rescue.cup[b->open_cup + b->rescue.cups - b->cups];
    double add_g[RECIPE_PARTS] = {0};
    for (size_t p = 0; p < b->recipe.parts && p < from->parts; p++)
        add_g[p] = grams * from->share[p];
    fold_have(b, add_g);
    cup->poured_g += grams;
    if (cup->poured_g > cup->aim_g + batch_cup_tolerance_g(b, cup) + MIX_SLACK_G)
        b->rescue_exact = false;
    remember_have(b, cup->batch, grams);
}

/* Cups that were not poured are no steps any more. */
void fold_rescue_end(struct batch *b)
{
    while (b->cups > 0 && !b->cup[b->cups - 1].done && !(b->cup[b->cups - 1].poured_g > 0) && b->rescue.cups > 0) {
        b->cups--;
        b->rescue.cups--;
    }
    b->rescue.cups = 0;
    b->rescuing = false;
}

void fold_rescue_taken(struct batch *b, bool enough)
{
    if (enough) {
        b->now = NOW_CUP;
        b->state = BATCH_POUR;
        return;
    }
    fold_rescue_end(b);
    fold_settle(b);
    fold_ask_again(b);
}

/* A stranger that stands beyond its room by less than the scale shows: nobody can take that out. */
static bool unseen_stranger(const struct batch *b, int part)
{
    return b->recipe.part[part].share <= 0 && batch_part_g(b, part) <= b->set.tolerance_g + batch_d_g(b) / 2;
}

/* A stranger goes first: growing takes in what is over of a toner, and never a stranger. -1: nothing is over. */
int fold_rescue_over(const struct batch *b, double total_g)
{
    for (size_t s = 0; s < b->recipe.steps; s++) {
        const struct recipe_part *p = &b->recipe.part[b->recipe.step[s].part];
        if (p->role == PART_COLOUR && p->share <= 0 && b->step_g[s] > 0 && batch_step_over(b, s, total_g))
            return (int)s;
    }
    return fold_find_over(b, total_g);
}

/* After the last one each colour part that is over, though each act was as asked, is on its edge; so is what no scale
 * shows, however it came. */
static void next(struct batch *b)
{
    b->cup[b->open_cup].done = true;
    if (++b->open_cup < b->cups)
        return;
    bool exact = b->rescue_exact;
    fold_rescue_end(b);
    for (size_t s = 0; s < b->recipe.steps; s++) {
        int part = b->recipe.step[s].part;
        if (b->recipe.part[part].role == PART_COLOUR && (exact || unseen_stranger(b, part)) &&
            batch_step_over(b, s, b->target_g))
            b->part_edge_g[part] = b->target_g;
    }
}

/* Out of the open cup, or of a tin by mistake: then the cup stays open. */
bool fold_cup_accepted(struct batch *b, struct track *t, const struct event *e)
{
    if (b->state != BATCH_POUR || b->now != NOW_CUP)
        return false;
    b->said = e->said;
    if (t)
        track_start(t, e->weight_ug, e->weight_ug);
    if (e->toner[0]) {
        b->rescue_exact = false;
        return fold_tin_meanwhile(b, e);
    }
    fold_rescue_count(b, e->counted_g);
    next(b);
    if (b->rescuing)
        return true;
    double before = b->target_g;
    fold_grown(b, e);
    fold_settle(b);
    if (e->over)
        fold_ask(b, fold_rescue_over(b, before), before);
    return true;
}
