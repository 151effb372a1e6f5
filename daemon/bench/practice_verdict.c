/* practice_verdict.c - what was done well in a practice, and what to do next time, told from the batches that were
 * poured. It must not know the hand: what counts is what the painter did about it.
 */
#include "bench/practice_parts.h"

#include "station/decide.h"

#include <math.h>
#include <string.h>

static void add(struct said list[PRACTICE_SAIDS], size_t *count, struct said said)
{
    if (*count < PRACTICE_SAIDS)
        list[(*count)++] = said;
}

/* One of two sentences: it was so, or it shall be. */
static void judge(struct practice_verdict *v, bool well, struct said good, struct said better)
{
    if (well)
        add(v->well, &v->wells, good);
    else
        add(v->next_time, &v->next_times, better);
}

/* Events of a kind in all batches of the practice, those that `fits` (NULL: all). */
static size_t count(const struct practice *p, enum event_kind kind, bool (*fits)(const struct event *e))
{
    size_t n = 0;
    for (size_t i = 0; i <= p->ends; i++) {
        const struct batch *b = i < p->ends ? p->ended[i] : p->bench->batch;
        for (size_t k = 0; b && k < b->events; k++)
            n += b->history[k]->kind == kind && (!fits || fits(b->history[k]));
    }
    return n;
}

static bool is_over(const struct event *e)
{
    return e->over || e->grew_g > 0;
}

static bool is_short(const struct event *e)
{
    return e->short_mode != SHORT_NO;
}

static bool names_tin(const struct event *e)
{
    return e->toner[0] != '\0';
}

/* The batch as it stood when the remedy was chosen, for what the others would have cost. False: none was chosen. */
static bool chosen(const struct batch *b, struct batch_remedies *r, enum event_remedy *remedy)
{
    struct batch then;
    batch_init(&then);
    bool found = false;
    for (size_t k = 0; !found && k < b->events; k++) {
        found = b->history[k]->kind == EVENT_REMEDY;
        if (found) {
            batch_remedies(&then, r);
            *remedy = b->history[k]->remedy;
        } else if (!batch_fold(&then, NULL, b->history[k])) {
            break;
        }
    }
    batch_finish(&then);
    return found;
}

/* Leaving an error that paint could have mended, or taking out where more would have cost less. */
static void judge_remedy(const struct batch *b, struct practice_verdict *v)
{
    struct batch_remedies r;
    enum event_remedy remedy;
    if (!b || !chosen(b, &r, &remedy))
        return;
    bool grow = r.grow.possible && !r.grow.why, dip = r.dip.possible;
    bool cheaper_grow = grow && remedy == REMEDY_DIP && r.grow.cost < r.dip.cost;
    bool cheaper_dip = dip && remedy == REMEDY_GROW && r.dip.cost < r.grow.cost;
    if (remedy == REMEDY_LEAVE && (grow || dip))
        add(v->next_time, &v->next_times, say("learn_left"));
    else
        judge(v, !cheaper_grow && !cheaper_dip, say("learn_remedy_good"),
              cheaper_grow ? say("learn_grow_cheaper") : say("learn_dip_cheaper"));
}

/* The scenario's own lesson. */
static void judge_scenario(const struct practice *p, struct practice_verdict *v)
{
    switch (p->scenario) {
    case PRACTICE_OVERPOUR:
        judge(v, count(p, EVENT_ACCEPTED, is_over) > 0 && (!p->bench->batch || p->bench->batch->state != BATCH_OVER),
              say("learn_over_answered"), say("learn_over_open"));
        for (size_t i = 0; i <= p->ends; i++)
            judge_remedy(i < p->ends ? p->ended[i] : p->bench->batch, v);
        break;
    case PRACTICE_LIFTED:
        judge(v, !p->off && count(p, EVENT_RETARED, NULL) == 0, say("learn_put_back"), say("learn_put_back_next"));
        if (p->lifted_accepts)
            add(v->next_time, &v->next_times, say("learn_lifted_accept"));
        break;
    case PRACTICE_EMPTY_TIN:
        judge(v, count(p, EVENT_ACCEPTED, is_short) > 0, say("learn_tin_empty"), say("learn_tin_empty_next"));
        break;
    default:
        judge(v, count(p, EVENT_ACCEPTED, names_tin) > 0, say("learn_tin_named"), say("learn_tin_named_next"));
        break;
    }
}

void practice_judge(const struct practice *p, struct practice_verdict *v)
{
    bool poured = count(p, EVENT_ACCEPTED, NULL) > 0;
    memset(v, 0, sizeof *v);
    if (!poured) {
        add(v->next_time, &v->next_times, say("learn_nothing"));
        return;
    }
    judge(v, p->hasty == 0, say("learn_waited"), say("learn_waited_next"));
    judge_scenario(p, v);
    judge(v, count(p, EVENT_FINISHED, NULL) > 0, say("learn_finished"), say("learn_finished_next"));
}
