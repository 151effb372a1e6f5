/* fold.c - events applied to a batch one after the other; undo folds again without the last. It must not decide
 * anything: what was decided stands in the event. */
#include "station/aims.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* All counts times keep (0 to 1): paint was taken out or lost, evenly. */
static void scale_counts(struct batch *b, double keep)
{
    for (size_t s = 0; s < b->recipe.steps; s++)
        b->step_g[s] *= keep;
    for (size_t i = 0; i < b->tints; i++)
        b->tinted[i].grams *= keep;
    for (size_t i = 0; i < b->foreigns; i++)
        b->foreign[i].grams *= keep;
}

/* What ended on an edge asks no more in that total, but what a dip or a loss took of it since is another lack: more
 * than the scale could hide is asked for again. Before rules 6 it was not, and the colour stayed short of it. */
static void forget_edges(struct batch *b)
{
    double d_g = batch_d_g(b);
    for (size_t p = 0; p < b->recipe.parts && b->rules >= 6; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        if (part->role == PART_COLOUR && part->share > 0 &&
            mix_is_under(part->share, batch_part_g(b, (int)p) + d_g, b->target_g, batch_tolerance(b)))
            b->part_edge_g[p] = NAN;
    }
}

/* The first event of every journal: all that the batch knows of formula and catalogue is in it. */
static bool begin(struct batch *b, const struct event *e)
{
    const struct event_begun *g = e->begun;
    if (!e->settings)
        return false;
    batch_init(b);
    snprintf(b->id, sizeof b->id, "%s", g->batch);
    snprintf(b->station, sizeof b->station, "%s", e->station);
    snprintf(b->order, sizeof b->order, "%s", g->order);
    snprintf(b->painter, sizeof b->painter, "%s", g->painter);
    snprintf(b->repeat_of, sizeof b->repeat_of, "%s", g->repeat_of);
    b->coat_n = g->coat_n;
    b->edges = g->edges;
    b->recipe = g->recipe;
    b->rules = g->rules;
    b->set = *e->settings;
    b->state = BATCH_CUP;
    b->wanted_g = b->target_g = g->wanted_g;
    b->cup_ml = g->cup_ml;
    b->fill_pct = g->fill_pct;
    b->kind_tare_g = g->kind_tare_g;
    b->estimate_g = g->estimate_g;
    b->begun_ms = e->wall_ms;
    memcpy(b->have, g->have, sizeof g->have);
    b->haves = g->haves;
    memcpy(b->caution, g->caution, sizeof b->caution);
    b->cautions = g->cautions;
    b->said = e->said;
    fold_have(b, g->have_g);
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (b->recipe.part[p].foreign && g->have_g[p] > 0)
            fold_remember(b->foreign, &b->foreigns, b->recipe.part[p].toner, g->have_g[p]);
    return true;
}

/* Solvent goes first, so it is taken off the reducer, whose step asks for it again. */
static void evaporate(struct batch *b, double grams)
{
    double left = grams;
    for (size_t s = b->recipe.steps; s > 0 && left > 0; s--) {
        if (b->recipe.part[b->recipe.step[s - 1].part].role != PART_REDUCER)
            continue;
        double take = fmin(left, b->step_g[s - 1]);
        b->step_g[s - 1] -= take;
        b->step_short[s - 1] = false;
        left -= take;
    }
    b->evaporated_g += grams - left;
}

/* The tare is taken once; a resumed cup keeps its first one. */
static bool cup(struct batch *b, struct track *t, const struct event *e)
{
    if (b->state != BATCH_CUP)
        return false;
    bool first = b->rules < 5 || isnan(b->tare_g);
    if (isnan(b->tare_g))
        b->tare_g = e->tare_g;
    b->said = e->said;
    if (e->evaporated_g > 0)
        evaporate(b, e->evaporated_g);
    if (t)
        track_start(t, e->weight_ug, e->weight_ug);
    if (b->now == NOW_TAKE_OUT || b->now == NOW_TINT || b->now == NOW_CUP) {
        b->state = BATCH_POUR;
        return true;
    }
    double before = first ? b->target_g : batch_k_lo(b); /* as decide_accept judged it */
    int judged = b->unjudged;
    b->unjudged = -1;
    b->dip_held = false;
    fold_judged(b, judged, e->edge, before);
    fold_grown(b, e);
    fold_settle(b);
    if (e->over)
        fold_ask(b, fold_cup_over(b, judged, before), before);
    return true;
}

/* The total that aims start from when a person chose to grow to this much colour. For more of the base (a hardener or
 * reducer over) that is the total in which the steps that still ask take just what the cup has less than that: what was
 * left short is asked for no more, and what was left over counts. Before rules 6 a share of each was reckoned with, and
 * the hardener stayed over. */
static double grown_to(const struct batch *b, double total_g)
{
    bool on_top = b->recipe.part[b->recipe.step[b->over].part].role != PART_COLOUR;
    if (b->rules < 3 || !on_top)
        return total_g;
    if (b->rules >= 6)
        return batch_more_base_k_g(b, fmax(0, total_g - batch_colour_g(b)));
    /* From k_lo, less than was promised would follow where a toner stands high within its tolerance. */
    double now_g = b->rules >= 4 ? batch_k_aim(b) : batch_k_lo(b);
    return now_g + fmax(0, total_g - batch_colour_g(b));
}

/* What a person chose for the overpour that asks. */
static bool remedy(struct batch *b, const struct event *e)
{
    if (b->state != BATCH_OVER || b->over < 0)
        return false;
    b->said = e->said;
    switch (e->remedy) {
    case REMEDY_GROW:
        b->target_g = b->wanted_g = grown_to(b, e->total_g);
        fold_settle(b);
        return true;
    case REMEDY_LEAVE:
        b->part_left[b->recipe.step[b->over].part] = true;
        b->target_g = e->total_g;
        fold_settle(b);
        fold_ask_again(b);
        return true;
    case REMEDY_DIP:
        b->now = NOW_TAKE_OUT;
        b->take_g = e->take_g;
        b->target_g = e->total_g;
        b->state = BATCH_POUR;
        return true;
    case REMEDY_RESCUE:
        return fold_rescue_begin(b, e);
    case REMEDY_AGAIN:
        b->retired = true;
        b->state = BATCH_FINISHED;
        b->finished_ms = e->wall_ms;
        return true;
    default:
        return false;
    }
}

/* Everything is scaled by what really came out. Grams taken. */
static double take_out(struct batch *b, double taken_g)
{
    double content = batch_content_g(b), out = fmin(taken_g, content);
    if (!(content > 0))
        return 0;
    scale_counts(b, (content - out) / content);
    forget_edges(b);
    b->waste_g += out;
    return out;
}

/* A dip ends: enough by what was asked for, as finely as the scale shows it, else whatever is still over asks again. */
static bool taken(struct batch *b, struct track *t, const struct event *e)
{
    if (b->now != NOW_TAKE_OUT || !(batch_content_g(b) > 0))
        return false;
    double out = take_out(b, e->counted_g);
    b->said = e->said;
    if (t)
        track_start(t, e->weight_ug, e->weight_ug);
    /* Who took what the screen asked for, as finely as the scale shows it, is not asked again for the rest of a d. */
    bool enough = out >= b->take_g - b->set.d_g / 2 - MIX_SLACK_G;
    if (b->rescuing) {
        fold_rescue_taken(b, enough);
        return true;
    }
    if (enough && b->rules >= 3 && b->over >= 0 && batch_step_over(b, (size_t)b->over, b->target_g))
        b->part_edge_g[b->recipe.step[b->over].part] = b->target_g;
    fold_settle(b);
    if (!enough)
        fold_ask_again(b);
    return true;
}

/* The base is where the event says; a loss took evenly of everything, since nobody can say what ran out. */
static bool retared(struct batch *b, struct track *t, const struct event *e)
{
    double content = batch_content_g(b);
    if (e->lost_g > 0 && content > 0) {
        double keep = fmax(0, content - e->lost_g) / content;
        scale_counts(b, keep);
        if (b->state != BATCH_DONE)
            forget_edges(b);
        b->waste_g += e->lost_g;
        /* Done stays done: what is left is the batch. In a pour the amount asked for stands, so it is topped up. */
        if (b->state == BATCH_DONE)
            b->target_g = batch_k_lo(b) * keep;
    }
    b->said = e->said;
    if (t)
        track_start(t, e->base_ug, e->weight_ug);
    return true;
}

/* The weight stays on the scale, so the base goes back by what was counted from history[i] on, the accept undone. */
static void track_back(const struct batch *b, size_t i, struct track *t)
{
    const struct event *last = b->history[i];
    if (last->kind == EVENT_CUP)
        track_stop(t);
    double back = last->kind == EVENT_CUP ? 0 : last->counted_g;
    for (size_t n = i + 1; n < b->events; n++)
        if (b->history[n]->kind == EVENT_TINT && b->history[n]->counted_g > 0)
            back += b->history[n]->counted_g;
    t->base_ug -= (int64_t)llround(back * 1e6);
}

/* held: the event itself where a history of this thread holds it, NULL: it is to be copied. */
static bool fold(struct batch *b, struct track *t, const struct event *e, struct event *held);

/* Folds all but the last accept again. The track is moved before any memory is asked for (batch_fold). */
static bool undone(struct batch *b, struct track *t)
{
    size_t i = b->events;
    while (i > 0 && b->history[i - 1]->kind != EVENT_CUP && b->history[i - 1]->kind != EVENT_ACCEPTED)
        i--;
    if (i == 0)
        return false;
    struct batch fresh;
    if (t)
        track_back(b, i - 1, t);
    batch_init(&fresh);
    for (size_t n = 0; n + 1 < i; n++)
        if (!fold(&fresh, NULL, b->history[n], b->history[n])) {
            batch_finish(&fresh);
            return false;
        }
    fresh.hardener_ms = b->hardener_ms;
    fresh.hardener_mono_ns = b->hardener_mono_ns;
    memcpy(fresh.hardener_boot, b->hardener_boot, sizeof fresh.hardener_boot);
    if (fresh.hardened_ms)
        fresh.hardened_ms = b->hardened_ms;
    fresh.clock_ms = b->clock_ms;
    fresh.clock_step_ms = b->clock_step_ms;
    fresh.clock_shift_ms = b->clock_shift_ms;
    fresh.clock_wrong = b->clock_wrong;
    fresh.said = say("undone");
    fresh.scale.port[0] = '\0'; /* what was undone may have named another one, and its event still stands */
    batch_finish(b);
    *b = fresh;
    return true;
}

/* A dip that is interrupted: what is still over asks again when the cup is back, unless what was asked for is out.
 * Before rules 6 it grew the batch in silence. */
static void hold_dip(struct batch *b, double taken_g)
{
    double out = take_out(b, taken_g);
    bool enough = !b->rescuing && out >= b->take_g - b->set.d_g / 2 - MIX_SLACK_G;
    if (b->rules < 6)
        return;
    if (!enough)
        b->dip_held = fold_find_over(b, b->target_g) >= 0;
    else if (b->over >= 0 && batch_step_over(b, (size_t)b->over, b->target_g))
        b->part_edge_g[b->recipe.step[b->over].part] = b->target_g;
}

/* What was poured of an interrupted step stays in the cup: it counts, and the step goes on with the rest. An open tint
 * is counted and closed, a dip likewise: the cup is asked about again when it is back. */
static bool count_open(struct batch *b, const struct event *e)
{
    if (b->state != BATCH_POUR || !(e->counted_g > 0))
        return true;
    if (b->now == NOW_STEP && b->open >= 0) {
        b->step_g[b->open] += e->counted_g;
        fold_lot(b, b->recipe.step[b->open].part, e->lot);
        if (b->rules >= 6) {
            int part = b->recipe.step[b->open].part;
            b->unjudged = b->open;
            b->part_left[part] = false; /* poured again, it may ask */
            b->part_edge_g[part] = NAN;
        }
    }
    if (b->now == NOW_TINT && !fold_tinted(b, e))
        return false;
    if (b->now == NOW_CUP) {
        fold_rescue_count(b, e->counted_g); /* and goes on with the rest when the batch is back */
        return true;
    }
    if (b->now == NOW_TAKE_OUT)
        hold_dip(b, e->counted_g);
    if (b->rescuing)
        fold_rescue_end(b);
    b->now = NOW_STEP;
    return true;
}

/* The toner comes with its data: a restart needs no catalogue, and a later put changes no cup that stands. */
static bool tint(struct batch *b, struct track *t, const struct event *e)
{
    if (!e->part || !count_open(b, e))
        return false;
    b->now = NOW_TINT;
    b->tint = *e->part;
    fold_caution(b, &b->tint); /* before a drop of it is poured */
    b->state = BATCH_POUR;
    b->said = e->said;
    if (t && e->has_weight)
        t->base_ug = e->base_ug;
    return true;
}

/* The tracker forgets the cup; what it still had uncounted stands in the event. */
static bool held(struct batch *b, struct track *t, const struct event *e)
{
    if (!count_open(b, e))
        return false;
    b->state = BATCH_HELD;
    if (t)
        track_stop(t);
    b->said = (struct said){.used = 0};
    return true;
}

/* Another bench may weigh finer: what stood within its tolerance, or was grown to its edge, was right as that bench
 * could tell, and must not ask again. It is out of the maximum as what was accepted at 0 to go on an edge. */
static void take_settings(struct batch *b, const struct event_settings *set)
{
    bool asked[RECIPE_PARTS] = {false};
    double total = batch_k_lo(b);
    for (size_t s = 0; s < b->recipe.steps; s++)
        asked[b->recipe.step[s].part] |= batch_step_over(b, s, total) || (b->step_poured[s] && batch_step_wants(b, s));
    b->set = *set;
    for (size_t s = 0; s < b->recipe.steps && b->rules >= 5; s++) {
        int part = b->recipe.step[s].part;
        bool asks = b->step_g[s] > 0 && (batch_step_over(b, s, total) || (b->step_poured[s] && batch_step_wants(b, s)));
        if (b->recipe.part[part].role == PART_COLOUR && asks && !asked[part])
            b->part_edge_g[part] = total;
    }
}

/* The cup is asked for anew: nobody knows what happened to it meanwhile. */
static bool resumed(struct batch *b, const struct event *e)
{
    if (b->state != BATCH_HELD || !e->settings)
        return false;
    take_settings(b, e->settings);
    snprintf(b->station, sizeof b->station, "%s", e->station);
    b->state = BATCH_CUP;
    b->said = e->said;
    return true;
}

/* Finished or scrapped: nothing more is counted, and what a scrapped cup held is waste. */
static bool end(struct batch *b, struct track *t, const struct event *e, enum batch_state state)
{
    b->state = state;
    b->finished_ms = e->wall_ms;
    if (state == BATCH_SCRAPPED) {
        b->waste_g += batch_content_g(b);
        snprintf(b->scrap_why, sizeof b->scrap_why, "%s", e->text);
    }
    if (t)
        track_stop(t);
    return true;
}

/* What was told by the old clock and still matters is told by the new one: hardener goes on hardening by neither. */
static bool clock_set(struct batch *b, const struct event *e)
{
    b->clock_wrong = b->clock_wrong || e->step_ms == 0;
    if (e->step_ms == 0)
        return true;
    b->clock_ms = e->wall_ms;
    b->clock_step_ms = e->step_ms;
    b->clock_shift_ms += e->step_ms;
    if (b->hardener_ms)
        b->hardener_ms += e->step_ms;
    if (b->hardened_ms)
        b->hardened_ms += e->step_ms;
    b->said = e->said;
    return true;
}

/* What the station noted without an act: no revision, no step, only what a restart must find again. */
static bool noted_alone(struct batch *b, struct track *t, const struct event *e)
{
    if (e->kind == EVENT_HARDENER && b->hardener_ms == 0) {
        b->hardener_ms = e->wall_ms;
        b->hardener_mono_ns = e->mono_ns;
        memcpy(b->hardener_boot, e->boot, sizeof b->hardener_boot);
    }
    if (!t || e->kind == EVENT_HARDENER)
        return true;
    t->base_ug = e->base_ug;
    t->last_ug = t->high_ug = e->weight_ug;
    if (e->kind == EVENT_LIFTED) {
        t->lifted = e->lifted;
        t->has_low = e->lifted && e->fall_ug != 0;
        t->low_ug = e->low_ug;
        t->fall_ug = e->fall_ug;
        b->said = e->said;
    }
    return true;
}

/* False where the event does not fit the state: a journal that was damaged, never a person's mistake. */
static bool apply(struct batch *b, struct track *t, const struct event *e)
{
    switch (e->kind) {
    case EVENT_BEGUN:
        if (t)
            track_stop(t);
        return begin(b, e);
    case EVENT_CUP:
        return cup(b, t, e);
    case EVENT_ACCEPTED:
        return b->now == NOW_CUP ? fold_cup_accepted(b, t, e) : fold_accepted(b, t, e);
    case EVENT_TAKEN:
        return taken(b, t, e);
    case EVENT_REMEDY:
        return remedy(b, e);
    case EVENT_RETARED:
        return retared(b, t, e);
    case EVENT_TINT:
        return tint(b, t, e);
    case EVENT_TIN:
        return fold_tin(b, e);
    case EVENT_HELD:
        return held(b, t, e);
    case EVENT_RESUMED:
        return resumed(b, e);
    case EVENT_FINISHED:
        return end(b, t, e, BATCH_FINISHED);
    case EVENT_SCRAPPED:
        return end(b, t, e, BATCH_SCRAPPED);
    case EVENT_NOTED:
        return true;
    case EVENT_CLOCK:
        return clock_set(b, e);
    default:
        return noted_alone(b, t, e);
    }
}

/* What is asked now is worked out here, once an act, since each reading looks at it. */
static bool fold(struct batch *b, struct track *t, const struct event *e, struct event *held)
{
    if (e->kind == EVENT_UNDONE)
        return undone(b, t);
    if ((e->kind == EVENT_BEGUN) != (b->id[0] == '\0'))
        return false;
    if (!apply(b, t, e) || (event_is_act(e->kind) && !batch_remember(b, e, held)))
        return false;
    if (b->state == BATCH_OVER && event_may_ask(e->kind))
        fold_offer(b, e->rescue);
    b->asked = fold_asked_of(b);
    return true;
}

bool batch_fold(struct batch *b, struct track *t, const struct event *e)
{
    return fold(b, t, e, NULL);
}
