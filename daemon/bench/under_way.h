/* under_way.h - what acts of all benches are about to change: handed to the store, and not on disk yet.
 *
 * Benches act at the same time. What one of them takes must not be given to another in the moments in which no row
 * tells of it; if the disk refuses the act, it is there again. Thread  The loop's.
 */
#pragma once

#include "bench/coat_half.h"
#include "daemon.h"

/* Grams that are being taken out of a cup of the shelf, and that its row does not tell yet. Asked before a row is read
 * and behind it, the same figure twice is that row's. */
double under_way_taking_g(const struct daemon *d, const char *batch);
/* Marks the halves of an order's coat that are being begun. */
void under_way_halves(const struct daemon *d, const char *order, int coat_n, bool half[HALVES]);
/* Whether a held batch is being taken up. */
bool under_way_resumed(const struct daemon *d, const char *batch);
/* Whether a premix is being kept as a toner of that id, in whatever case. */
bool under_way_kept(const struct daemon *d, const char *toner);
