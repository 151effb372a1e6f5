/* verdicts.c - how each step stands, and the facts that a batch keeps for good: tints, wrong tins, what was left.
 *
 * One place for all who show it: screen, record, label, lists. It must not know how any of them lays it out.
 */
#include "front/front.h"
#include "mix/aim.h"
#include "station/aims.h"

#include <math.h>
#include <string.h>

void front_tinted(const struct batch *b, double grams[RECIPE_PARTS])
{
    const char *tint = NULL; /* the toner that is open by eye */
    memset(grams, 0, RECIPE_PARTS * sizeof *grams);
    for (size_t i = 0; i < b->events; i++) {
        const struct event *e = &b->history[i];
        bool ends = e->kind == EVENT_ACCEPTED || e->kind == EVENT_HELD;
        int part = tint && ends && !e->closed ? recipe_find(&b->recipe, tint) : -1;
        if (part >= 0)
            grams[part] += e->counted_g;
        if (e->kind == EVENT_TINT)
            tint = e->toner;
        else if (ends)
            tint = NULL;
    }
}

/* What the step should hold at the least total: that judges, where k_aim only aims. */
static double judged_aim_g(const struct batch *b, size_t step)
{
    double aim = batch_step_aim_g(b, step), k_aim = batch_k_aim(b);
    bool colour = b->recipe.part[b->recipe.step[step].part].role == PART_COLOUR;
    return colour && k_aim > 0 ? aim * batch_k_lo(b) / k_aim : aim;
}

static bool asks(const struct batch *b, size_t step)
{
    bool undecided = b->state == BATCH_OVER || (b->state == BATCH_POUR && b->now == NOW_TAKE_OUT);
    return undecided && b->over == (int)step;
}

const char *front_verdict(const struct batch *b, size_t step, double *deviation_pct)
{
    int part = b->recipe.step[step].part;
    const struct recipe_part *p = &b->recipe.part[part];
    double aim = judged_aim_g(b, step), poured = b->step_g[step], tinted[RECIPE_PARTS];
    *deviation_pct = b->step_poured[step] && aim > 0 && poured > 0 ? 100 * (poured - aim) / aim : NAN;
    if (asks(b, step))
        return "over";
    if (p->foreign)
        return "foreign";
    if (b->part_left[part])
        return "left";
    front_tinted(b, tinted);
    if (tinted[part] > 0)
        return "tinted";
    if (!b->step_poured[step])
        return NULL;
    double tolerance = batch_step_tolerance_g(b, step);
    return poured < aim - tolerance - MIX_SLACK_G ? "short" : "on_aim";
}

json_t *front_facts(const struct front *f)
{
    const struct batch *b = f->batch;
    json_t *list = json_array();
    double tinted[RECIPE_PARTS];
    front_tinted(b, tinted);
    for (size_t p = 0; p < b->recipe.parts; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        double g = batch_part_g(b, (int)p);
        double aim = part->role == PART_COLOUR ? part->share * batch_k_lo(b) : batch_addition_aim_g(b, (int)p);
        struct said fact = {.used = 0};
        if (tinted[p] > 0)
            fact = say("fact_tinted toner=%s poured_g=%f", part->toner, tinted[p]);
        else if (part->foreign && g > 0)
            fact = say("fact_foreign toner=%s poured_g=%f", part->toner, g);
        else if (b->part_left[p] && aim > 0 && g > aim)
            fact = say("fact_left toner=%s deviation_pct=%f", part->toner, 100 * (g - aim) / aim);
        if (fact.code[0])
            json_array_append_new(list, front_said(f, &fact));
    }
    return list;
}
