/* fold.h - the pieces that fold.c, fold_accept.c and batch.c share. For this folder only. */
#pragma once

#include "station/aims.h"
#include "station/batch.h"

/* All counts times keep (0 to 1): paint was taken out or lost, evenly. */
void fold_scale(struct batch *b, double keep);
/* Opens what is to be poured next, or is done. */
void fold_settle(struct batch *b);
/* Counts what was in the cup already, grams by part. */
void fold_have(struct batch *b, const double have_g[RECIPE_PARTS]);
/* The first colour step that is over at a total, -1: none. What goes on top is judged at its own accept alone. */
/* What the station grew to by itself stays agreed to, through everything that follows. */
void fold_grown(struct batch *b, const struct event *e);
int fold_find_over(const struct batch *b, double total_g);
/* Asks for a remedy for this step; step -1 asks nothing. */
void fold_ask(struct batch *b, int step, double total_before_g);
/* Asks for whatever is still over at the present total. */
void fold_ask_again(struct batch *b);
/* What is asked now, for batch.asked. */
struct batch_asked fold_asked_of(const struct batch *b);
/* Adds grams of a toner to a list of what the batch remembers; a toner beyond its room is left out. */
void fold_remember(struct batch_bit list[BATCH_BITS], size_t *count, const char *toner, double grams);
/* Counts a tint and takes the shares anew from what is in the cup. False: the recipe is full. */
/* Hardener comes into paint that asks for none: the isocyanate caution stands first from now on. */
void fold_caution(struct batch *b, const struct recipe_part *part);
bool fold_tinted(struct batch *b, const struct event *e);
bool fold_accepted(struct batch *b, struct track *t, const struct event *e);
