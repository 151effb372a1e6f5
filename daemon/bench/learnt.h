/* learnt.h - what cups that were weighed back teach of a painter's next estimate.
 *
 * A job is a coat of an order, or a batch without one, that was begun by panels: an item STORE_LEARNT of the store,
 * about its painter and coat, with what was estimated and what was used. Weighing back writes it, a plan reads the
 * newest MIX_JOBS. Thread  The loop's, each look-up bounded by MIX_JOBS rows or by the batches of one order.
 */
#pragma once

#include "mix/estimate.h"
#include "station/batch.h"
#include "store/store.h"

struct learnt {
    double ratio[MIX_JOBS]; /* used by estimated, the newest first */
    size_t jobs;
};

/* The jobs of a painter with a coat; none where either is "". False: they could not be read. */
bool learnt_read(struct store *s, const char *painter, const char *coat, struct learnt *out);

/* A job to be written with the row that weighs its cup back. */
struct learnt_job {
    char id[EVENT_NAME + 24], about[EVENT_NAME + 24];
    char *body; /* caller frees; NULL: this batch teaches nothing */
};

/* What weighing back a batch makes of its job: used_g more of its own cup went, of which total_g were mixed. Cups of
 * the same coat that nobody weighed back, and that stand nowhere, count as used up. False: it could not be read, or no
 * memory. */
bool learnt_job(struct store *s, const struct batch *b, double total_g, double used_g, struct learnt_job *out);
