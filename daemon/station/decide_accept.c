#include "station/decide_parts.h"

#include "mix/remedy.h"
#include "station/aims.h"
#include "station/fold_parts.h"
#include "station/remedies.h"
#include "station/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define CUP_LEAST_UG 1000000 /* less than 1 g is no cup */

/* Whether the station may grow by itself to what its parts now force: only parts not yet poured change, all fits, and
 * the total stays near what a person last agreed to. */
static bool may_grow(const struct batch *after, double total_g)
{
    if (isinf(total_g) || total_g > after->wanted_g * (1 + after->set.auto_grow_pct / 100) + MIX_SLACK_G)
        return false;
    for (size_t s = 0; s < after->recipe.steps; s++)
        if (after->step_poured[s] && batch_step_wants(after, s))
            return false;
    return batch_misfit(after, total_g) == NULL;
}

static void say_grew(const struct batch *after, double before_g, int step, struct event *e)
{
    char total[WORDS_WEIGHT], past[WORDS_WEIGHT];
    const struct recipe_part *p = &after->recipe.part[after->recipe.step[step].part];
    double aim = p->share * before_g;
    words_weight(e->grew_g, after->set.d_g, after->set.comma, total);
    words_weight(batch_part_g(after, after->recipe.step[step].part) - aim, after->set.d_g, after->set.comma, past);
    snprintf(e->text, sizeof e->text, "grew to %s g by itself: %s was %s g past", total, p->toner, past);
}

/* k_aim may stand on the very edge of the tolerance: who poured until the screen showed 0 to go is not over by the
 * half d that the scale cannot show. */
static bool on_shown_aim(const struct batch *before, const struct batch *after, int step)
{
    const struct recipe_part *p = &after->recipe.part[after->recipe.step[step].part];
    if (p->role != PART_COLOUR || p->share <= 0 || (size_t)step >= before->recipe.steps)
        return false;
    double aim = batch_step_aim_g(before, (size_t)step);
    return after->step_g[step] <= aim + before->set.d_g / 2 + MIX_SLACK_G;
}

/* Tries the event on a copy and writes into it what follows: over, or grown by itself, and what to say. step is what
 * it counts for: nothing else can have become over by it; -1: a wrong tin, which the copy puts last. With a cup
 * everything that was in it is looked at. */
static bool judge(const struct batch *b, struct event *e, int step)
{
    struct batch after;
    if (!batch_copy(&after, b))
        return false;
    double before = e->kind == EVENT_CUP ? b->target_g : batch_k_lo(b);
    if (e->short_mode == SHORT_LESS)
        before = e->total_g;
    if (!batch_fold(&after, NULL, e)) {
        batch_finish(&after);
        return false;
    }
    int over = step < 0 ? (int)after.recipe.steps - 1 : step;
    if (e->kind == EVENT_CUP)
        over = fold_find_over(&after, before);
    else if (!batch_step_over(&after, (size_t)over, before) || on_shown_aim(b, &after, over))
        over = -1;
    if (over >= 0) {
        const struct recipe_part *p = &after.recipe.part[after.recipe.step[over].part];
        double total = batch_k_lo(&after);
        if (p->role == PART_COLOUR && p->share > 0 && may_grow(&after, total)) {
            e->grew_g = total;
            say_grew(&after, before, over, e);
        } else {
            e->over = true;
            after.over = over;
            after.over_total_g = before;
            batch_over_text(&after, e->text, sizeof e->text);
        }
    }
    batch_finish(&after);
    return true;
}

static enum decision no_memory(struct fault *f)
{
    fault_set(f, FAULT_INTERNAL, NULL, NULL, "Try again.", "the accept could not be worked out");
    return REFUSED;
}

static enum decision accept_cup(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                                struct fault *f)
{
    if (!t->now_stable)
        return NOT_YET;
    if (t->now_ug < CUP_LEAST_UG && !c->tared)
        return refuse_state(f, b, "no_cup", "Put an empty cup on the scale, or say that it was tared with the cup on.",
                            "no cup stands on the scale");
    e->kind = EVENT_CUP;
    weight_of(e, t);
    e->base_ug = t->now_ug;
    e->tared = c->tared;
    e->tare_g = c->tared ? b->kind_tare_g : fmax(0, (double)t->now_ug / 1e6 - batch_content_g(b));
    return judge(b, e, -1) ? DECIDED : no_memory(f);
}

static enum decision accept_taken(const struct batch *b, const struct track *t, struct event *e, struct fault *f)
{
    char out[WORDS_WEIGHT];
    double taken = (double)(t->base_ug - t->now_ug) / 1e6;
    if (taken <= b->set.d_g / 2) {
        refuse_state(f, b, "short", "Stir, take some out, then accept.", "nothing was taken out yet");
        f->short_g = b->take_g;
        return REFUSED;
    }
    e->kind = EVENT_TAKEN;
    weight_of(e, t);
    e->counted_g = taken;
    words_weight(taken, b->set.d_g, b->set.comma, out);
    snprintf(e->text, sizeof e->text, "%s g are out", out);
    return DECIDED;
}

static enum decision too_little(const struct batch *b, struct fault *f, double short_g, const char *message)
{
    refuse_state(f, b, "short", "Pour on, or accept it as short.", message);
    f->short_g = fmax(0, short_g);
    return REFUSED;
}

static enum decision make_less(const struct batch *b, int step, double poured, struct event *e, struct fault *f)
{
    double share[MIX_MAX], g[MIX_MAX];
    size_t n = 0, which = MIX_MAX;
    for (size_t p = 0; p < b->recipe.parts && n < MIX_MAX; p++) {
        if (b->recipe.part[p].role != PART_COLOUR || b->recipe.part[p].share <= 0 || b->part_left[p])
            continue;
        share[n] = b->recipe.part[p].share;
        g[n] = batch_part_g(b, (int)p);
        if ((int)p == b->recipe.step[step].part) {
            which = n;
            g[n] += poured;
        }
        n++;
    }
    if (which == MIX_MAX || !mix_less_total(share, g, n, which, batch_tolerance(b), &e->total_g))
        return refuse_state(f, b, "less", "Wait for another tin, or leave it short.",
                            "the others would be over in a smaller batch");
    e->short_mode = SHORT_LESS;
    return DECIDED;
}

/* The aim that short is judged by: k_lo for colour (k_aim only sets aims), the addition's own for the rest. */
static bool under(const struct batch *b, int step, double poured, double *missing)
{
    struct batch after = *b; /* no history of its own is touched: only counts are read */
    after.step_g[step] += poured;
    *missing = batch_step_aim_g(b, (size_t)step) - after.step_g[step];
    after.step_short[step] = false;
    after.part_left[b->recipe.step[step].part] = false;
    return batch_step_wants(&after, (size_t)step);
}

static enum decision accept_pour(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                                 struct fault *f)
{
    double poured = (double)(t->now_ug - t->base_ug) / 1e6, missing = 0;
    bool nothing = poured <= b->set.d_g / 2;
    int step = c->really[0] ? batch_step_for(b, c->really) : b->open;
    weight_of(e, t);
    e->counted_g = nothing && poured < 0 ? 0 : poured;
    snprintf(e->lot, sizeof e->lot, "%s", c->lot);
    if (c->really[0]) {
        if (nothing)
            return too_little(b, f, 0, "nothing was poured yet");
        snprintf(e->toner, sizeof e->toner, "%s", c->really);
        if (step < 0) {
            e->part = malloc(sizeof *e->part);
            if (!e->part)
                return no_memory(f);
            *e->part = *c->part;
        }
        return judge(b, e, step) ? DECIDED : no_memory(f);
    }
    bool wants = under(b, step, poured, &missing);
    if ((wants || nothing) && c->short_mode == SHORT_NO)
        return too_little(b, f, missing, nothing ? "nothing was poured yet" : "less than the aim was poured");
    if (c->short_mode == SHORT_LESS && wants) {
        if (b->recipe.part[b->recipe.step[step].part].role != PART_COLOUR)
            return refuse_state(f, b, "less", "Leave it short, or wait for another tin.",
                                "only a toner can make the batch less");
        enum decision d = make_less(b, step, poured, e, f);
        if (d != DECIDED)
            return d;
    } else if (c->short_mode != SHORT_NO && wants) {
        e->short_mode = SHORT_COUNTED;
        e->closed = nothing;
        snprintf(e->text, sizeof e->text, "%s %s", b->recipe.part[b->recipe.step[step].part].toner,
                 nothing ? "is left short" : "is counted: another tin follows, or accept it short once more");
    }
    return judge(b, e, step) ? DECIDED : no_memory(f);
}

static enum decision accept_tint(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                                 struct fault *f)
{
    double poured = (double)(t->now_ug - t->base_ug) / 1e6;
    bool nothing = poured <= b->set.d_g / 2;
    if (nothing && c->short_mode == SHORT_NO)
        return too_little(b, f, 0, "nothing was poured yet");
    weight_of(e, t);
    e->closed = nothing;
    e->counted_g = nothing ? 0 : poured;
    snprintf(e->toner, sizeof e->toner, "%s", b->tint.toner);
    snprintf(e->lot, sizeof e->lot, "%s", c->lot);
    snprintf(e->text, sizeof e->text, nothing ? "no tint with %s" : "tinted with %s: the recipe is what is in the cup",
             b->tint.toner);
    return DECIDED;
}

enum decision decide_accept(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                            struct fault *f)
{
    if (b->state == BATCH_CUP)
        return accept_cup(b, t, c, e, f);
    if (b->state != BATCH_POUR)
        return refuse_state(f, b, b->state == BATCH_OVER ? "over" : "done",
                            b->state == BATCH_OVER ? "Choose a remedy first." : "Finish the batch, or tint it.",
                            b->state == BATCH_OVER ? "an overpour waits for its remedy" : "nothing is left to pour");
    if (t->lifted)
        return refuse_state(f, b, "lifted", "Put the cup back, or set it anew (retare).",
                            "the cup is not on the scale as it was");
    if (!t->now_stable)
        return NOT_YET;
    if (b->now == NOW_TAKE_OUT)
        return accept_taken(b, t, e, f);
    if (b->now == NOW_TINT)
        return accept_tint(b, t, c, e, f);
    return accept_pour(b, t, c, e, f);
}

void decide_begin_text(const struct batch *b, char *out, size_t size)
{
    char total[WORDS_WEIGHT];
    double k = batch_k_lo(b);
    out[0] = '\0';
    int over = fold_find_over(b, b->target_g);
    if (over < 0)
        return;
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[over].part];
    words_weight(k, b->set.d_g, b->set.comma, total);
    if (p->share > 0)
        snprintf(out, size, "what is in the cup holds much %s: the batch becomes at least %s g", p->toner, total);
    else
        snprintf(out, size, "what is in the cup holds %s, which this formula does not", p->toner);
}
