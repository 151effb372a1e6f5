/* jump.c - what came onto the pan at once. It must not know what is poured, nor refuse anything. */
#include "station/track.h"

#include "mix/cue.h"

#include <math.h>
#include <stdio.h>

void jump_clear(struct jump *j)
{
    *j = (struct jump){0};
}

/* Against the least that is surely no pour (mix/cue.h). */
static bool is_jump(int64_t by_ug)
{
    return (double)by_ug / 1e6 >= MIX_JUMP_G;
}

/* It begins at the last reading before; but a hand that had pulled at the cup and lets go adds nothing. */
static void begin(struct jump *j, int64_t rise_ug, int64_t now_ug)
{
    int64_t before_ug = now_ug - rise_ug;
    if (j->rested && before_ug < j->rest_ug)
        before_ug = j->rest_ug;
    if (!is_jump(now_ug - before_ug))
        return;
    j->from_ug = before_ug - (j->standing ? j->by_ug : 0); /* a second thing adds to the first */
    j->rising = j->zero_known = true;
}

/* At the first stable reading it is known how much came; a hand that only touched the pan leaves less than a jump. */
static void settle(struct jump *j, int64_t now_ug)
{
    j->rising = false;
    j->by_ug = now_ug - j->from_ug;
    j->standing = is_jump(j->by_ug);
}

/* Paint runs in over it, or it is taken off: then at least half of it falls away from the most that was there. */
static void follow(struct jump *j, int64_t now_ug)
{
    int64_t most_ug = j->from_ug + j->by_ug;
    if (now_ug < most_ug - j->by_ug / 2)
        j->standing = false;
    else if (now_ug > most_ug)
        j->from_ug = now_ug - j->by_ug;
}

__attribute__((hot)) bool jump_add(struct jump *j, double rise_g, int64_t now_ug, bool stable)
{
    bool said = j->standing;
    int64_t said_ug = j->by_ug;
    if (rise_g > 0 && !j->rising)
        begin(j, (int64_t)llround(rise_g * 1e6), now_ug);
    /* Not while it moves: the tracker asks until then whether a fall is this taken off, or the cup lifted. */
    if (!stable)
        return false;
    if (j->rising)
        settle(j, now_ug);
    else if (j->standing)
        follow(j, now_ug);
    j->rest_ug = now_ug;
    j->rested = true;
    return j->standing != said || (said && j->by_ug != said_ug);
}

/* A rise that was under way ends with the lift: what comes back with the cup is no jump. */
void jump_lifted(struct jump *j)
{
    j->rising = false;
}

__attribute__((hot)) void jump_moved(struct jump *j, int64_t by_ug)
{
    j->from_ug += by_ug;
    j->rest_ug += by_ug;
}

/* Nothing is known to be taken off any more; what stands goes on being shown. */
void jump_gap(struct jump *j)
{
    j->rising = j->zero_known = false;
}

__attribute__((hot)) bool jump_may_go(const struct jump *j, int64_t *from_ug)
{
    *from_ug = j->from_ug;
    return j->rising || (j->standing && j->zero_known);
}

/* Grams, for the accept to keep. */
double jump_g(const struct jump *j)
{
    return j->standing ? (double)j->by_ug / 1e6 : NAN;
}

struct said jump_said(const struct jump *j)
{
    return j->standing ? say("jumped jump_g=%f", jump_g(j)) : (struct said){.used = 0};
}
