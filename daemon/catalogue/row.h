/* row.h - one row of the store, taken out of a reader's callback so that it may be looked at afterwards. */
#pragma once

#include "catalogue/catalogue.h"

struct row {
    json_t *body; /* owned; NULL: removed, or not JSON */
    int64_t revision;
    char date[11], reason[NAME_MAX_];
};

/* A callback of store_item_get and _list: *arg is a struct row, what it held before is let go. */
void row_take(void *arg, const struct store_item *i);
/* The row of a thing; false: none. The caller lets go of out->body in both cases. */
bool row_get(struct store *s, const char *kind, const char *id, int64_t revision, struct row *out);
