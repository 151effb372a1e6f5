/* rescue_plan.c - an overpour and the shelf as the arithmetic of mix/rescue.h takes them, and its answer as steps that
 * a hand can do. It must not know where cups come from, nor how a program is solved.
 *
 * The reducer is one component more, as in a work-off: what cups bring of it counts, and is never too much. What else
 * goes on top (hardener, additives) must not be in the cup yet.
 */
#include "station/rescue_plan.h"

#include "mix/weighable.h"
#include "station/aims.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define HALF_DROP_G 0.03 /* as a plan judges what can be weighed */
/* By so much a rescue must be cheaper than growing and taking out: a cent that a screen shows, or a weight. */
#define WORTH_MONEY 0.005

/* The problem and its answer; too large for a stack. */
struct problem {
    int part[MIX_MAX];
    double share[MIX_MAX], poured_g[MIX_MAX], price[MIX_MAX];
    bool left[MIX_MAX];
    size_t n;
    double reducer; /* grams of it for a gram of colour */
    struct mix_leftover leftover[MIX_MAX];
    const struct leftover *from[MIX_MAX];
    size_t leftovers;
    struct mix_rescue answer;
};

static bool add_part(struct problem *p, const struct batch *b, int part, double share)
{
    if (p->n == MIX_MAX)
        return false;
    p->part[p->n] = part;
    p->share[p->n] = share;
    p->poured_g[p->n] = batch_part_g(b, part);
    p->price[p->n] = b->recipe.part[part].price_per_kg;
    p->left[p->n] = b->part_left[part] || !isnan(b->part_edge_g[part]);
    p->n++;
    return true;
}

/* Colour, then the reducer that the recipe adds; shares of both together. False: something else is in the cup, or there
 * is no room for so many components. */
static bool write_parts(struct problem *p, const struct batch *b)
{
    double clean[RECIPE_PARTS];
    int reducer = -1;
    batch_clean_parts(b, 1, clean);
    for (size_t i = 0; i < b->recipe.parts; i++) {
        const struct recipe_part *part = &b->recipe.part[i];
        if (part->role == PART_REDUCER && !part->foreign && part->per_base > 0 && reducer < 0)
            reducer = (int)i;
        else if (part->role != PART_COLOUR && batch_part_g(b, (int)i) > 0)
            return false;
    }
    p->reducer = reducer >= 0 && clean[reducer] > 0 ? clean[reducer] : 0;
    for (size_t i = 0; i < b->recipe.parts; i++) {
        double share = fmax(0, b->recipe.part[i].share) / (1 + p->reducer);
        if (b->recipe.part[i].role == PART_COLOUR && !add_part(p, b, (int)i, share))
            return false;
    }
    if (p->reducer > 0 && !add_part(p, b, reducer, p->reducer / (1 + p->reducer)))
        return false;
    /* Reducer cannot be taken back: what is in already limits nothing. */
    if (p->reducer > 0)
        p->left[p->n - 1] = batch_part_g(b, reducer) > 0;
    return true;
}

static void write_leftovers(struct problem *p, const struct leftover *cup, size_t cups)
{
    for (size_t j = 0; j < cups && p->leftovers < MIX_MAX; j++) {
        struct mix_leftover *l = &p->leftover[p->leftovers];
        double known = 0;
        *l = (struct mix_leftover){.grams = cup[j].left_g};
        for (size_t i = 0; i < p->n; i++)
            known += l->share[i] = cup[j].share[p->part[i]];
        if (cup[j].bar == LEFTOVER_GOES && known > 1 - 1e-9 && cup[j].left_g > 0)
            p->from[p->leftovers++] = &cup[j];
    }
}

/* What is taken out is lost at what it is worth: else leftovers that cost nothing would be poured in for paint that is
 * thrown away, to save a spoonful of reducer. */
static double worth_per_kg(const struct problem *p)
{
    double worth = 0, grams = 0;
    for (size_t i = 0; i < p->n; i++) {
        worth += p->price[i] * p->poured_g[i];
        grams += p->poured_g[i];
    }
    return grams > 0 ? worth / grams : 0;
}

static bool solve_once(struct problem *p, const struct batch *b, mix_solve *solve, void *solver,
                       struct mix_program *room)
{
    double most_g = batch_room_g(b) * (1 + p->reducer);
    bool priced = true;
    for (size_t i = 0; i < p->n; i++)
        priced = priced && !isnan(p->price[i]);
    const struct mix_rescue_asked asked = {.share = p->share,
                                           .poured_g = p->poured_g,
                                           .left = p->left,
                                           .n = p->n,
                                           .wanted_g = b->over_total_g * (1 + p->reducer),
                                           .tol = batch_tolerance(b),
                                           .cup_g = isinf(most_g) ? NAN : most_g,
                                           .price_per_kg = priced ? p->price : NULL,
                                           .waste_per_kg = priced ? worth_per_kg(p) : 0,
                                           .leftover = p->leftover,
                                           .leftovers = p->leftovers};
    return mix_rescue(&asked, solve, solver, room, &p->answer) && p->answer.cups;
}

static void drop(struct problem *p, size_t at)
{
    p->leftovers--;
    for (size_t j = at; j < p->leftovers; j++) {
        p->leftover[j] = p->leftover[j + 1];
        p->from[j] = p->from[j + 1];
    }
}

/* The cup to do without: one of which too little to weigh would be poured, else the least where there are too many to
 * fetch; -1: all are fine. */
static int useless(const struct problem *p, double least_g)
{
    size_t used = 0;
    int least = -1;
    for (size_t j = 0; j < p->leftovers; j++) {
        double use_g = p->answer.use_g[j];
        if (!(use_g > 0))
            continue;
        used++;
        if (least < 0 || use_g < p->answer.use_g[least])
            least = (int)j;
    }
    bool small = least >= 0 && p->answer.use_g[least] < least_g - MIX_SLACK_G;
    return small || used > EVENT_RESCUE_CUPS ? least : -1;
}

static void tell(const struct problem *p, const struct batch *b, struct event_rescue *out)
{
    memset(out, 0, sizeof *out);
    out->total_g = p->answer.total_g / (1 + p->reducer);
    /* Less than the scale shows is no taking out: the edge of the tolerance takes it. */
    out->take_g = p->answer.take_g >= batch_d_g(b) ? p->answer.take_g : 0;
    for (size_t j = 0; j < p->leftovers && out->cups < EVENT_RESCUE_CUPS; j++) {
        if (!(p->answer.use_g[j] > 0))
            continue;
        struct event_rescue_cup *cup = &out->cup[out->cups++];
        memcpy(cup->batch, p->from[j]->batch, sizeof cup->batch);
        cup->grams = p->answer.use_g[j];
        cup->left_g = p->from[j]->left_g;
        cup->parts = b->recipe.parts;
        memcpy(cup->share, p->from[j]->share, cup->parts * sizeof cup->share[0]);
    }
}

/* Against each of the other two that can be done, in money where all prices are known, else in grams. */
static bool is_cheaper(struct batch *b)
{
    struct batch_remedies r;
    batch_remedies(b, &r);
    const struct remedy *other[] = {r.grow.possible && !r.grow.why ? &r.grow : NULL, r.dip.possible ? &r.dip : NULL};
    for (size_t i = 0; i < 2; i++) {
        bool priced = other[i] && !isnan(other[i]->cost) && !isnan(r.rescue.cost);
        if (other[i] && (priced ? r.rescue.cost > other[i]->cost - WORTH_MONEY
                                : r.rescue.spent_g > other[i]->spent_g - batch_d_g(b)))
            return false;
    }
    return r.rescue.possible;
}

static bool plan(struct problem *p, struct batch *b, mix_solve *solve, void *solver, struct mix_program *room,
                 struct event_rescue *out)
{
    double least_g = mix_weighable_g(batch_d_g(b), HALF_DROP_G,
                                     isnan(b->set.error_pct) || b->set.error_pct <= 0 ? 5 : b->set.error_pct);
    int none;
    do {
        if (p->leftovers == 0 || !solve_once(p, b, solve, solver, room))
            return false;
        none = useless(p, least_g);
        if (none >= 0)
            drop(p, (size_t)none);
    } while (none >= 0);
    tell(p, b, out);
    fold_offer(b, out);
    return b->rescue.cups > 0 && is_cheaper(b);
}

bool rescue_plan(struct batch *b, const struct leftover *cup, size_t cups, mix_solve *solve, void *solver,
                 struct mix_program *room, struct event_rescue *out)
{
    bool colour =
        b->state == BATCH_OVER && b->over >= 0 && b->recipe.part[b->recipe.step[b->over].part].role == PART_COLOUR;
    struct problem *p = colour && !batch_activated(b) && b->rules >= 5 ? calloc(1, sizeof *p) : NULL;
    if (!p)
        return false;
    bool found = write_parts(p, b);
    if (found)
        write_leftovers(p, cup, cups);
    found = found && plan(p, b, solve, solver, room, out);
    free(p);
    return found;
}
