/* by_itself.c - `accept_after_s`: a bench that takes a pour on aim by itself, after a count that everybody sees. It
 * must not know what an accept does: the turn is one like any other (turns.c), with nobody to answer.
 *
 * The count runs while Enter would accept on aim: nothing ails the scale, the weight stands, paint came since the step
 * was opened, and no call waits. What is too small to be seen, what came at once (a lid, a tool) and a pour past its
 * aim are never taken so: a person judges them. A key or a touch stops the count until the weight moves or somebody
 * acts.
 */
#include "bench/bench_parts.h"

#include <math.h>
#include <stdlib.h>

/* Whether Enter would accept this pour as on aim, and nobody need look at it. */
static bool on_aim(const struct bench *b)
{
    const struct batch *k = b->batch;
    if (!k || k->state != BATCH_POUR || k->now != NOW_STEP || k->open < 0 || b->track.lifted)
        return false;
    bool free_hands = !b->writing && !b->waiting && b->turns == 0 && !b->closing;
    bool weighs = b->scale == PORT_LIVE && b->limit == FRONT_WEIGHS && b->settle.settled;
    double poured_g = (double)track_pour_ug(&b->track) / 1e6;
    return free_hands && weighs && b->cue == MIX_CUE_OK && poured_g > b->config->d_g / 2 && isnan(jump_g(&b->jump)) &&
           !bench_check_lead(b).code[0] && !bench_glance_due(b); /* nobody would have looked */
}

/* A step aside by more than the tolerance, or another act: what a key stopped may begin anew. */
static bool moved(const struct bench *b)
{
    return llabs(b->track.now_ug - b->count.at_ug) > bench_tolerance_ug(b) || b->count.revision != b->revision;
}

/* Begins or ends; a count that goes on keeps the weight that it began with. */
static void set(struct bench *b, bool running)
{
    b->count.running = running;
    b->count.since_ms = b->read_ms;
    b->count.at_ug = b->track.now_ug;
    b->count.revision = b->revision;
}

/* Once a frame. A person who stopped the count is asked again only after the weight has moved: else a hand on the cup
 * would start it anew each second. Whole seconds, rounded up, so 0 is never shown before it is due. */
__attribute__((hot)) void bench_count_reading(struct bench *b)
{
    if (b->config->accept_after_s == 0 || (b->count.stopped && !moved(b)))
        return;
    b->count.stopped = false;
    if (!on_aim(b))
        set(b, false);
    else if (!b->count.running || moved(b))
        set(b, true);
    int64_t left_ms = (int64_t)b->config->accept_after_s * 1000 - (b->read_ms - b->count.since_ms);
    b->count.due = b->count.running && left_ms <= 0;
    b->count.in_s = !b->count.running ? 0 : left_ms > 0 ? (int)((left_ms + 999) / 1000) : 1;
}

void bench_count_stop(struct bench *b)
{
    if (!b->count.running)
        return;
    set(b, false);
    b->count.stopped = true;
    b->count.due = false;
    b->count.in_s = 0;
}
