/* row_check.h - whether the rows that find and the lists see say what the journal says, and the mending of those that
 * do not.
 *
 * A row repeats what its batch's events fold to, so the journal is right where they differ. What the shelf knows alone
 * (what is left, where it stands) is not compared.
 * Thread  rows_check any, on a view; row_mend the loop's.
 */
#pragma once

#include "store/store.h"

enum { ROWS_NAMED = 64 };

struct rows_checked {
    int64_t batches, wrong;
    char first[ROWS_NAMED][STORE_NUMBER]; /* the newest of the wrong ones */
    bool read;                            /* false: could not be read to the end, or the store is being closed */
};

/* Folds every batch there is, so it takes minutes where there are very many: on the lane of what reads the whole file.
 */
void rows_check(struct store *view, const struct store_task *task, struct rows_checked *out);
/* Writes a batch's row anew from its journal, with what the shelf knows of it. False: its journal cannot be folded;
 * done is not called then. */
bool row_mend(struct store *s, const char *batch, store_done *done, void *arg);
