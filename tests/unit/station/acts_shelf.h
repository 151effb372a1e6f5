/* acts_shelf.h - the shelf of the random walk: cups with what they really hold and what their rows tell, and a rescue
 * by them as a bench offers it. */
#pragma once

#include "solver/lpsolve.h"
#include "station/rescue_plan.h"
#include "tests/unit/station/acts_premix.h"

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

/* What the cup holds already, as a leftover brings it: some of each colour, reducer, a stranger now and then. */
static inline void have(struct world *w, struct event_begun *g)
{
    struct recipe *r = &g->recipe;
    bool strange = chance(w) < 0.2;
    for (size_t p = 0; p < r->parts; p++) {
        bool some = r->part[p].role == PART_REDUCER ? chance(w) < 0.5 : r->part[p].role == PART_COLOUR;
        double most_g = r->part[p].role == PART_COLOUR ? r->part[p].share * g->wanted_g : 20;
        if (some && chance(w) < 0.7)
            g->have_g[p] = most_g * chance(w) * (chance(w) < 0.1 ? 3 : 0.6);
    }
    if (strange) {
        r->part[r->parts] =
            (struct recipe_part){.toner = "Y", .foreign = true, .density_g_per_ml = 1.1, .price_per_kg = 10};
        r->part[r->parts].per_base = r->part[r->parts].solids_vol_pct = NAN;
        g->have_g[r->parts] = 0.3 + 3 * chance(w);
        r->step[r->steps++] = (struct recipe_step){.part = (int)r->parts++};
    }
    for (size_t p = 0; p < r->parts; p++)
        w->in_g[part_of(r->part[p].toner)] = g->have_g[p];
}

/* A batch begun from several cups: some of each, told by its content, and gone from the shelf. */
static inline void have_of_cups(struct world *w, struct event_begun *g)
{
    double before_g = cup_g(w);
    for (size_t i = 0; i < w->cups && g->haves < EVENT_HAVES; i++) {
        struct cup_on_shelf *cup = &w->shelf[i];
        double holds_g = cup_holds(cup), take_g = holds_g * chance(w);
        if (cup->strange || cup->activated || take_g < 1 || take_g > g->wanted_g)
            continue;
        note(w, "have of a cup", take_g);
        before_g += take_g;
        snprintf(g->have[g->haves].batch, sizeof g->have[0].batch, "%zu", 100 + i);
        g->have[g->haves++].grams = take_g;
        for (size_t p = 0; p < g->recipe.parts; p++) {
            int part = part_of(g->recipe.part[p].toner);
            g->have_g[p] += take_g * cup->in_g[part] / holds_g;
        }
        for (int p = 0; p < PARTS; p++) {
            w->in_g[p] += take_g * cup->in_g[p] / holds_g;
            cup->in_g[p] *= 1 - take_g / holds_g;
        }
        cup->row_g -= take_g;
    }
    if (fabs(cup_g(w) - before_g) > 1e-6)
        FAIL(w, "%.6f g came out of the cups, %.6f are in", before_g, cup_g(w));
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
    if (b->state != BATCH_OVER || b->events == 0 || b->history[b->events - 1]->rescue)
        return;
    shelf_trial = *b;
    size_t n = tell_shelf(w, cup);
    if (n == 0 || !rescue_plan(&shelf_trial, cup, n, lpsolve_run, &shelf_solver, &shelf_room, &found))
        return;
    struct event_rescue *kept = malloc(sizeof *kept);
    assert_non_null(kept);
    *kept = found;
    b->history[b->events - 1]->rescue = kept;
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

/* Folds the beginning anew with a shop's settings, densities of its own, and what is in the cup. */
static inline void begin_as(struct world *w, double d_g)
{
    struct event e;
    assert_true(event_copy(&e, w->t.batch.history[0]));
    w->d_g = d_g;
    e.settings->d_g = e.settings->tolerance_g = d_g;
    for (size_t p = 0; p < e.begun->recipe.parts; p++)
        e.begun->recipe.part[p].density_g_per_ml = 0.8 + chance(w) / 2;
    e.begun->recipe.by_volume = chance(w) < 0.7;
    if (chance(w) < 0.3)
        have(w, e.begun);
    else if (chance(w) < 0.3)
        have_of_cups(w, e.begun);
    premix(w, &e.begun->recipe);
    for (size_t s = 0; s < e.begun->recipe.steps; s++) {
        const struct recipe_part *p = &e.begun->recipe.part[e.begun->recipe.step[s].part];
        note(w, p->toner, e.begun->recipe.step[s].share);
        if (e.begun->have_g[e.begun->recipe.step[s].part] > 0)
            note(w, "have", e.begun->have_g[e.begun->recipe.step[s].part]);
    }
    batch_finish(&w->t.batch);
    batch_init(&w->t.batch);
    assert_true(batch_fold(&w->t.batch, &w->t.track, &e));
    event_finish(&e);
}
