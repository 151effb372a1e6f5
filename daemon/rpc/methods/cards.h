/* cards.h - which spray-out cards fit a colour: for card.match and for a plan.
 *
 * A card is an item `card` of the store, as it was put.
 */
#pragma once

#include "store/store.h"

#include <jansson.h>

/* Each member that is given narrows; NULL, or coats 0: any. */
struct cards_wanted {
    const char *formula, *variant, *coat, *order, *verdict;
    const json_t *light; /* texts that the card must all hold */
    double coats;
};

/* Whether a card has all that is wanted of it, but for the formula. */
bool cards_fit(const json_t *card, const struct cards_wanted *want);
/* Adds the cards of a formula (which must be given): those that matched first, then newest first. False: the store
 * could not be read. */
bool cards_find(struct store *view, const struct cards_wanted *want, json_t *out);
/* The newest card that matched just this variant and coat; null: none. A new reference. */
json_t *cards_matched(struct store *s, const char *formula, const char *variant, const char *coat);
