/* verify.h - the walk along the chain of hashes of any copy of the file. */
#pragma once

#include "store/chain.h"
#include "store/task.h"

/* True: whole, *out is its end. Else *bad_seq is the first event whose hash does not follow, 0: the schema is not the
 * one that the journal tells of, it could not be read, or `t` (NULL: none) asked to stop. */
bool verify_chain(sqlite3 *db, const struct store_task *t, struct chain *out, int64_t *bad_seq);
/* The same from event `first` to the end, taking the hash before it as right: what a start is about to fold. */
bool verify_since(sqlite3 *db, int64_t first);
