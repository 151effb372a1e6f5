#include "station/fold_parts.h"

#include <math.h>

/* The overpour that waits for its remedy. Judged at the total before this pour: that is the aim that was passed. */
static struct batch_asked over(const struct batch *b)
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
static struct batch_asked tint(const struct batch *b)
{
    int part = recipe_find(&b->recipe, b->tint.toner);
    return (struct batch_asked){.open = true,
                                .running = true,
                                .aim_g = NAN,
                                .counted_g = part >= 0 ? batch_part_g(b, part) : 0,
                                .tolerance_g = NAN};
}

struct batch_asked fold_asked_of(const struct batch *b)
{
    if (b->state == BATCH_OVER)
        return over(b);
    if (b->state == BATCH_POUR && b->now == NOW_TAKE_OUT)
        return (struct batch_asked){.open = true, .running = true, .aim_g = -b->take_g, .tolerance_g = NAN};
    if (b->state == BATCH_POUR && b->now == NOW_TINT)
        return tint(b);
    if (b->state != BATCH_POUR || b->open < 0)
        return (struct batch_asked){.aim_g = NAN, .tolerance_g = NAN};
    return (struct batch_asked){.open = true,
                                .running = true,
                                .aim_g = batch_step_aim_g(b, (size_t)b->open),
                                .counted_g = b->step_g[b->open],
                                .tolerance_g = batch_step_tolerance_g(b, (size_t)b->open)};
}
