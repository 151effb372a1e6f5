#include "station/jump.h"

#include "mix/cue.h"
#include "station/words.h"

#include <math.h>
#include <stdio.h>

void jump_clear(struct jump *j)
{
    *j = (struct jump){0};
}

__attribute__((hot)) bool jump_add(struct jump *j, double rise_g, int64_t now_ug, bool stable)
{
    bool said = j->standing;
    if (rise_g > 0) {
        if (!j->rising && !j->standing)
            j->from_ug = now_ug - (int64_t)llround(rise_g * 1e6);
        j->rising = true;
    }
    /* Not while it moves: the tracker asks until then whether a fall is this taken off, or the cup lifted. */
    if (j->standing && stable && now_ug < j->from_ug + j->by_ug / 2)
        jump_clear(j);
    if (!j->rising || !stable)
        return j->standing != said;
    j->rising = false;
    j->by_ug = now_ug - j->from_ug;
    j->standing = (double)j->by_ug / 1e6 >= MIX_JUMP_G;
    return j->standing || said;
}

double jump_g(const struct jump *j)
{
    return j->standing ? (double)j->by_ug / 1e6 : NAN;
}

const char *jump_words(const struct jump *j, double d_g, bool comma, char *out, size_t size)
{
    char by[WORDS_WEIGHT];
    if (!j->standing)
        return NULL;
    words_weight(jump_g(j), d_g, comma, by);
    snprintf(out, size, "%s g came at once: was that paint? If not, take it off again", by);
    return out;
}
