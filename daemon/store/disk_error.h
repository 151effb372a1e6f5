/* disk_error.h - what an error of SQLite or the system means for a write. */
#pragma once

#include "store/store.h"

#include <sqlite3.h>
#include <stdbool.h>

/* Where the error came from. */
enum stage {
    STAGE_OPEN,  /* opening, and moving the log into the file */
    STAGE_WRITE, /* a statement before COMMIT: whatever is in the log is no commit yet */
    STAGE_COMMIT /* only a failed write, which comes before the sync, is sure to have left nothing behind */
};

/* rc is SQLite's extended code, just returned on db. */
enum store_result disk_error(sqlite3 *db, int rc, enum stage stage);
/* The same for an errno of the system. */
enum store_result disk_error_of_errno(int error);
/* SQLite's words and the system's, for the log. */
void disk_error_words(sqlite3 *db, int rc, enum stage stage, char *out, size_t size);
