/* search_words.h - what a batch or an item is found by, and a person's words as a full-text query.
 *
 * Both sides are cut to words by the same tokenizer (schema.h). Words of the store's own begin with `=`, which is taken
 * out of everything a person wrote: `=1042` the number of a batch, `=toner` the kind of an item.
 * Owner   The caller frees what is returned. NULL: no memory, or as said.
 */
#pragma once

#include "store/statements.h"
#include "store/store.h"

#include <stdbool.h>
#include <stdint.h>

enum { SEARCH_WORDS_MAX = 32 }; /* of one query */
/* Begins the one word that is the store's own, a batch's number or an item's kind, so that no text typed can be taken
 * for it. */
enum { SEARCH_WORDS_MARK = '=' };

/* What batch_words holds of a batch: number, code, name, order, painter, place. */
char *search_words_of_batch(const struct store_batch *b);
/* What item_words holds of an item; text may be NULL. */
char *search_words_of_item(const char *kind, const char *text);

/* What a label's code holds before its number is let go: a leading `POISE:`. Within `text`; NULL stays NULL. */
const char *search_words_typed(const char *text);
/* A query of batch_words in which every word of `text` begins a word or is the batch's number. *expression is NULL
 * where no word is asked for. STORE_NONE: more than SEARCH_WORDS_MAX words. */
enum store_found search_words_query_batches(struct statements *s, const char *text, char **expression);
/* The same of item_words, for the items of a kind; never NULL. */
enum store_found search_words_query_items(struct statements *s, const char *kind, const char *text, char **expression);

/* The number that a batch's decimal text stands for; 0: it is no number. */
int64_t search_words_number(const char *text);
