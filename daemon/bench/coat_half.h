/* coat_half.h - jambs and edges of an order's coat, and its outsides: two halves, mixed one after the other.
 *
 * A coat has halves where it is mixed by panels of both kinds; one that is mixed by grams has none, since nobody said
 * how much of them is for the edges. Reads the store only; what it is given stays the caller's.
 */
#pragma once

#include <jansson.h>
#include <stdbool.h>

struct store;

/* As a beginning keeps it (event_begun.edges). */
enum coat_half { HALF_WHOLE, HALF_EDGES, HALF_OUTSIDES, HALVES };

/* Whether the coat, as order.put keeps it, has panels of both kinds and no grams of its own. */
bool coat_has_halves(const json_t *coat);
/* What that batch mixes of its coat, told from its beginning; HALF_WHOLE for a batch that is not there. */
enum coat_half coat_half_of(struct store *view, const char *batch);
/* What comes next of the n-th coat (from 1) of an order, by what is mixed or being mixed of it: its edges, then its
 * outsides, then the whole, for whoever needs more of it. A scrapped batch counts for nothing. begun: those that the
 * store does not know of yet. */
enum coat_half coat_half_next(struct store *view, const char *order, int n, const bool begun[HALVES]);
