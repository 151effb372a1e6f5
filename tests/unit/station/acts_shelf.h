/* acts_shelf.h - the shelf of the random walk: cups with what they really hold and what their rows tell, and a rescue
 * by them as a bench offers it. */
#pragma once

#include "solver/lpsolve.h"
#include "station/rescue_plan.h"
#include "tests/unit/station/acts_world.h"

/* Too large for a stack, and of this program alone. */
static struct mix_program shelf_room;
static struct batch shelf_trial;
static struct lpsolve shelf_solver;

static inline double cup_holds(const struct cup_on_shelf *cup)
{
    double sum = 0;
    for (int p = 0; p < PARTS; p++)
        sum += cup->in_g[p];
    return sum;
}

/* Cups of the batch's own toners in other proportions, some without one of them, with reducer, with a stranger in, or
 * activated; of some less is there than the row tells. */
static inline void fill_shelf(struct world *w)
{
    const struct recipe *r = &w->t.batch.recipe;
    w->cups = chance(w) < 0.3 ? 0 : 1 + below(w, CUPS);
    for (size_t i = 0; i < w->cups; i++) {
        struct cup_on_shelf *cup = &w->shelf[i];
        *cup = (struct cup_on_shelf){.strange = chance(w) < 0.15, .activated = chance(w) < 0.15};
        int without = (int)below(w, TONERS);
        for (size_t p = 0; p < r->parts; p++) {
            int part = part_of(r->part[p].toner);
            bool in = r->part[p].role == PART_COLOUR ? part != without && r->part[p].share > 0
                                                     : r->part[p].role == PART_REDUCER && chance(w) < 0.3;
            cup->in_g[part] = in ? (0.2 + chance(w)) * fmax(0.1, r->part[p].share) * 200 : 0;
        }
        cup->in_g[TONERS] += cup->strange ? 5 : 0;
        cup->row_g = cup_holds(cup) * (chance(w) < 0.15 ? 2 : 1);
    }
}

/* As bench/shelf_cups.c tells them: what is barred or holds a stranger is left out there, and once more here. */
static inline size_t tell_shelf(const struct world *w, struct leftover *out)
{
    const struct recipe *r = &w->t.batch.recipe;
    size_t n = 0;
    for (size_t i = 0; i < w->cups; i++) {
        const struct cup_on_shelf *cup = &w->shelf[i];
        double holds_g = cup_holds(cup);
        struct leftover *l = &out[n];
        if (!(holds_g > 1) || !(cup->row_g > 1))
            continue;
        *l = (struct leftover){.left_g = cup->row_g, .bar = cup->activated ? LEFTOVER_ACTIVATED : LEFTOVER_GOES};
        snprintf(l->batch, sizeof l->batch, "%zu", 100 + i);
        double known = 0;
        for (size_t p = 0; p < r->parts; p++)
            if (!r->part[p].foreign)
                known += l->share[p] = cup->in_g[part_of(r->part[p].toner)] / holds_g;
        l->foreign = fmax(0, 1 - known);
        n++;
    }
    return n;
}

/* What bench/rescue_offer.c does with an act that leads to an overpour. */
static inline void offer_rescue(struct world *w)
{
    struct leftover cup[CUPS];
    struct event_rescue found;
    struct batch *b = &w->t.batch;
    if (b->state != BATCH_OVER || b->events == 0 || b->history[b->events - 1].rescue)
        return;
    shelf_trial = *b;
    size_t n = tell_shelf(w, cup);
    if (n == 0 || !rescue_plan(&shelf_trial, cup, n, lpsolve_run, &shelf_solver, &shelf_room, &found))
        return;
    struct event_rescue *kept = malloc(sizeof *kept);
    assert_non_null(kept);
    *kept = found;
    b->history[b->events - 1].rescue = kept;
    fold_offer(b, kept);
    for (size_t i = 0; i < found.cups; i++) {
        const struct cup_on_shelf *used = &w->shelf[atoi(found.cup[i].batch) - 100];
        int stranger = recipe_find(&b->recipe, "X"); /* a tint may have made it a part of the colour */
        if (used->activated || (used->strange && (stranger < 0 || b->recipe.part[stranger].foreign)))
            FAIL(w, "cup %s is offered, which must stay where it is", found.cup[i].batch);
        if (found.cup[i].grams > used->row_g + 1e-6)
            FAIL(w, "%.3f g of cup %s are offered, %.3f are there", found.cup[i].grams, found.cup[i].batch,
                 used->row_g);
    }
}

static inline struct cup_on_shelf *open_cup(struct world *w)
{
    return &w->shelf[atoi(w->t.batch.cup[w->t.batch.open_cup].batch) - 100];
}

/* Out of the open cup into the one on the scale, every part by its share. */
static inline void pour_cup(struct world *w, double g)
{
    struct cup_on_shelf *cup = open_cup(w);
    double keep = 1 - g / cup_holds(cup);
    note(w, "of the cup", g);
    for (int i = 1; i < 4; i++)
        bench_reads(&w->t, display(w, w->tare_g + cup_g(w) + g * i / 4), 0, 300);
    for (int p = 0; p < PARTS; p++) {
        w->in_g[p] += cup->in_g[p] * (1 - keep);
        cup->in_g[p] *= keep;
    }
    show(w);
}

/* Not more on the shelf than its rows tell, but for what an empty cup had too much of. */
static inline void check_row(struct world *w, const struct cup_on_shelf *cup, bool was_short)
{
    if (was_short ? cup->row_g > w->slack_g : cup->row_g < cup_holds(cup) - w->slack_g)
        FAIL(w, "the row of a cup tells %.3f g, it holds %.3f", cup->row_g, cup_holds(cup));
}

/* Out of the cup that is asked for: as much as is asked, too much, or all of it where it holds less than its row told.
 */
static inline void act_cup(struct world *w)
{
    struct command c = bench_command_of(COMMAND_ACCEPT);
    const struct batch *b = &w->t.batch;
    const struct batch_cup *asked = &b->cup[b->open_cup];
    struct cup_on_shelf *cup = open_cup(w);
    double open_g = (double)track_pour_ug(&w->t.track) / 1e6;
    double go_g = round((asked->aim_g - asked->poured_g) / w->d_g) * w->d_g - open_g, holds_g = cup_holds(cup);
    bool last = b->open_cup + 1 == b->cups, much = chance(w) < 0.15;
    double pour_g = much ? fmax(0, go_g) + 20 * chance(w) : go_g;
    bool empty = pour_g > holds_g;
    if (empty ? holds_g > w->d_g : pour_g > w->d_g / 2)
        pour_cup(w, empty ? holds_g * 0.999999 : pour_g);
    c.short_mode = empty ? SHORT_COUNTED : SHORT_NO;
    if (!try_it(w, &c)) {
        c.short_mode = SHORT_COUNTED;
        if (!try_it(w, &c))
            FAIL(w, "a cup of the shelf is refused: %s", w->t.fault.why);
    }
    note(w, "cup accepted", w->t.last.counted_g);
    w->slack_g += 2 * w->d_g;
    cup->row_g -= w->t.last.shelf_g;
    if (w->t.last.short_mode == SHORT_COUNTED)
        memset(cup->in_g, 0, sizeof cup->in_g); /* whatever its row told */
    check_row(w, cup, w->t.last.short_mode == SHORT_COUNTED);
    if (last && b->state == BATCH_OVER && b->rescue_exact)
        FAIL(w, "a rescue that was done as asked asks again");
    if (last && b->state != BATCH_OVER)
        for (int p = 0; p < PARTS; p++)
            w->settled_g[p] = counted(w, p);
}
