/* decide_tint.c - a toner by eye: how its step opens, and what an accept then counts. It must not know how an event is
 * written, nor a clock. */
#include "station/decide.h"

#include "station/aims.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* It stays there, so it counts. */
double decide_open_pour_g(const struct batch *b, const struct track *t)
{
    double open = (double)(t->last_ug - t->base_ug) / 1e6;
    bool pouring = b->state == BATCH_POUR && b->now == NOW_STEP && b->open >= 0 && t->active;
    return pouring && open > 2 * b->set.d_g ? open : 0;
}

/* What it would take to take it back, said before a drop of it is poured: a gram too much of a toner with share f asks
 * for 1/f g more of the whole colour, and one that is not in the colour stays for good. */
static struct said tint_said(const struct recipe_part *p)
{
    if (p->role != PART_COLOUR) /* a hardener by eye makes no other colour */
        return say("tint_open toner=%s", p->toner);
    if (p->share > 0)
        return say("tint_back toner=%s more_g=%f", p->toner, 1 / p->share);
    return say("tint_for_good toner=%s", p->toner);
}

/* Opens a toner by eye. What the open step holds is counted first, so that the tint starts from a base of its own. */
enum decision decide_tint(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                          struct fault *f)
{
    bool rescued = b->now == NOW_TAKE_OUT || b->now == NOW_CUP;
    if ((b->state != BATCH_POUR && b->state != BATCH_DONE) || rescued) {
        fault_said(f, FAULT_STATE, NULL, b->state == BATCH_OVER ? "over" : "not_pouring", "tint_not_now");
        return decide_refuse(f, b);
    }
    if (b->now == NOW_TINT) {
        fault_said(f, FAULT_STATE, NULL, "tint", "tint_open_already");
        return decide_refuse(f, b);
    }
    int at = recipe_find(&b->recipe, c->really);
    const struct recipe_part *p = at >= 0 ? &b->recipe.part[at] : c->part;
    if (p->role != PART_COLOUR && at >= 0 && !p->foreign) {
        fault_said(f, FAULT_INVALID, "toner", "role", "tint_on_top toner=%s", p->toner);
        return REFUSED;
    }
    if (!recipe_lines_go(b->recipe.line, c->line)) {
        fault_said(f, FAULT_INVALID, "toner", "line", "tint_line toner=%s", p->toner);
        return REFUSED;
    }
    e->part = malloc(sizeof *e->part);
    if (!e->part) {
        fault_said(f, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
        return REFUSED;
    }
    *e->part = *p;
    snprintf(e->toner, sizeof e->toner, "%s", p->toner);
    if (t->active) {
        decide_weight(e, t);
        e->counted_g = decide_open_pour_g(b, t);
        if (e->counted_g > 0) /* of the step that is interrupted, whose tin that is */
            snprintf(e->lot, sizeof e->lot, "%s", batch_tin_lot(b, batch_open_toner(b)));
        e->base_ug = t->base_ug + (int64_t)llround(e->counted_g * 1e6);
    }
    e->said = tint_said(p);
    return DECIDED;
}

/* What the tint makes of the batch: a total that rose by more than the tint is said, since the step before it may hold
 * more than its aim. */
static bool tint_kept(const struct batch *b, struct event *e)
{
    struct batch after;
    batch_try(&after, b);
    bool folds = batch_fold(&after, NULL, e);
    double total_g = after.wanted_g, most_g = fmax(b->wanted_g, batch_k_aim(b)) + e->counted_g + b->set.d_g;
    e->said = total_g > most_g
                  ? say("tint_becomes toner=%s counted_g=%f total_g=%f", b->tint.toner, e->counted_g, total_g)
                  : say("tint_kept toner=%s counted_g=%f", b->tint.toner, e->counted_g);
    return folds;
}

/* Nothing of the act was written, so it may be sent again. */
static enum decision no_memory(struct fault *f)
{
    fault_said(f, FAULT_INTERNAL, NULL, NULL, "accept_failed");
    return REFUSED;
}

/* Another tin than the one that was to be added by eye. Its toner counts as any wrong tin does, and the tint stays
 * open; whether the stranger is too much is asked once the tint is given up, since a tint that is kept takes it in. */
static enum decision other_tin(const struct batch *b, const struct command *c, struct event *e, struct fault *f)
{
    bool known = recipe_find(&b->recipe, c->really) >= 0;
    snprintf(e->toner, sizeof e->toner, "%s", c->really);
    snprintf(e->lot, sizeof e->lot, "%s", c->lot[0] ? c->lot : batch_tin_lot(b, c->really));
    e->said = say(known ? "really_instead toner=%s counted_g=%f instead=%s"
                        : "foreign_instead toner=%s counted_g=%f instead=%s",
                  c->really, e->counted_g, b->tint.toner);
    if (known)
        return DECIDED;
    e->part = malloc(sizeof *e->part);
    if (!e->part)
        return no_memory(f);
    *e->part = *c->part;
    return DECIDED;
}

/* What is there counts as the tint; nothing there, said as short, gives the tint up. There is no aim that a smaller
 * batch could be made for. */
enum decision decide_tint_pour(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                               struct fault *f)
{
    double poured = (double)(t->now_ug - t->base_ug) / 1e6;
    bool nothing = poured <= b->set.d_g / 2;
    if (nothing && (c->short_mode == SHORT_NO || c->really[0])) {
        fault_said(f, FAULT_STATE, NULL, "short", "nothing_poured");
        return decide_refuse(f, b);
    }
    if (c->short_mode == SHORT_LESS) {
        fault_said(f, FAULT_STATE, NULL, "less", "less_by_eye");
        return decide_refuse(f, b);
    }
    decide_weight(e, t);
    e->closed = nothing;
    e->counted_g = nothing ? 0 : poured;
    if (c->really[0] && strcmp(c->really, b->tint.toner) != 0)
        return other_tin(b, c, e, f);
    snprintf(e->toner, sizeof e->toner, "%s", b->tint.toner);
    if (!nothing) {
        snprintf(e->lot, sizeof e->lot, "%s", c->lot[0] ? c->lot : batch_tin_lot(b, b->tint.toner));
        return tint_kept(b, e) ? DECIDED : no_memory(f);
    }
    snprintf(e->lot, sizeof e->lot, "%s", c->lot);
    e->said = say("tint_none toner=%s", b->tint.toner);
    return b->unjudged < 0 || decide_judge(b, e, b->unjudged) ? DECIDED : no_memory(f);
}
