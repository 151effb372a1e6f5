/* shelf_cups.h - the cups of the shop's shelf as leftovers for a recipe, read from their journals.
 *
 * Thread  A helper's: it reads a view of the store and touches nothing of the daemon. Folding one cup takes about a
 *         millisecond, so it asks for a limit.
 */
#pragma once

#include "station/leftover.h"
#include "store/store.h"

/* What to look for. */
struct shelf_asked {
    const struct recipe *recipe;
    const char *today; /* YYYY-MM-DD: a cup whose date lies before it stays */
    size_t most;       /* leftovers wanted at most */
    bool unweighed;    /* tell also those that would go if somebody weighed them back; they are barred */
    int most_ms;       /* ends looking then, with what was found; 0: as long as it takes */
};

/* Cups that may go into a batch of the recipe, oldest first: with something left by the scale, not past their date, not
 * activated, of a line that goes, and holding nothing that the recipe does not. Where not all can be looked at, those
 * of the recipe's own formula go before others. STORE_UNREAD: *count means nothing. */
enum store_found shelf_cups(struct store *view, const struct shelf_asked *asked, struct leftover *out, size_t *count);
/* One cup by its number, whatever bars it. One never weighed back counts with all of its record. STORE_NONE: no such
 * batch, or none that ended in a cup with paint. */
enum store_found shelf_cup(struct store *view, const char *batch, const struct shelf_asked *asked,
                           struct leftover *out);
