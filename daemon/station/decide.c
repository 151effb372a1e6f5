/* decide.c - commands against a batch, one function each. It must not know how an event is written, nor a clock. */
#include "station/decide.h"

#include "station/aims.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* In micrograms, as the tracker counts; asked for each reading, so it copies and works nothing out. */
void batch_track_context(const struct batch *b, struct track_context *c)
{
    c->d_ug = (int64_t)llround(b->set.d_g * 1e6);
    c->tare_ug = isnan(b->tare_g) ? -1 : (int64_t)llround(b->tare_g * 1e6);
    c->content_ug = (int64_t)llround(batch_content_g(b) * 1e6);
    c->dip = b->state == BATCH_POUR && b->now == NOW_TAKE_OUT;
}

/* The rest work on counts alone and go on while a scale is unplugged. */
bool command_weighs(const struct batch *b, const struct command *c)
{
    return c->kind == COMMAND_RETARE ||
           (c->kind == COMMAND_ACCEPT && (b->state == BATCH_CUP || b->state == BATCH_POUR));
}

/* Below this nobody is asked whose paint it was: it is within what the step tolerates or the scale shows. */
double decide_uncounted_g(const struct batch *b)
{
    return fmax(batch_d_g(b), b->asked.tolerance_g > 0 ? b->asked.tolerance_g : 0) + MIX_SLACK_G;
}

/* Undo gives the weight back to the step before: paint of the open step would go with it. */
static bool uncounted(const struct batch *b, struct fault *f, double poured_g)
{
    if (!(poured_g > decide_uncounted_g(b)))
        return false;
    fault_said(f, FAULT_STATE, NULL, "uncounted", "undo_uncounted uncounted_g=%f", poured_g);
    f->uncounted_g = poured_g;
    return true;
}

/* The last accept, if nothing that cannot be taken back came since. */
static enum decision undo(const struct batch *b, const struct track *t, struct fault *f)
{
    bool pouring = b->state == BATCH_POUR && b->now != NOW_TAKE_OUT && t->active;
    if (pouring && uncounted(b, f, (double)track_pour_ug(t) / 1e6))
        return decide_refuse(f, b);
    for (size_t i = b->state == BATCH_CUP ? 0 : b->events; i > 0; i--) {
        const struct event *e = b->history[i - 1];
        if (e->kind == EVENT_TAKEN || (e->kind == EVENT_RETARED && e->lost_g > 0)) {
            fault_said(f, FAULT_STATE, NULL, "nothing", "undo_after_taking");
            return decide_refuse(f, b);
        }
        if (e->kind == EVENT_TINT && uncounted(b, f, e->counted_g))
            return decide_refuse(f, b);
        if (e->kind == EVENT_CUP || e->kind == EVENT_ACCEPTED)
            return DECIDED;
    }
    fault_said(f, FAULT_STATE, NULL, "nothing", "undo_nothing");
    return decide_refuse(f, b);
}

/* A remedy that this overpour does not have. Beginning anew is dearer than another way, else it would be offered; of a
 * reducer, and of cups for an addition, nothing is worked out. */
static enum decision cannot(struct fault *f, const struct batch *b, enum event_remedy remedy, const char *why)
{
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[b->over].part];
    if (remedy == REMEDY_AGAIN && p->role != PART_REDUCER)
        fault_said(f, FAULT_INVALID, "choice", why, "again_dearer");
    else if (remedy == REMEDY_RESCUE && p->role == PART_COLOUR)
        fault_said(f, FAULT_INVALID, "choice", why, "rescue_none");
    else
        fault_said(f, FAULT_INVALID, "choice", why, "remedy_not_offered toner=%s", p->toner);
    return REFUSED;
}

/* `why`: `cup` or `scale`, as batch_misfit tells it. */
static enum decision no_room(struct fault *f, const char *why, double total_g)
{
    if (strcmp(why, "cup") == 0)
        fault_said(f, FAULT_WOULD_NOT_FIT, "choice", why, "grow_no_room_cup total_g=%f", total_g);
    else
        fault_said(f, FAULT_WOULD_NOT_FIT, "choice", why, "grow_no_room_scale total_g=%f", total_g);
    return REFUSED;
}

/* One of the ways out that batch_remedies offers; what does not fit is refused with what it lacks. */
static enum decision remedy(const struct batch *b, const struct command *c, struct event *e, struct fault *f)
{
    struct batch_remedies r;
    if (b->state != BATCH_OVER) {
        fault_said(f, FAULT_STATE, NULL, "not_over", "remedy_nothing_over");
        return decide_refuse(f, b);
    }
    batch_remedies(b, &r);
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[b->over].part];
    e->remedy = c->remedy;
    switch (c->remedy) {
    case REMEDY_GROW:
        if (!r.grow.possible)
            return cannot(f, b, c->remedy, r.grow.why ? r.grow.why : "null");
        if (r.grow.why)
            return no_room(f, r.grow.why, r.grow.total_g);
        e->total_g = r.grow.total_g;
        e->said = say("batch_becomes total_g=%f", e->total_g);
        return DECIDED;
    case REMEDY_DIP:
        if (!r.dip.possible && batch_activated(b)) {
            fault_said(f, FAULT_INVALID, "choice", "activated", "remedy_dip_activated");
            return REFUSED;
        }
        if (!r.dip.possible)
            return cannot(f, b, c->remedy, "null");
        e->total_g = r.dip.total_g;
        e->take_g = r.take_g;
        e->said = say("take_out take_g=%f", e->take_g);
        return DECIDED;
    case REMEDY_LEAVE:
        e->total_g = p->role == PART_COLOUR ? b->over_total_g : b->target_g;
        e->said = r.ratio[0] ? say("left_ratio toner=%s ratio=%s", p->toner, r.ratio) : say("left toner=%s", p->toner);
        return DECIDED;
    case REMEDY_AGAIN:
        if (!r.again)
            return cannot(f, b, c->remedy, "null");
        return DECIDED;
    case REMEDY_RESCUE:
        if (!r.rescue.possible)
            return cannot(f, b, c->remedy, "null");
        e->total_g = r.rescue.total_g;
        e->take_g = r.rescue_take_g;
        e->said = decide_rescue_said(&b->rescue);
        return DECIDED;
    default:
        return cannot(f, b, c->remedy, "unknown");
    }
}

/* Grams that the open step has in the cup without an accept, when the cup is set anew, and what is shown of it. The
 * last stable reading tells, or, where none came since the pour began, the last one before the fall: about. Where the
 * scale was tared by hand and then only rose, what has come since counts as well; but where a lifted cup explains the
 * fall too (the scale showed cup and all), nobody can say, and the message asks. */
static double retared_g(const struct batch *b, const struct track *t, struct said *said)
{
    double d_g = batch_d_g(b), open = (double)(t->last_ug - t->base_ug) / 1e6;
    if (b->state == BATCH_DONE || b->now == NOW_TAKE_OUT) {
        *said = say("retared");
        return b->state == BATCH_DONE ? 0 : fmin(open, 0); /* what is out already stays out */
    }
    bool about = t->lifted && open <= d_g / 2 && (double)(t->high_ug - t->last_ug) / 1e6 > 2 * d_g;
    if (about)
        open = (double)(t->high_ug - t->base_ug) / 1e6;
    double since =
        t->lifted && t->has_low && fabs((double)t->low_ug / 1e6) <= d_g ? (double)(t->now_ug - t->low_ug) / 1e6 : 0;
    if (since > 2 * d_g) {
        double gross = (isnan(b->tare_g) ? 0 : b->tare_g) + batch_content_g(b) + open;
        /* What the scale shows beyond the counts is a cup, also one that was set anew; a tare by hand leaves none. */
        bool shows_cup = (double)t->base_ug / 1e6 - batch_content_g(b) >= 1;
        if (shows_cup || fabs((double)t->last_ug / 1e6 - gross) <= 2 * d_g + 0.001 * gross) {
            *said =
                say(about ? "retared_about_asks since_g=%f uncounted_g=%f" : "retared_asks since_g=%f uncounted_g=%f",
                    since, open);
            return open;
        }
        open += since;
    }
    *said = about ? say("retared_about uncounted_g=%f", open) : say("retared_with uncounted_g=%f", open);
    return open;
}

/* The cup as it stands is the new base, with what the open step is told or reckoned to hold. */
static enum decision retare(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                            struct fault *f)
{
    if (b->state != BATCH_POUR && b->state != BATCH_DONE) {
        fault_said(f, FAULT_STATE, NULL, "not_pouring", "retare_not_pouring");
        return decide_refuse(f, b);
    }
    if (!(isnan(c->lost_g) || (c->lost_g >= 0 && c->lost_g <= batch_content_g(b)))) {
        fault_said(f, FAULT_INVALID, "lost_g", "range", "lost_too_much");
        return REFUSED;
    }
    if (!isnan(c->uncounted_g) && c->uncounted_g < 0) {
        fault_said(f, FAULT_INVALID, "uncounted_g", "negative", "uncounted_negative");
        return REFUSED;
    }
    if (b->set.capacity_g > 0 && c->uncounted_g > b->set.capacity_g) { /* what it shows now may be tared: no bound */
        fault_said(f, FAULT_INVALID, "uncounted_g", "range", "member_from_to field=%s least=%f most=%f", "uncounted_g",
                   0.0, b->set.capacity_g);
        return REFUSED;
    }
    if (!t->now_stable)
        return NOT_YET;
    decide_weight(e, t);
    double open = retared_g(b, t, &e->said);
    if (!isnan(c->uncounted_g)) {
        open = c->uncounted_g;
        e->said = say("retared_with uncounted_g=%f", open);
    }
    e->base_ug = t->now_ug - (int64_t)llround(open * 1e6);
    e->lost_g = c->lost_g;
    return DECIDED;
}

/* What a hold counts: an open tint as well, and of a dip what is out already. */
static double held_g(const struct batch *b, const struct track *t)
{
    double open = (double)(t->last_ug - t->base_ug) / 1e6;
    if (b->state != BATCH_POUR || b->now == NOW_STEP || !t->active)
        return decide_open_pour_g(b, t);
    double moved = b->now == NOW_TAKE_OUT ? -open : open;
    return moved > 2 * b->set.d_g ? moved : 0;
}

/* The right tin's lot is kept for the next accept; another one is refused before any of it is poured. A second tin in
 * mid-step leaves the lot of the first beside it. */
static enum decision tin(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                         struct fault *f)
{
    const char *asked = batch_open_toner(b);
    if (!asked) {
        fault_said(f, FAULT_STATE, NULL, "not_pouring", "tin_not_pouring toner=%s", c->really);
        return decide_refuse(f, b);
    }
    if (strcmp(asked, c->really) != 0) {
        fault_said(f, FAULT_STATE, NULL, "wrong_tin", "wrong_tin toner=%s asked=%s", c->really, asked);
        snprintf(f->toner, sizeof f->toner, "%s", c->really);
        return decide_refuse(f, b);
    }
    snprintf(e->toner, sizeof e->toner, "%s", c->really);
    snprintf(e->lot, sizeof e->lot, "%s", c->lot);
    e->mixed_lots = b->now == NOW_STEP && strcmp(batch_tin_lot(b, asked), c->lot) != 0 &&
                    decide_open_pour_g(b, t) > decide_uncounted_g(b);
    e->said =
        c->lot[0] ? say("tin_right_lot toner=%s lot=%s", c->really, c->lot) : say("tin_right toner=%s", c->really);
    return DECIDED;
}

/* Leaves the scale: what stands in the open step counts, since nobody can weigh it apart later. */
static enum decision hold(const struct batch *b, const struct track *t, struct event *e, struct fault *f)
{
    if (b->state == BATCH_OVER) {
        fault_said(f, FAULT_STATE, NULL, "over", "remedy_first");
        return decide_refuse(f, b);
    }
    e->counted_g = held_g(b, t);
    if (e->counted_g > 0)
        snprintf(e->lot, sizeof e->lot, "%s", batch_tin_lot(b, batch_open_toner(b)));
    if (t->active)
        decide_weight(e, t);
    return DECIDED;
}

/* Only a batch with nothing left to pour; a tin that ran empty is left short first, so that the record says so. */
static enum decision finish(const struct batch *b, const struct command *c, struct event *e, struct fault *f)
{
    if (b->state == BATCH_DONE && c->keep[0] && !recipe_is_premix(&b->recipe)) {
        fault_said(f, FAULT_INVALID, "keep", "no_premix", "keep_no_premix");
        return REFUSED;
    }
    if (b->state == BATCH_DONE) {
        snprintf(e->kept_as, sizeof e->kept_as, "%s", c->keep);
        snprintf(e->kept_place, sizeof e->kept_place, "%s", c->place);
        return DECIDED;
    }
    if (b->state == BATCH_OVER)
        fault_said(f, FAULT_STATE, NULL, "over", "remedy_first");
    else
        fault_said(f, FAULT_STATE, NULL, "not_done", "finish_not_done");
    return decide_refuse(f, b);
}

/* The kind of event follows from the command; an accept may still turn it into a cup or a taking out. A note and a
 * scrap only keep what was typed. */
enum decision decide(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                     struct fault *f)
{
    static const enum event_kind kinds[] = {
        [COMMAND_ACCEPT] = EVENT_ACCEPTED, [COMMAND_UNDO] = EVENT_UNDONE,     [COMMAND_REMEDY] = EVENT_REMEDY,
        [COMMAND_RETARE] = EVENT_RETARED,  [COMMAND_TINT] = EVENT_TINT,       [COMMAND_HOLD] = EVENT_HELD,
        [COMMAND_NOTE] = EVENT_NOTED,      [COMMAND_FINISH] = EVENT_FINISHED, [COMMAND_SCRAP] = EVENT_SCRAPPED,
        [COMMAND_TIN] = EVENT_TIN,
    };
    event_init(e, kinds[c->kind]);
    switch (c->kind) {
    case COMMAND_ACCEPT:
        if (b->state == BATCH_POUR && b->now == NOW_CUP && !t->lifted && t->now_stable)
            return decide_cup_pour(b, t, c, e, f);
        if (b->state == BATCH_POUR && b->now == NOW_TINT && !t->lifted && t->now_stable)
            return decide_tint_pour(b, t, c, e, f);
        return decide_accept(b, t, c, e, f); /* refuses a cup that is off, and waits for a weight that moves */
    case COMMAND_UNDO:
        return undo(b, t, f);
    case COMMAND_REMEDY:
        return remedy(b, c, e, f);
    case COMMAND_RETARE:
        return retare(b, t, c, e, f);
    case COMMAND_TINT:
        return decide_tint(b, t, c, e, f);
    case COMMAND_TIN:
        return tin(b, t, c, e, f);
    case COMMAND_HOLD:
        return hold(b, t, e, f);
    case COMMAND_FINISH:
        return finish(b, c, e, f);
    default:
        snprintf(e->text, sizeof e->text, "%s", c->text);
        return DECIDED;
    }
}
