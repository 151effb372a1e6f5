/* stock_taken.c - what an accepted pour takes out of the shop's tins, or out of a cup of the shelf, and what its undo
 * gives back. It must not know
 * how much there is: the store moves grams, and only of toners that were ever counted or received. */
#include "bench/bench_parts.h"

#include "station/aims.h"

#include <math.h>
#include <string.h>

/* Grams of a toner that the cup holds; a tint makes the recipe anew, so parts are told by their toner. */
static double held_g(const struct batch *b, const char *toner)
{
    double grams = 0;
    for (size_t p = 0; p < b->recipe.parts; p++)
        if (strcmp(b->recipe.part[p].toner, toner) == 0)
            grams += batch_part_g(b, (int)p);
    return grams;
}

/* A pour, or its undo. What is taken out by a dip goes into no tin, and what was in the cup when it was put on came
 * from none, as what a cup of the shelf brings in. */
static bool pours(const struct batch *before, const struct batch *after, enum event_kind kind)
{
    bool of_tins = before->state == BATCH_POUR && before->now != NOW_TAKE_OUT && before->now != NOW_CUP;
    if (kind == EVENT_HELD || kind == EVENT_TINT || kind == EVENT_ACCEPTED) /* the first two count the open step */
        return of_tins;
    return kind == EVENT_UNDONE && after->state != BATCH_CUP && after->now != NOW_CUP;
}

/* The accept that an undo takes back; NULL: none, or that of a cup set on the scale. */
static const struct event *last_accept(const struct batch *b)
{
    for (size_t i = b->events; i > 0; i--)
        if (b->history[i - 1]->kind == EVENT_ACCEPTED || b->history[i - 1]->kind == EVENT_CUP)
            return b->history[i - 1]->kind == EVENT_ACCEPTED ? b->history[i - 1] : NULL;
    return NULL;
}

/* Out of a cup of the shelf, which the event names, and not out of a tin. */
static bool is_of_cup(const struct batch *before, const struct event *e)
{
    const struct event *pour = e->kind == EVENT_UNDONE ? last_accept(before) : e;
    return pour && pour->cup[0] && !pour->toner[0];
}

/* A hold counts what was poured of the open cup so far. An empty cup takes with it what the shelf still showed. */
bool bench_cup_taken(const struct batch *before, const struct event *e, struct store_take *take)
{
    if (e->kind == EVENT_HELD && before->state == BATCH_POUR && before->now == NOW_CUP && e->counted_g > 0) {
        *take = (struct store_take){.batch = before->cup[before->open_cup].batch, .grams = e->counted_g};
        return true;
    }
    if ((e->kind != EVENT_ACCEPTED && e->kind != EVENT_UNDONE) || !is_of_cup(before, e))
        return false;
    const struct event *pour = e->kind == EVENT_UNDONE ? last_accept(before) : e;
    *take = (struct store_take){.batch = pour->cup, .grams = e == pour ? pour->shelf_g : -pour->shelf_g};
    return true;
}

/* The lot that was named with the pour; an undo takes back the last one. NULL: none was. */
static const char *lot_of(const struct batch *before, const struct event *e)
{
    const struct event *pour = e;
    for (size_t i = before->events; e->kind == EVENT_UNDONE && i > 0 && pour == e; i--)
        if (before->history[i - 1]->kind == EVENT_ACCEPTED)
            pour = before->history[i - 1];
    return pour->lot[0] ? pour->lot : NULL;
}

size_t bench_stock_taken(const struct batch *before, const struct batch *after, const struct event *e, const char *day,
                         struct store_move moves[RECIPE_PARTS])
{
    size_t count = 0;
    if (!before || !after || !pours(before, after, e->kind) || is_of_cup(before, e))
        return 0;
    /* An undone tint or wrong tin is a part of the batch before alone. */
    const struct batch *wider = e->kind == EVENT_UNDONE ? before : after;
    for (size_t p = 0; p < wider->recipe.parts; p++) {
        const char *toner = wider->recipe.part[p].toner;
        bool seen = false;
        for (size_t i = 0; i < count; i++)
            seen = seen || strcmp(moves[i].toner, toner) == 0;
        double grams = seen ? 0 : held_g(before, toner) - held_g(after, toner);
        if (fabs(grams) > 5e-7)
            moves[count++] =
                (struct store_move){.toner = toner, .lot = lot_of(before, e), .day = day, .grams = grams, .used = true};
    }
    return count;
}
