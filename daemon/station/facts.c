/* facts.c - verdicts and facts from what the fold counted. It must not know who shows them, nor a scale. */
#include "station/facts.h"

#include "station/aims.h"

#include <math.h>
#include <string.h>

const char *const step_verdict_names[STEP_VERDICTS] = {
    [STEP_ON_AIM] = "on_aim", [STEP_SHORT] = "short",     [STEP_OVER] = "over",
    [STEP_LEFT] = "left",     [STEP_FOREIGN] = "foreign", [STEP_TINTED] = "tinted",
};

static bool remembers(const struct batch_bit *list, size_t count, const char *toner)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(list[i].toner, toner) == 0)
            return true;
    return false;
}

/* The overpour that waits for its remedy, or for paint to be taken out. */
static bool is_over(const struct batch *b, size_t step)
{
    bool asks = b->state == BATCH_OVER || (b->state == BATCH_POUR && b->now == NOW_TAKE_OUT);
    return asks && b->over == (int)step;
}

static bool is_open(const struct batch *b, size_t step)
{
    return b->state == BATCH_POUR && b->now == NOW_STEP && b->open == (int)step;
}

enum step_verdict batch_step_verdict(const struct batch *b, size_t step)
{
    int part = b->recipe.step[step].part;
    const struct recipe_part *p = &b->recipe.part[part];
    if (is_over(b, step))
        return STEP_OVER;
    if (p->foreign)
        return STEP_FOREIGN;
    if (is_open(b, step) || !b->step_poured[step])
        return STEP_NONE;
    if (b->part_left[part])
        return STEP_LEFT;
    if (remembers(b->tinted, b->tints, p->toner))
        return STEP_TINTED;
    return b->step_short[step] || batch_step_wants(b, step) ? STEP_SHORT : STEP_ON_AIM;
}

double batch_step_deviation_pct(const struct batch *b, size_t step)
{
    enum step_verdict verdict = batch_step_verdict(b, step);
    if (verdict == STEP_NONE || verdict == STEP_FOREIGN || verdict == STEP_TINTED)
        return NAN;
    double aim = batch_step_judged_aim_g(b, step), poured = b->step_g[step];
    return aim > 0 && poured > 0 ? 100 * (poured - aim) / aim : NAN;
}

const char *batch_step_lot(const struct batch *b, size_t step)
{
    return b->part_lot[b->recipe.step[step].part];
}

static void add(struct said *out, size_t most, size_t *count, struct said fact)
{
    if (*count < most)
        out[(*count)++] = fact;
}

size_t batch_facts(const struct batch *b, struct said *out, size_t most)
{
    size_t n = 0;
    for (size_t i = 0; i < b->tints; i++)
        add(out, most, &n, say("fact_tinted toner=%s poured_g=%f", b->tinted[i].toner, b->tinted[i].grams));
    for (size_t i = 0; i < b->foreigns; i++)
        add(out, most, &n, say("fact_foreign toner=%s poured_g=%f", b->foreign[i].toner, b->foreign[i].grams));
    for (size_t s = 0; s < b->recipe.steps; s++) {
        const char *toner = b->recipe.part[b->recipe.step[s].part].toner;
        double off_pct = batch_step_deviation_pct(b, s);
        if (batch_step_verdict(b, s) == STEP_LEFT && off_pct > 0)
            add(out, most, &n, say("fact_left toner=%s deviation_pct=%f", toner, off_pct));
        else if (b->step_short[s] && isnan(off_pct))
            add(out, most, &n, say("fact_missing toner=%s", toner));
        else if (b->step_short[s] && off_pct < 0)
            add(out, most, &n, say("fact_short toner=%s deviation_pct=%f", toner, off_pct));
    }
    return n;
}
