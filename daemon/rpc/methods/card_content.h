/* card_content.h - what was sprayed on a card, toner by toner: with its measured colour it tells what a deviation looks
 * like.
 *
 * Thread  The loop's: a batch is folded once.
 */
#pragma once

#include "daemon.h"

#include <jansson.h>

/* [{"toner","share"}] of the card's batch as it was poured, or of its formula's variant; null where neither tells it. A
 * new reference. */
json_t *card_content(struct daemon *d, const json_t *card);
