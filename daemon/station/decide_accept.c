/* decide_accept.c - what an accept counts, and what follows from it: over, grown by itself, short. It must not know how
 * an event is written, nor a clock. */
#include "station/decide.h"

#include "mix/remedy.h"
#include "station/aims.h"
#include "station/batch.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define CUP_WITHIN_G 2.0     /* cups of one kind differ by so much */
#define CUP_ADDED_G  5.0     /* more came onto the cup than a hand that sets it down explains */
#define CUP_LEAST_UG 1000000 /* less than 1 g is no cup */

/* The state stands beside each refusal, so that a client that missed a screen knows why. */
enum decision decide_refuse(struct fault *f, const struct batch *b)
{
    snprintf(f->state, sizeof f->state, "%s", screen_state_names[b->state]);
    return REFUSED;
}

enum decision decide_too_little(const struct batch *b, struct fault *f, double short_g, bool nothing)
{
    if (nothing)
        fault_said(f, FAULT_STATE, NULL, "short", "nothing_poured");
    else
        fault_said(f, FAULT_STATE, NULL, "short", "poured_too_little");
    f->short_g = fmax(0, short_g);
    return decide_refuse(f, b);
}

void decide_weight(struct event *e, const struct track *t)
{
    e->has_weight = true;
    e->weight_ug = t->now_ug;
    e->base_ug = t->base_ug;
    e->stable = t->now_stable;
}

/* A step whose top-up, or whose other tin, is still to come: more for it is no surprise. */
static bool waits(const struct batch *b, size_t step)
{
    return b->rules >= 3 && step < b->recipe.steps && (b->state == BATCH_POUR || b->state == BATCH_CUP) &&
           batch_step_wants(b, step);
}

/* Whether the station may grow by itself to what its parts now force: only parts not yet poured change, all fits, and
 * the total stays near what a person last agreed to. */
static bool may_grow(const struct batch *before, const struct batch *after, double total_g)
{
    if (isinf(total_g) || total_g > after->wanted_g * (1 + after->set.auto_grow_pct / 100) + MIX_SLACK_G)
        return false;
    for (size_t s = 0; s < after->recipe.steps; s++)
        if (after->step_poured[s] && batch_step_wants(after, s) && !waits(before, s))
            return false;
    return batch_misfit(after, total_g) == NULL;
}

/* The total as the screen shows it, and by how much the toner is past its aim at the total before. */
static struct said grew(const struct batch *after, double before_g, int step, double total_g)
{
    int part = after->recipe.step[step].part;
    const struct recipe_part *p = &after->recipe.part[part];
    return say("grew total_g=%f toner=%s past_g=%f", total_g, p->toner,
               batch_part_g(after, part) - p->share * before_g);
}

/* k_aim may stand on the very edge of the tolerance, and the screen shows the aim to d: who poured until it showed 0 to
 * go is on aim, neither over nor short by what the scale cannot show. */
static bool on_shown_aim(const struct batch *before, const struct batch *after, int step)
{
    const struct recipe_part *p = &after->recipe.part[after->recipe.step[step].part];
    if (p->foreign || (size_t)step >= before->recipe.steps || (p->role == PART_COLOUR && p->share <= 0) ||
        (p->role != PART_COLOUR && before->rules < 3))
        return false;
    double aim = batch_step_aim_g(before, (size_t)step), d_g = batch_d_g(before);
    if (before->rules < 3)
        return after->step_g[step] <= aim + before->set.d_g / 2 + MIX_SLACK_G;
    return after->step_g[step] > 0 && fabs(number_round(aim, d_g) - after->step_g[step]) <= d_g / 2 + MIX_SLACK_G;
}

/* Judged at k_lo it lacks more than its tolerance. */
static bool lacks(const struct batch *after, size_t step)
{
    return after->state != BATCH_CUP && batch_step_wants(after, step);
}

/* Which step the act made over at the total before it, -1: none; step as judge has it. */
static int step_over_after(const struct batch *b, const struct batch *after, const struct event *e, int step,
                           double before_g)
{
    int named = step < 0 ? (int)after->recipe.steps - 1 : step;
    bool shown = on_shown_aim(b, after, named);
    if (after->rescuing)
        return -1; /* the cups that are still to come make it right */
    if (e->cup[0] && !e->toner[0])
        return fold_rescue_over(after, before_g);
    if (e->kind == EVENT_CUP) /* in a tint or a dip it goes on with that, and is judged afterwards */
        return (step >= 0 && shown) || b->now != NOW_STEP ? -1 : fold_cup_over(after, step, before_g);
    return batch_step_over(after, (size_t)named, before_g) && !shown ? named : -1;
}

/* Tries the event on a copy and writes into it what follows: over, or grown by itself, and what to say. step is what
 * it counts for: nothing else can have become over by it; -1: a wrong tin, which the copy puts last. With a cup
 * everything that was in it is looked at, and step is what a hold counted without an accept, as with a tint that is
 * given up; -1: nothing. */
bool decide_judge(const struct batch *b, struct event *e, int step)
{
    struct batch after;
    batch_try(&after, b);
    /* The first cup is looked at for what was in it already. One that comes back holds nothing new: a hair that a dip
     * left, less than the scale shows, has raised the least total since and asks no more. */
    bool first = e->kind == EVENT_CUP && (b->rules < 5 || isnan(b->tare_g));
    double before = first ? b->target_g : batch_k_lo(b);
    if (e->short_mode == SHORT_LESS)
        before = e->total_g;
    if (!batch_fold(&after, NULL, e))
        return false;
    bool shown = step >= 0 && on_shown_aim(b, &after, step);
    int over = step_over_after(b, &after, e, step, before);
    /* Who ends on the shown aim is out of the maximum only where a bound would be passed, else every aim would stand
     * alone. */
    e->edge = b->rules >= 3 && shown && (batch_step_over(&after, (size_t)step, before) || lacks(&after, (size_t)step));
    if (over >= 0) {
        const struct recipe_part *p = &after.recipe.part[after.recipe.step[over].part];
        double total = batch_k_lo(&after);
        if (p->role == PART_COLOUR && p->share > 0 && may_grow(b, &after, total)) {
            e->grew_g = total;
            e->said = grew(&after, before, over, batch_k_aim(&after)); /* what the screen shows as the total */
        } else {
            e->over = true;
            after.over = over;
            after.over_total_g = before;
            e->said = batch_over_said(&after);
        }
    }
    return true;
}

/* The act is refused and may be sent again: nothing of it was written. */
static enum decision no_memory(struct fault *f)
{
    fault_said(f, FAULT_INTERNAL, NULL, NULL, "accept_failed");
    return REFUSED;
}

/* What a cup that was held before has lost while it stood: no more than the reducer in it and 10 % of its content
 * (common practice, no source), and more than the scale's own spread. 0: nothing, or more than evaporation explains. A
 * cup from which paint is being taken out is lighter for that. */
double decide_evaporated_g(const struct batch *b, const struct track *t)
{
    double now_g = (double)t->now_ug / 1e6, content_g = batch_content_g(b), reducer_g = 0;
    if (b->state != BATCH_CUP || isnan(b->tare_g) || b->now == NOW_TAKE_OUT)
        return 0;
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (b->recipe.part[b->recipe.step[s].part].role == PART_REDUCER)
            reducer_g += b->step_g[s];
    double lost_g = b->tare_g + content_g - now_g, spread_g = 2 * b->set.d_g + now_g / 1000;
    return lost_g > spread_g && lost_g <= fmin(reducer_g, content_g / 10) + MIX_SLACK_G ? lost_g : 0;
}

bool decide_doubts(const struct batch *b, const struct track *t, const struct cup_tares *cups, struct said *said)
{
    double cup_g = (double)t->now_ug / 1e6 - batch_content_g(b), added_g = (double)(t->now_ug - t->stood_ug) / 1e6;
    bool known = !cups || cups->count == 0 || decide_evaporated_g(b, t) > 0;
    if (t->stood && added_g > CUP_ADDED_G) {
        *said = say("cup_added added_g=%f", added_g);
        return true;
    }
    for (size_t i = 0; !known && i < cups->count; i++)
        known = fabs(cup_g - cups->g[i]) <= CUP_WITHIN_G + MIX_SLACK_G;
    if (!known)
        *said = say("cup_unlike cup_g=%f", cup_g);
    return !known;
}

/* tared: the scale shows 0 with the cup on it, so its weight is that of its kind, or unknown. */
static enum decision accept_cup(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                                struct fault *f)
{
    if (!t->now_stable)
        return NOT_YET;
    if (t->now_ug < CUP_LEAST_UG && !c->tared) {
        fault_said(f, FAULT_STATE, NULL, "no_cup", "no_cup");
        return decide_refuse(f, b);
    }
    struct said doubt;
    if (!c->tared && !c->sure && decide_doubts(b, t, c->cups, &doubt)) {
        fault_said(f, FAULT_STATE, NULL, "doubtful_cup", "cup_unlike cup_g=%f", (double)t->now_ug / 1e6);
        if (said_is(&doubt, "cup_added"))
            fault_said(f, FAULT_STATE, NULL, "doubtful_cup", "cup_added added_g=%f",
                       (double)(t->now_ug - t->stood_ug) / 1e6);
        return decide_refuse(f, b);
    }
    e->kind = EVENT_CUP;
    decide_weight(e, t);
    e->base_ug = t->now_ug;
    e->tared = c->tared;
    e->tare_g = c->tared ? b->kind_tare_g : fmax(0, (double)t->now_ug / 1e6 - batch_content_g(b));
    double evaporated_g = c->tared ? 0 : decide_evaporated_g(b, t);
    if (evaporated_g > 0) {
        e->evaporated_g = evaporated_g;
        e->said = say("evaporated evaporated_g=%f", evaporated_g);
    }
    return decide_judge(b, e, b->unjudged) ? DECIDED : no_memory(f);
}

/* Paint that came out, any weight of it that the scale shows; whether it was enough is judged by the fold. What comes
 * out is of no tin: none can be empty, and none a wrong one. */
static enum decision accept_taken(const struct batch *b, const struct track *t, const struct command *c,
                                  struct event *e, struct fault *f)
{
    double taken = (double)(t->base_ug - t->now_ug) / 1e6;
    if (c->short_mode != SHORT_NO || c->really[0]) {
        fault_said(f, FAULT_STATE, NULL, "taking_out", "taking_out");
        return decide_refuse(f, b);
    }
    if (taken <= b->set.d_g / 2) {
        fault_said(f, FAULT_STATE, NULL, "short", "nothing_taken_out");
        f->short_g = b->take_g;
        return decide_refuse(f, b);
    }
    e->kind = EVENT_TAKEN;
    decide_weight(e, t);
    e->counted_g = taken;
    e->said = say("taken_out taken_g=%f", taken);
    return DECIDED;
}

/* A new total that this tin is enough for, if no other part is over in it. */
static enum decision make_less(const struct batch *b, int step, double poured, struct event *e, struct fault *f)
{
    double share[RECIPE_PARTS], g[RECIPE_PARTS];
    size_t n = 0, which = RECIPE_PARTS;
    for (size_t p = 0; p < b->recipe.parts && n < RECIPE_PARTS; p++) {
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
    if (which < n && g[which] <= b->set.d_g / 2) { /* of nothing nothing can be made */
        fault_said(f, FAULT_STATE, NULL, "less", "nothing_poured");
        return decide_refuse(f, b);
    }
    if (which == RECIPE_PARTS || !mix_less_total(share, g, n, which, batch_tolerance(b), &e->total_g)) {
        fault_said(f, FAULT_STATE, NULL, "less", "less_others_over");
        return decide_refuse(f, b);
    }
    e->short_mode = SHORT_LESS;
    e->said = say("batch_becomes total_g=%f", e->total_g);
    return DECIDED;
}

/* Whether the step wants more than this pour. The aim that short is judged by: k_lo for colour (k_aim only sets aims),
 * the addition's own for the rest; what stands on the shown aim is enough. *after is a copy of b whose counts of this
 * step are set here, so that many pours can be tried on one. */
static bool under(const struct batch *b, struct batch *after, int step, double poured)
{
    after->step_g[step] = b->step_g[step] + poured;
    after->step_short[step] = false;
    after->part_left[b->recipe.step[step].part] = false;
    return batch_step_wants(after, (size_t)step) && !(b->rules >= 3 && on_shown_aim(b, after, step));
}

/* The lot that was typed, else that of the tin which was scanned for what is counted: of nothing there is no lot. */
static void take_lot(struct event *e, const struct batch *b, const struct command *c, const char *toner, bool nothing)
{
    const char *scanned = nothing ? "" : batch_tin_lot(b, toner);
    snprintf(e->lot, sizeof e->lot, "%s", c->lot[0] ? c->lot : scanned);
}

/* What another tin than the open step's counts for, and the toner that it stood in for: that one is still to come. */
static struct said say_really(const struct batch *b, const char *toner, int step, double poured)
{
    const char *instead = b->recipe.part[b->recipe.step[b->open].part].toner;
    if (strcmp(instead, toner) == 0)
        return say("really_counted toner=%s counted_g=%f", toner, poured);
    return say(step < 0 ? "foreign_instead toner=%s counted_g=%f instead=%s"
                        : "really_instead toner=%s counted_g=%f instead=%s",
               toner, poured, instead);
}

static enum decision accept_pour(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                                 struct fault *f)
{
    double poured = (double)(t->now_ug - t->base_ug) / 1e6;
    bool nothing = poured <= b->set.d_g / 2;
    int step = c->really[0] ? batch_step_for(b, c->really) : b->open;
    decide_weight(e, t);
    e->counted_g = nothing && poured < 0 ? 0 : poured;
    take_lot(e, b, c, c->really[0] ? c->really : batch_open_toner(b), nothing);
    if (c->really[0]) {
        if (nothing)
            return decide_too_little(b, f, 0, true);
        snprintf(e->toner, sizeof e->toner, "%s", c->really);
        e->said = say_really(b, c->really, step, poured);
        if (step < 0) {
            e->part = malloc(sizeof *e->part);
            if (!e->part)
                return no_memory(f);
            *e->part = *c->part;
        }
        return decide_judge(b, e, step) ? DECIDED : no_memory(f);
    }
    struct batch after;
    batch_try(&after, b);
    bool wants = under(b, &after, step, poured);
    if (nothing && c->short_mode == SHORT_NO && b->rules >= 3 && batch_step_aim_g(b, (size_t)step) < batch_d_g(b) / 2) {
        /* The scale shows 0 to go from the beginning: there is nothing that a hand could do. */
        e->short_mode = SHORT_COUNTED;
        e->closed = true;
        e->counted_g = 0;
        e->said = say("short_unseen toner=%s aim_g=%f", b->recipe.part[b->recipe.step[step].part].toner,
                      batch_step_aim_g(b, (size_t)step));
        return decide_judge(b, e, step) ? DECIDED : no_memory(f);
    }
    if ((wants || nothing) && c->short_mode == SHORT_NO)
        return decide_too_little(b, f, batch_step_aim_g(b, (size_t)step) - after.step_g[step], nothing);
    if (c->short_mode == SHORT_LESS && wants) {
        if (b->recipe.part[b->recipe.step[step].part].role != PART_COLOUR) {
            fault_said(f, FAULT_STATE, NULL, "less", "less_on_top");
            return decide_refuse(f, b);
        }
        enum decision d = make_less(b, step, poured, e, f);
        if (d != DECIDED)
            return d;
    } else if (c->short_mode != SHORT_NO && wants) {
        e->short_mode = SHORT_COUNTED;
        e->closed = nothing;
        const char *toner = b->recipe.part[b->recipe.step[step].part].toner;
        e->said = nothing ? say("short_closed toner=%s", toner)
                          : say("short_counted toner=%s counted_g=%f", toner, e->counted_g);
    }
    return decide_judge(b, e, step) ? DECIDED : no_memory(f);
}

/* ---- at which pour of the open step these answers change ---- */

/* What is tried: which pour is enough, or which a smaller batch can be made of. */
struct trial {
    const struct batch *b;
    struct batch *after;
    bool less;
};

static bool holds(const struct trial *t, int64_t ug)
{
    struct event e;
    struct fault ignored = {0};
    double g = (double)ug / 1e6;
    return t->less ? make_less(t->b, t->b->open, g, &e, &ignored) == DECIDED : !under(t->b, t->after, t->b->open, g);
}

/* The least pour that it holds for, since it holds for all above: by halving, some thirty tries. */
static int64_t least_ug(const struct trial *t, int64_t most_ug)
{
    int64_t low = 0, high = most_ug;
    if (!holds(t, high))
        return INT64_MAX;
    while (low < high) {
        int64_t middle = low + (high - low) / 2;
        if (holds(t, middle))
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

void decide_marks(const struct batch *b, int64_t *enough_ug, int64_t *less_ug)
{
    *enough_ug = *less_ug = INT64_MAX;
    if (b->state != BATCH_POUR || b->now != NOW_STEP || b->open < 0)
        return;
    struct batch after;
    batch_try(&after, b);
    const struct recipe_part *p = &b->recipe.part[b->recipe.step[b->open].part];
    double most_g = b->asked.aim_g - b->asked.counted_g + b->asked.tolerance_g + b->set.d_g;
    struct trial trial = {b, &after, false};
    int64_t most_ug = llround(fmax(0, most_g) * 1e6);
    *enough_ug = least_ug(&trial, most_ug);
    trial.less = true;
    if (p->role == PART_COLOUR)
        *less_ug = least_ug(&trial, most_ug);
}

/* In the order in which a hand can put things right: the state, the cup, the weight at rest. */
enum decision decide_accept(const struct batch *b, const struct track *t, const struct command *c, struct event *e,
                            struct fault *f)
{
    if (b->state == BATCH_CUP)
        return accept_cup(b, t, c, e, f);
    if (b->state == BATCH_OVER) {
        fault_said(f, FAULT_STATE, NULL, "over", "remedy_first");
        return decide_refuse(f, b);
    }
    if (b->state != BATCH_POUR) {
        fault_said(f, FAULT_STATE, NULL, "done", "accept_nothing_left");
        return decide_refuse(f, b);
    }
    if (t->lifted) {
        fault_said(f, FAULT_STATE, NULL, "lifted", "accept_lifted");
        return decide_refuse(f, b);
    }
    if (!t->now_stable)
        return NOT_YET;
    if (b->now == NOW_TAKE_OUT)
        return accept_taken(b, t, c, e, f);
    return accept_pour(b, t, c, e, f);
}

/* The first colour step of the cup's content that is over at the total wanted; -1: none. foreign: only those that the
 * formula does not hold, which no total makes right. */
static int have_over(const struct batch *b, bool foreign)
{
    for (size_t s = 0; s < b->recipe.steps; s++) {
        const struct recipe_part *p = &b->recipe.part[b->recipe.step[s].part];
        if (p->role == PART_COLOUR && (p->share <= 0) == foreign && b->step_g[s] > 0 &&
            batch_step_over(b, s, b->target_g))
            return (int)s;
    }
    return -1;
}

/* Reducer that came with a leftover, more of it than all the colour asks for; nothing said: none. */
static struct said have_reducer(const struct batch *b)
{
    for (size_t p = 0; p < b->recipe.parts; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        double in_cup_g = batch_part_g(b, (int)p), aim_g = batch_addition_aim_g(b, (int)p);
        /* Where none is wanted every gram the scale shows is too much. */
        double most_g = aim_g + fmax(b->set.tolerance_g, mix_tolerance_g(1, aim_g, batch_addition_tolerance(b, part)));
        if (part->role == PART_REDUCER && in_cup_g > most_g + MIX_SLACK_G)
            return say("have_reducer toner=%s in_cup_g=%f aim_g=%f", part->toner, in_cup_g, aim_g);
    }
    return (struct said){.used = 0};
}

struct said decide_begin_said(const struct batch *b)
{
    /* What is foreign goes first: with it in the cup a total would be a promise that nobody can keep. */
    int foreign = have_over(b, true), over = have_over(b, false);
    if (foreign >= 0)
        return say("have_foreign toner=%s", b->recipe.part[b->recipe.step[foreign].part].toner);
    if (over >= 0)
        return say("have_much toner=%s total_g=%f", b->recipe.part[b->recipe.step[over].part].toner, batch_k_lo(b));
    struct said reducer = have_reducer(b);
    if (reducer.code[0] || b->edges == 0)
        return reducer;
    /* Who asks for a coat by its number learns which half this is. */
    return b->edges == 1 ? say("begun_edges") : say("begun_outsides");
}
