/* batch.c - questions of a batch that its fold or anyone may ask. It must not know who asks, nor a scale. */
#include "station/batch.h"

#include "station/aims.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

/* What lists and records say: while a cup stands on a scale its batch is `open`, whatever the pour is at. */
const char *const batch_state_names[] = {
    [BATCH_CUP] = "open",  [BATCH_POUR] = "open",         [BATCH_OVER] = "open",         [BATCH_DONE] = "open",
    [BATCH_HELD] = "held", [BATCH_FINISHED] = "finished", [BATCH_SCRAPPED] = "scrapped",
};
const char *const screen_state_names[] = {
    [BATCH_CUP] = "cup",   [BATCH_POUR] = "pour",     [BATCH_OVER] = "over",     [BATCH_DONE] = "done",
    [BATCH_HELD] = "idle", [BATCH_FINISHED] = "idle", [BATCH_SCRAPPED] = "idle",
};

/* -1 and NaN say `none`: 0 would be the first step, and a weight. */
void batch_init(struct batch *b)
{
    memset(b, 0, sizeof *b);
    b->open = b->over = b->unjudged = -1;
    b->take_g = b->cup_ml = b->kind_tare_g = b->tare_g = b->estimate_g = NAN;
    for (size_t p = 0; p < RECIPE_PARTS; p++)
        b->part_edge_g[p] = NAN;
}

void batch_finish(struct batch *b)
{
    for (size_t i = 0; i < b->events; i++) {
        if (--b->history[i]->holders > 0)
            continue;
        event_finish(b->history[i]);
        free(b->history[i]);
    }
    free(b->history);
    b->history = NULL;
    b->events = b->room = 0;
}

/* Nine tenths of a batch are room for parts that most recipes do not have. */
static void copy_used(struct batch *to, const struct batch *from)
{
    const size_t head = offsetof(struct batch, recipe.part), rest = offsetof(struct batch, recipe.parts);
    memcpy(to, from, head);
    memcpy(to->recipe.part, from->recipe.part, from->recipe.parts * sizeof from->recipe.part[0]);
    memcpy((char *)to + rest, (const char *)from + rest, sizeof *to - rest);
}

void batch_try(struct batch *to, const struct batch *from)
{
    copy_used(to, from);
    to->history = NULL;
    to->events = to->room = 0;
    to->trial = true;
}

/* With room for the event that is folded next. */
bool batch_copy(struct batch *to, const struct batch *from)
{
    copy_used(to, from);
    to->room = from->events + 1;
    to->history = malloc(to->room * sizeof(void *));
    to->events = to->history ? from->events : 0;
    for (size_t i = 0; i < to->events; i++) {
        to->history[i] = from->history[i];
        to->history[i]->holders++;
    }
    return to->history != NULL;
}

/* Of acts alone, which are folded once they are on disk: a note is folded even where the disk refused it. */
static void note_scale(struct batch *b, const struct event *e)
{
    if (!e->port[0])
        return;
    memcpy(b->scale.profile, e->profile, sizeof b->scale.profile);
    memcpy(b->scale.port, e->port, sizeof b->scale.port);
    b->scale.d_g = e->d_g;
}

/* Room is doubled, so that a batch of 600 events moves none of them more than once or twice. */
static bool add(struct batch *b, struct event *e)
{
    if (b->events == b->room) {
        size_t room = b->room ? b->room * 2 : 16;
        struct event **more = realloc(b->history, room * sizeof(void *));
        if (!more)
            return false;
        b->history = more;
        b->room = room;
    }
    b->history[b->events++] = e;
    e->holders++;
    return true;
}

bool batch_remember(struct batch *b, const struct event *e, struct event *held)
{
    note_scale(b, e);
    if (b->trial || held)
        return b->trial || add(b, held);
    struct event *own = malloc(sizeof *own);
    bool copied = own && event_copy(own, e);
    if (copied && add(b, own))
        return true;
    if (copied)
        event_finish(own);
    free(own);
    return false;
}

/* All three or none: a second range has another interval, and then the whole is said again. */
void batch_scale_left_out(const struct batch *b, struct event *e)
{
    const struct batch_scale *s = &b->scale;
    if (!s->port[0] || strcmp(s->port, e->port) != 0 || strcmp(s->profile, e->profile) != 0 || s->d_g != e->d_g)
        return;
    e->profile[0] = e->port[0] = '\0';
    e->d_g = NAN;
}

/* Milliseconds of the wall clock. A hardener poured by mistake activates without a pot life: nobody knows its ratio. */
int64_t batch_use_by_ms(const struct batch *b)
{
    if (b->hardener_ms == 0 || isnan(b->recipe.pot_life_min))
        return 0;
    return b->hardener_ms + (int64_t)(b->recipe.pot_life_min * 60000);
}

const char *batch_open_toner(const struct batch *b)
{
    if (b->state != BATCH_POUR || b->now == NOW_TAKE_OUT || b->now == NOW_CUP) /* a cup of the shelf is no tin */
        return NULL;
    if (b->now == NOW_TINT)
        return b->tint.toner;
    return b->open < 0 ? NULL : b->recipe.part[b->recipe.step[b->open].part].toner;
}

const char *batch_tin_lot(const struct batch *b, const char *toner)
{
    return toner && strcmp(b->tin.toner, toner) == 0 ? b->tin.lot : "";
}

/* Counted hardener, also of a wrong tin: what hardens does not ask what was planned. */
bool batch_activated(const struct batch *b)
{
    for (size_t s = 0; s < b->recipe.steps; s++)
        if (b->recipe.part[b->recipe.step[s].part].role == PART_HARDENER && b->step_g[s] > 0)
            return true;
    return b->hardened;
}

struct number_style batch_number_style(const struct batch *b)
{
    return (struct number_style){.point = b->set.comma ? ',' : '.', .d_g = b->set.d_g};
}

/* The overpour that waits for its remedy. Judged at the total before this pour: that is the aim that was passed. */
static struct batch_asked asked_over(const struct batch *b)
{
    size_t step = (size_t)b->over;
    const struct recipe_step *s = &b->recipe.step[step];
    const struct recipe_part *p = &b->recipe.part[s->part];
    bool whole = p->role == PART_COLOUR && p->share > 0 && s->share == p->share;
    return (struct batch_asked){.open = true,
                                .aim_g = whole ? p->share * b->over_total_g : batch_step_aim_g(b, step),
                                .counted_g = b->step_g[step],
                                .tolerance_g = batch_step_tolerance_g(b, step)};
}

/* A toner by eye has no aim; what the cup holds of it already counts. */
static struct batch_asked asked_tint(const struct batch *b)
{
    int part = recipe_find(&b->recipe, b->tint.toner);
    return (struct batch_asked){.open = true,
                                .running = true,
                                .aim_g = NAN,
                                .counted_g = part >= 0 ? batch_part_g(b, part) : 0,
                                .tolerance_g = NAN};
}

/* Out of a cup of the shelf: by what was worked out, as finely as a toner of that weight. */
static struct batch_asked asked_cup(const struct batch *b)
{
    const struct batch_cup *cup = &b->cup[b->open_cup];
    return (struct batch_asked){.open = true,
                                .running = true,
                                .aim_g = cup->aim_g,
                                .counted_g = cup->poured_g,
                                .tolerance_g = batch_cup_tolerance_g(b, cup)};
}

struct batch_asked fold_asked_of(const struct batch *b)
{
    if (b->state == BATCH_OVER)
        return asked_over(b);
    if (b->state == BATCH_POUR && b->now == NOW_TAKE_OUT)
        return (struct batch_asked){.open = true, .running = true, .aim_g = -b->take_g, .tolerance_g = NAN};
    if (b->state == BATCH_POUR && b->now == NOW_TINT)
        return asked_tint(b);
    if (b->state == BATCH_POUR && b->now == NOW_CUP)
        return asked_cup(b);
    if (b->state != BATCH_POUR || b->open < 0)
        return (struct batch_asked){.aim_g = NAN, .tolerance_g = NAN};
    return (struct batch_asked){.open = true,
                                .running = true,
                                .aim_g = batch_step_aim_g(b, (size_t)b->open),
                                .counted_g = b->step_g[b->open],
                                .tolerance_g = batch_step_tolerance_g(b, (size_t)b->open)};
}
