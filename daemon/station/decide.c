#include "station/decide.h"

#include "station/aims.h"
#include "station/decide_parts.h"
#include "station/remedies.h"
#include "station/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum decision refuse_state(struct fault *f, const struct batch *b, const char *why, const char *help,
                           const char *message)
{
    fault_set(f, FAULT_STATE, NULL, why, help, "%s", message);
    snprintf(f->state, sizeof f->state, "%s", screen_state_names[b->state]);
    return REFUSED;
}

void batch_track_context(const struct batch *b, struct track_context *c)
{
    c->d_ug = (int64_t)llround(b->set.d_g * 1e6);
    c->tare_ug = isnan(b->tare_g) ? -1 : (int64_t)llround(b->tare_g * 1e6);
    c->content_ug = (int64_t)llround(batch_content_g(b) * 1e6);
    c->dip = b->state == BATCH_POUR && b->now == NOW_TAKE_OUT;
}

bool command_weighs(const struct batch *b, const struct command *c)
{
    return c->kind == COMMAND_RETARE ||
           (c->kind == COMMAND_ACCEPT && (b->state == BATCH_CUP || b->state == BATCH_POUR));
}

void weight_of(struct event *e, const struct track *t)
{
    e->has_weight = true;
    e->weight_ug = t->now_ug;
    e->base_ug = t->base_ug;
    e->stable = t->now_stable;
}

static enum decision undo(const struct batch *b, struct fault *f)
{
    if (b->state == BATCH_CUP)
        return refuse_state(f, b, "nothing", "Put the cup on and accept it.", "there is no accept to take back");
    for (size_t i = b->events; i > 0; i--) {
        const struct event *e = &b->history[i - 1];
        if (e->kind == EVENT_TAKEN || (e->kind == EVENT_RETARED && e->lost_g > 0))
            return refuse_state(f, b, "nothing", "Go on from here: what was taken out cannot be put back.",
                                "paint was taken out since the last accept");
        if (e->kind == EVENT_CUP || e->kind == EVENT_ACCEPTED)
            return DECIDED;
    }
    return refuse_state(f, b, "nothing", "Accept something first.", "there is no accept to take back");
}

static enum decision cannot(struct fault *f, const char *why, const char *message)
{
    fault_set(f, FAULT_INVALID, "choice", why, "Choose one of the remedies that the screen offers.", "%s", message);
    return REFUSED;
}

static enum decision remedy(const struct batch *b, const struct command *c, struct event *e, struct fault *f)
{
    char w[WORDS_WEIGHT];
    struct batch_remedies r;
    if (b->state != BATCH_OVER)
        return refuse_state(f, b, "not_over", "A remedy is chosen only when something is over.", "nothing is over");
    batch_remedies(b, &r);
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[b->over].part];
    e->remedy = c->remedy;
    switch (c->remedy) {
    case REMEDY_GROW:
        if (!r.grow.possible)
            return cannot(f, r.grow.why ? r.grow.why : "null", "growing does not mend this");
        if (r.grow.why) {
            fault_set(f, FAULT_WOULD_NOT_FIT, "choice", r.grow.why, "Choose dip, or move to a larger cup first.",
                      "the grown batch would not fit the %s", r.grow.why);
            return REFUSED;
        }
        e->total_g = r.grow.total_g;
        words_weight(e->total_g, b->set.d_g, b->set.comma, w);
        snprintf(e->text, sizeof e->text, "the batch is now %s g", w);
        return DECIDED;
    case REMEDY_DIP:
        if (!r.dip.possible)
            return cannot(f, "null", "taking out does not mend this");
        e->total_g = r.dip.total_g;
        e->take_g = r.take_g;
        words_weight(e->take_g, b->set.d_g, b->set.comma, w);
        snprintf(e->text, sizeof e->text, "stir, then take out %s g; it never goes back into a tin", w);
        return DECIDED;
    case REMEDY_LEAVE:
        e->total_g = p->role == PART_COLOUR ? b->over_total_g : b->target_g;
        if (r.ratio[0])
            snprintf(e->text, sizeof e->text, "%s stays as it is: the ratio is %s", p->toner, r.ratio);
        else
            snprintf(e->text, sizeof e->text, "%s stays as it is", p->toner);
        return DECIDED;
    case REMEDY_AGAIN:
        if (!r.again)
            return cannot(f, "null", "beginning again is not offered here");
        return DECIDED;
    default:
        return cannot(f, "unknown", "no such remedy");
    }
}

static enum decision retare(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                            struct fault *f)
{
    if (b->state != BATCH_POUR && b->state != BATCH_DONE)
        return refuse_state(f, b, "not_pouring", "The cup is set anew in a pour or when done.",
                            "there is no pour to set anew");
    if (!(isnan(c->lost_g) || (c->lost_g >= 0 && c->lost_g <= batch_content_g(b)))) {
        fault_set(f, FAULT_INVALID, "lost_g", "range", "Give what was lost, from 0 to what the cup held.",
                  "more lost than the cup held");
        return REFUSED;
    }
    if (!isnan(c->uncounted_g) && c->uncounted_g < 0) {
        fault_set(f, FAULT_INVALID, "uncounted_g", "negative", "Give a weight of 0 g or more.", "a weight below 0");
        return REFUSED;
    }
    if (!t->now_stable)
        return NOT_YET;
    weight_of(e, t);
    double open = (double)(t->last_ug - t->base_ug) / 1e6;
    if (b->now == NOW_TAKE_OUT)
        open = fmin(open, 0); /* what is out already stays out */
    if (b->state == BATCH_DONE)
        open = 0;
    if (!isnan(c->uncounted_g))
        open = c->uncounted_g;
    e->base_ug = t->now_ug - (int64_t)llround(open * 1e6);
    e->lost_g = c->lost_g;
    snprintf(e->text, sizeof e->text, "the cup is set anew; what was counted stands");
    return DECIDED;
}

/* What stands in the cup of the open step without an accept: it stays there, so it counts. Grams; 0: nothing. */
static double open_pour_g(const struct batch *b, const struct track *t)
{
    double open = (double)(t->last_ug - t->base_ug) / 1e6;
    bool pouring = b->state == BATCH_POUR && b->now == NOW_STEP && b->open >= 0 && t->active;
    return pouring && open > 2 * b->set.d_g ? open : 0;
}

/* What a hold counts: an open tint as well, and of a dip what is out already. */
static double held_g(const struct batch *b, const struct track *t)
{
    double open = (double)(t->last_ug - t->base_ug) / 1e6;
    if (b->state != BATCH_POUR || b->now == NOW_STEP || !t->active)
        return open_pour_g(b, t);
    double moved = b->now == NOW_TAKE_OUT ? -open : open;
    return moved > 2 * b->set.d_g ? moved : 0;
}

static enum decision tint(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                          struct fault *f)
{
    if ((b->state != BATCH_POUR && b->state != BATCH_DONE) || b->now == NOW_TAKE_OUT)
        return refuse_state(f, b, b->state == BATCH_OVER ? "over" : "not_pouring",
                            "Tint while pouring or when the batch is done.", "nothing can be tinted now");
    if (b->now == NOW_TINT)
        return refuse_state(f, b, "tint", "Accept the tint that is open, as short if nothing was poured.",
                            "a tint is open already");
    int at = recipe_find(&b->recipe, c->really);
    const struct recipe_part *p = at >= 0 ? &b->recipe.part[at] : c->part;
    if (p->role != PART_COLOUR && at >= 0 && !p->foreign) {
        fault_set(f, FAULT_INVALID, "toner", "role", "Name a toner of the bank.", "%s goes on top of the colour",
                  p->toner);
        return REFUSED;
    }
    e->part = malloc(sizeof *e->part);
    if (!e->part) {
        fault_set(f, FAULT_INTERNAL, NULL, NULL, "Try again.", "out of memory");
        return REFUSED;
    }
    *e->part = *p;
    snprintf(e->toner, sizeof e->toner, "%s", p->toner);
    if (t->active) {
        weight_of(e, t);
        e->counted_g = open_pour_g(b, t);
        e->base_ug = t->base_ug + (int64_t)llround(e->counted_g * 1e6);
    }
    snprintf(e->text, sizeof e->text, "tint with %s by eye, then accept", p->toner);
    return DECIDED;
}

static enum decision hold(const struct batch *b, const struct track *t, struct event *e, struct fault *f)
{
    if (b->state == BATCH_OVER)
        return refuse_state(f, b, "over", "Choose a remedy first.", "an overpour waits for its remedy");
    e->counted_g = held_g(b, t);
    if (t->active)
        weight_of(e, t);
    return DECIDED;
}

static enum decision finish(const struct batch *b, struct fault *f)
{
    if (b->state == BATCH_DONE)
        return DECIDED;
    return refuse_state(f, b, b->state == BATCH_OVER ? "over" : "not_done",
                        "Pour what is still asked for, or scrap the batch.", "the batch is not done");
}

enum decision decide(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                     struct fault *f)
{
    static const enum event_kind kinds[] = {
        [COMMAND_ACCEPT] = EVENT_ACCEPTED, [COMMAND_UNDO] = EVENT_UNDONE,     [COMMAND_REMEDY] = EVENT_REMEDY,
        [COMMAND_RETARE] = EVENT_RETARED,  [COMMAND_TINT] = EVENT_TINT,       [COMMAND_HOLD] = EVENT_HELD,
        [COMMAND_NOTE] = EVENT_NOTED,      [COMMAND_FINISH] = EVENT_FINISHED, [COMMAND_SCRAP] = EVENT_SCRAPPED,
    };
    event_init(e, kinds[c->kind]);
    switch (c->kind) {
    case COMMAND_ACCEPT:
        return decide_accept(b, t, c, e, f);
    case COMMAND_UNDO:
        return undo(b, f);
    case COMMAND_REMEDY:
        return remedy(b, c, e, f);
    case COMMAND_RETARE:
        return retare(b, t, c, e, f);
    case COMMAND_TINT:
        return tint(b, t, c, e, f);
    case COMMAND_HOLD:
        return hold(b, t, e, f);
    case COMMAND_FINISH:
        return finish(b, f);
    default:
        snprintf(e->text, sizeof e->text, "%s", c->text);
        return DECIDED;
    }
}
