/* fold_accept.c - what an accept does to the counts: a pour, a tint, another tin. It must not know a scale. */
#include "station/aims.h"

#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* `over` is asked for anew by whoever folds, since only an event may say that something is over. */
void fold_settle(struct batch *b)
{
    b->now = NOW_STEP;
    b->over = -1;
    b->open = batch_next_step(b);
    b->state = b->open < 0 ? BATCH_DONE : BATCH_POUR;
}

/* Grams may be added in several pours of one toner; a toner beyond BATCH_BITS is left out of the facts, never of the
 * counts. */
void fold_remember(struct batch_bit list[BATCH_BITS], size_t *count, const char *toner, double grams)
{
    size_t i = 0;
    while (i < *count && strcmp(list[i].toner, toner) != 0)
        i++;
    if (i == BATCH_BITS)
        return;
    if (i == *count) {
        utf8_copy(list[i].toner, sizeof list[i].toner, toner);
        list[i].grams = 0;
        (*count)++;
    }
    list[i].grams += grams;
}

/* By part, in grams: what a cup that was begun with held already. It counts as if it had been poured in the order of
 * the steps, so a step that it fills asks for nothing. */
void fold_have(struct batch *b, const double have_g[RECIPE_PARTS])
{
    for (size_t p = 0; p < b->recipe.parts; p++) {
        double left = have_g[p];
        int last = -1;
        /* A toner named twice: the first step is filled first, the last takes the rest. */
        for (size_t s = 0; s < b->recipe.steps && left > 0; s++) {
            if (b->recipe.step[s].part != (int)p)
                continue;
            double take = fmin(left, fmax(0, fmax(0, b->recipe.step[s].share) * b->target_g - b->step_g[s]));
            b->step_g[s] += take;
            left -= take;
            last = (int)s;
        }
        if (last >= 0 && left > 0)
            b->step_g[last] += left;
    }
}

/* Rules 1 and 2 took the growth back with the next act that set the target. */
void fold_grown(struct batch *b, const struct event *e)
{
    if (b->rules >= 3 && e->grew_g > b->target_g)
        b->target_g = e->grew_g;
}

/* In the order of the steps, so that a toner named twice asks at its first. */
int fold_find_over(const struct batch *b, double total_g)
{
    for (size_t s = 0; s < b->recipe.steps; s++) {
        bool colour = b->recipe.part[b->recipe.step[s].part].role == PART_COLOUR;
        if (colour && b->step_g[s] > 0 && batch_step_over(b, s, total_g))
            return (int)s;
    }
    return -1;
}

/* A cup may be over in any part; the step that was just counted is looked at last, since only it can be so within its
 * own aim. -1: none is. */
int fold_cup_over(const struct batch *b, int judged, double total_g)
{
    int over = fold_find_over(b, total_g);
    return over < 0 && judged >= 0 && batch_step_over(b, (size_t)judged, total_g) ? judged : over;
}

/* What the event says of its step is taken as it stands and not worked out again: a later version may judge otherwise,
 * and the cup must stay what it was. */
void fold_judged(struct batch *b, int step, bool edge, double total_g)
{
    if (step < 0)
        return;
    if (edge)
        b->part_edge_g[b->recipe.step[step].part] = total_g;
    if (edge || !batch_step_wants(b, (size_t)step))
        b->step_poured[step] = true;
}

/* total_before_g is T of the remedies: the total that was agreed to before this pour. */
void fold_ask(struct batch *b, int step, double total_before_g)
{
    if (step < 0)
        return;
    b->over = step;
    b->over_total_g = total_before_g;
    b->state = BATCH_OVER;
}

/* After a remedy: what is over at the total that it settled on asks next, one at a time. */
void fold_ask_again(struct batch *b)
{
    double total = b->target_g;
    fold_ask(b, fold_find_over(b, total), total);
}

/* A step of nothing for a part; at is its place. False: the recipe is full. */
static bool add_step(struct batch *b, int part, size_t at)
{
    struct recipe *r = &b->recipe;
    if (r->steps == RECIPE_PARTS)
        return false;
    size_t tail = r->steps - at;
    memmove(&r->step[at + 1], &r->step[at], tail * sizeof r->step[0]);
    memmove(&b->step_g[at + 1], &b->step_g[at], tail * sizeof b->step_g[0]);
    memmove(&b->step_poured[at + 1], &b->step_poured[at], tail * sizeof b->step_poured[0]);
    memmove(&b->step_short[at + 1], &b->step_short[at], tail * sizeof b->step_short[0]);
    r->step[at].part = part;
    r->step[at].share = r->part[part].role == PART_COLOUR ? r->part[part].share : 0;
    b->step_g[at] = 0;
    b->step_poured[at] = b->step_short[at] = false;
    if (b->open >= (int)at)
        b->open++;
    r->steps++;
    return true;
}

/* Appends a part with one step. False: the recipe is full. */
static bool add_part(struct batch *b, const struct recipe_part *part, size_t at)
{
    struct recipe *r = &b->recipe;
    if (r->parts == RECIPE_PARTS || r->steps == RECIPE_PARTS)
        return false;
    r->part[r->parts++] = *part;
    return add_step(b, (int)r->parts - 1, at);
}

/* The step that a wrong tin counts for; a new one, last, where the recipe does not hold that toner. -1: no room. */
static int step_of(struct batch *b, const struct event *e)
{
    int part = recipe_find(&b->recipe, e->toner);
    if (part >= 0 && batch_step_for(b, e->toner) >= 0)
        return batch_step_for(b, e->toner);
    if (part >= 0) { /* it comes by a premix, and nobody asked for more of it */
        b->recipe.part[part].foreign = true;
        return add_step(b, part, b->recipe.steps) ? (int)b->recipe.steps - 1 : -1;
    }
    if (!e->part)
        return -1;
    struct recipe_part stray = *e->part;
    stray.foreign = true;
    stray.share = 0;
    stray.per_base = NAN;
    return add_part(b, &stray, b->recipe.steps) ? (int)b->recipe.steps - 1 : -1;
}

/* Appended as `A17, A18`. A list that is full keeps its beginning: the first tins are the ones a maker asks for. */
void fold_lot(struct batch *b, int part, const char *lot)
{
    char *lots = b->part_lot[part];
    size_t used = strlen(lots);
    if (!*lot)
        return;
    /* Several tins stand in order, each once in a row. */
    size_t n = strlen(lot);
    if (used >= n && strcmp(lots + used - n, lot) == 0 && (used == n || lots[used - n - 1] == ' '))
        return;
    snprintf(lots + used, sizeof b->part_lot[0] - used, "%s%s", used ? ", " : "", lot);
}

/* The tin stays until something of it is counted or another is scanned: through a lift, a growth, a tint, a hold. */
bool fold_tin(struct batch *b, const struct event *e)
{
    if (!batch_open_toner(b))
        return false;
    if (e->mixed_lots && b->now == NOW_STEP)
        fold_lot(b, b->recipe.step[b->open].part, batch_tin_lot(b, e->toner));
    snprintf(b->tin.toner, sizeof b->tin.toner, "%s", e->toner);
    snprintf(b->tin.lot, sizeof b->tin.lot, "%s", e->lot);
    b->said = e->said;
    return true;
}

/* Isocyanate stands first whatever else is to be told, and once only; where the list is full the last one gives way. */
void fold_caution(struct batch *b, const struct recipe_part *part)
{
    if (part->role != PART_HARDENER)
        return;
    for (size_t i = 0; i < b->cautions; i++)
        if (said_is(&b->caution[i], "isocyanate"))
            return;
    if (b->cautions < EVENT_CAUTIONS)
        b->cautions++;
    memmove(&b->caution[1], &b->caution[0], (b->cautions - 1) * sizeof b->caution[0]);
    b->caution[0] = say("isocyanate");
}

/* Hardener that nothing asked for starts the clock as well, though nobody knows how long it runs. */
static void note_hardened(struct batch *b, const struct recipe_part *part, const struct event *e)
{
    if (part->role == PART_HARDENER && e->counted_g > 0 && b->hardened_ms == 0)
        b->hardened_ms = e->wall_ms;
}

/* Re-bases the recipe on what is in the cup, open parts at their aims: shares are those amounts by their sum. */
bool fold_tinted(struct batch *b, const struct event *e)
{
    double amount[RECIPE_PARTS] = {0}, sum = 0, total = batch_k_aim(b);
    b->recipe.cards = 0; /* it is another colour than theirs */
    bool was_done = batch_next_step(b) < 0;
    b->unjudged = -1; /* whatever it was, it is the recipe now */
    int part = recipe_find(&b->recipe, b->tint.toner);
    for (size_t s = 0; s < b->recipe.steps; s++) {
        const struct recipe_step *step = &b->recipe.step[s];
        if (b->recipe.part[step->part].role != PART_COLOUR)
            continue;
        bool wants = batch_step_wants(b, s) && !was_done;
        amount[s] = wants ? fmax(b->step_g[s], step->share * total) : b->step_g[s];
    }
    bool known = part >= 0 && b->recipe.part[part].role == PART_COLOUR;
    if (!known || batch_step_for(b, b->tint.toner) < 0) {
        struct recipe_part added = b->tint;
        added.role = PART_COLOUR;
        size_t at = recipe_colour_steps(&b->recipe);
        if (!(known ? add_step(b, part, at) : add_part(b, &added, at)))
            return false;
        memmove(&amount[at + 1], &amount[at], (b->recipe.steps - 1 - at) * sizeof amount[0]);
        amount[at] = 0;
        part = known ? part : (int)b->recipe.parts - 1;
    }
    int step = -1;
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (b->recipe.step[s].part == part)
            step = (int)s;
    b->step_g[step] += e->counted_g;
    amount[step] += e->counted_g;
    fold_remember(b->tinted, &b->tints, b->tint.toner, e->counted_g);
    if (b->tint.role == PART_HARDENER && e->counted_g > 0)
        b->hardened = true;
    note_hardened(b, &b->tint, e);
    b->step_poured[step] = true;
    for (size_t s = 0; s < b->recipe.steps; s++)
        sum += amount[s];
    for (size_t p = 0; p < b->recipe.parts; p++) {
        if (b->recipe.part[p].role != PART_COLOUR)
            continue;
        double share = 0;
        for (size_t s = 0; s < b->recipe.steps; s++)
            if (b->recipe.step[s].part == (int)p)
                share += b->recipe.step[s].share = amount[s] / sum;
        b->recipe.part[p].share = share;
        b->recipe.part[p].foreign = false;
        b->part_left[p] = false;
        b->part_edge_g[p] = NAN;
    }
    for (size_t i = 0; i < b->recipe.mixes; i++)
        b->recipe.mix[i].wanted = NAN; /* the cup is the recipe now */
    fold_lot(b, part, e->lot);
    b->wanted_g = b->target_g = sum;
    return true;
}

/* A tin that was poured while a cup of the shelf, or a toner by eye, was asked for: its toner counts, and nothing else
 * is settled. */
bool fold_tin_meanwhile(struct batch *b, const struct event *e)
{
    int step = step_of(b, e);
    if (step < 0)
        return false;
    const struct recipe_part *part = &b->recipe.part[b->recipe.step[step].part];
    b->step_g[step] += e->counted_g;
    b->step_poured[step] = true;
    if (part->foreign) {
        fold_caution(b, part);
        note_hardened(b, part, e);
        fold_remember(b->foreign, &b->foreigns, part->toner, e->counted_g);
    }
    fold_lot(b, b->recipe.step[step].part, e->lot);
    return true;
}

/* A stranger is judged once the tint is given up, before what the interrupted step held: that is in the formula. */
static bool other_tin(struct batch *b, const struct event *e)
{
    if (!fold_tin_meanwhile(b, e))
        return false;
    int step = batch_step_for(b, e->toner);
    if (step >= 0 && (b->unjudged < 0 || b->recipe.part[b->recipe.step[step].part].foreign))
        b->unjudged = step;
    return true;
}

/* Closed: nothing was poured, the tint is given up and the shares stay; what the interrupted step held was judged. */
static bool tint_accepted(struct batch *b, const struct event *e)
{
    if (e->toner[0] && strcmp(e->toner, b->tint.toner) != 0)
        return other_tin(b, e);
    if (!e->closed && !fold_tinted(b, e))
        return false;
    int interrupted = b->open, judged = b->unjudged;
    double before = batch_k_lo(b);
    b->unjudged = -1;
    fold_judged(b, judged, e->edge, before);
    fold_grown(b, e);
    fold_settle(b);
    if (e->over && judged >= 0) {
        fold_ask(b, judged, before);
        return true;
    }
    /* The interrupted step goes on, before anything else that asks. */
    if (interrupted >= 0 && batch_step_wants(b, (size_t)interrupted)) {
        b->open = interrupted;
        b->state = BATCH_POUR;
    }
    return true;
}

/* The counts first, then what the event decided (edge, closed, less, grown, over): the fold judges nothing by itself
 * but which step opens next. */
static bool pour_accepted(struct batch *b, const struct event *e)
{
    double before = batch_k_lo(b);
    int open = b->open;
    int step = e->toner[0] ? step_of(b, e) : open;
    if (step < 0 || open < 0)
        return false;
    int part = b->recipe.step[step].part;
    b->step_g[step] += e->counted_g;
    b->step_poured[step] = true;
    if (b->recipe.part[part].foreign) {
        fold_caution(b, &b->recipe.part[part]);
        note_hardened(b, &b->recipe.part[part], e);
        fold_remember(b->foreign, &b->foreigns, b->recipe.part[part].toner, e->counted_g);
    }
    if (e->counted_g > 0)
        b->part_left[part] = false;
    if (e->edge)
        b->part_edge_g[part] = before;
    else if (e->counted_g > 0)
        b->part_edge_g[part] = NAN;
    b->step_short[step] = e->closed;
    fold_lot(b, part, e->lot);
    if (e->short_mode == SHORT_LESS)
        b->wanted_g = b->target_g = e->total_g;
    fold_grown(b, e);
    fold_settle(b);
    /* Another tin of the same toner follows, or another tin than the open step's was poured: that step stays open. */
    bool stays = (e->short_mode == SHORT_COUNTED && !e->closed) || step != open;
    int next = b->open;
    if (stays)
        b->open = open;
    if (stays && batch_step_wants(b, (size_t)open))
        b->state = BATCH_POUR;
    else
        b->open = next;
    if (e->over)
        fold_ask(b, step, before);
    return true;
}

/* The reading that was accepted is the base of what comes next, for tints and pours alike. */
bool fold_accepted(struct batch *b, struct track *t, const struct event *e)
{
    const char *open = batch_open_toner(b), *toner = e->toner[0] ? e->toner : open;
    bool of_tin = toner && strcmp(toner, b->tin.toner) == 0;
    if (b->state != BATCH_POUR)
        return false;
    if (b->now == NOW_TINT ? !tint_accepted(b, e) : !pour_accepted(b, e))
        return false;
    if (of_tin)
        memset(&b->tin, 0, sizeof b->tin); /* the next pour may be from another tin */
    b->said = e->said;
    b->glanced = b->glanced || e->glance[0];
    if (t)
        track_start(t, e->weight_ug, e->weight_ug);
    return true;
}
