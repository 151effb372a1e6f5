/* batch_journal.h - a batch as its journal tells it: read at a start, by batch.resume, by a repeat and by a record.
 *
 * A batch is never stored as such: it is what its events fold to, so that a later version, with better rules for what
 * comes next, still tells the same cup.
 * Reads the store on the loop, one batch at a time.
 * Owner   The caller calls batch_finish and free on what it gets. A batch is found, unknown, or could not be read; what
 *         does not fold counts as not read, never as unknown.
 */
#pragma once

#include "daemon.h"
#include "station/batch.h"

/* By its number. *out is NULL unless found. With t, the tracker of the station where the batch is open, t is moved
 * along with it, and what was kept of the open step is folded behind the event that it followed. Both NULL: the batch
 * alone. */
enum store_found journal_load(struct store *s, const char *id, const char *station, struct track *t,
                              struct batch **out);
/* A batch as it stood after event `seq`, and the tracker of its station with it. */
enum store_found journal_load_until(struct store *s, const char *id, int64_t seq, struct track *t, struct batch **out);
/* What a person wrote, `1042`, `#1042` or `POISE:1042`, to its digits. False: no batch has such a number. */
bool journal_number(const char *text, char out[STORE_NUMBER]);
/* The batch that batch.resume names; -32001 unknown, -32004 not held. */
struct batch *journal_held(struct daemon *d, const json_t *params, struct fault *fault);
/* A batch by what a person wrote: `1042`, `#1042`, `POISE:1042`. */
struct batch *journal_find(struct daemon *d, const char *text, const char *field, struct fault *fault);
