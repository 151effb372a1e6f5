/* verdict.h - what an error of SQLite or the system means for a write. */
#pragma once

#include "store/store.h"

#include <sqlite3.h>
#include <stdbool.h>

/* rc is SQLite's extended code, just returned on db. committing: it came from COMMIT, where only a failed write (which
 * comes before the sync) is sure to have left nothing behind. */
enum store_result verdict(sqlite3 *db, int rc, bool committing);
/* The same for an errno of the system. */
enum store_result verdict_errno(int error);
/* SQLite's words and the system's, for the log. */
void verdict_words(sqlite3 *db, int rc, char *out, size_t size);
