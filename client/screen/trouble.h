/* trouble.h - what keeps the open line from being live: the cause once, calm, in words, with what to do.
 *
 * Pure. One row a trouble; where the words are: trouble.c. */
#ifndef POISE_CLIENT_SCREEN_TROUBLE_H
#define POISE_CLIENT_SCREEN_TROUBLE_H

#include "client/screen/model.h"

enum trouble_kind {
    TROUBLE_NONE,
    TROUBLE_LOST,    /* the daemon is not reached */
    TROUBLE_ABSENT,  /* the scale's port is gone */
    TROUBLE_SEEKING, /* finding out what it speaks */
    TROUBLE_STALE,   /* nothing valid for a second */
    TROUBLE_LIMIT,   /* the scale says over, under, or that something is wrong: there is no figure at all */
    TROUBLE_LIFTED,  /* the cup is off; the weight is live, the count stands */
};

struct trouble {
    enum trouble_kind kind;
    char reason[BENCH_TEXT]; /* what is wrong */
    char detail[BENCH_TEXT]; /* what the reason has no room for, or where to look; may be "" */
    char last[96];           /* the last weight, or "" */
    char by_hand[64];        /* what the hand must do */
};

/* Fills *t; TROUBLE_NONE where the weight is live (or grey, which is not yet a trouble). */
void trouble_of(const struct model *m, struct moment now, struct trouble *t);

#endif
