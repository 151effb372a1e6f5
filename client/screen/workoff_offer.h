/* workoff_offer.h - cups of the shelf that could go into what is planned, or into the coat that waits: the daemon's
 * mix.workoff in words, and taken over into the form or into a beginning.
 *
 * Pure. Which cups suit, how much of each and what they spare is the daemon's answer (LIST_WORKOFF). */
#pragma once

#include "client/screen/model.h"

/* Whether the form has an offer that was not taken: something is typed there else. */
bool workoff_offered(const struct model *m);
/* Whether the daemon is to be asked at all: what is planned is a colour, and no cup is named yet. */
bool workoff_is_asked(const struct model *m);
/* `120.0 g of #1031, 46.0 g of #1007; pour on 234.0 g; saves 4.20 EUR`; "" where no cup suits. Returns buf. */
const char *workoff_text(const struct model *m, char *buf, size_t size);
/* The same for the width of a field: `166.5 g, and 233.5 g fresh`. */
const char *workoff_brief(const struct model *m, char *buf, size_t size);
/* Writes the cups and their grams where the leftover cup stands in the form. */
void workoff_take(struct model *m);

/* The order whose next coat the open cup could go into, and that coat: one of its own colour before others, as an idle
 * bench lists them. NULL: no colour waits. */
const json_t *workoff_order(const struct model *m, const json_t **coat);
/* Whether the open cup goes into it; if not, why (returns buf). */
bool workoff_uses_cup(const struct model *m);
const char *workoff_why(const struct model *m, char *buf, size_t size);
/* The params of mix.workoff, of that coat or on the amount's page of what is written; and of batch.begin of that coat.
 * The caller's; NULL: none waits, or no cup suits. */
json_t *workoff_asks(const struct model *m);
json_t *workoff_begins(const struct model *m);
