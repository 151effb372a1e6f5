/* order.h - in which order things of the catalogue were read from the files.
 *
 * "The first reducer of a line, as read" needs an order that outlives the reading; the store keeps things by id. So an
 * item of kind `order` holds the ids of a kind, and is written anew when a reading changes it.
 */
#pragma once

#include "store/store.h"

#include <jansson.h>

/* The order after ids `read` (in order) were read into `kept` (either may be NULL): read ones stand among each other as
 * read, others keep their places, new ones stand before what followed them. New reference. */
json_t *order_merge(const json_t *kept, const json_t *read);
/* The ids kept for a kind in their order; NULL: none. New reference. */
json_t *order_kept(struct store *s, const char *kind);
/* From each id to its place, 0 the first: a lookup instead of a walk for each id. ids NULL: an empty object. New
 * reference. */
json_t *order_places(const json_t *ids);
/* The kept order as text, for who asks for the places of a few among very many; the caller frees it. NULL: none, or no
 * memory, which store_unread tells. */
char *order_text(struct store *s, const char *kind);
/* Rises from each id of that text to the next; -1: it is not among them. text NULL: none is. */
ptrdiff_t order_place(const char *text, const char *id);
