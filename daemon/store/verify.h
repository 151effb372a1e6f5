/* verify.h - the walk along the chain of hashes of any copy of the file. */
#pragma once

#include "store/aside.h"
#include "store/chain.h"

/* True: whole, *out is its end. Else *bad_seq is the first event whose hash does not follow, 0: could not be read, or
 * `a` (NULL: none) asked to stop. */
bool verify_chain(sqlite3 *db, const struct aside *a, struct chain *out, int64_t *bad_seq);
