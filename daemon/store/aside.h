/* aside.h - long work on the store that must not hold up the loop: on a helper thread, with a connection of its own.
 *
 * The store is not closed before it has ended; it is asked to end early then (aside_stopping).
 * Owner   The struct is the caller's, the first member of a larger one; it must live until end() is called.
 */
#pragma once

#include "store/store.h"

#include <sqlite3.h>
#include <stdbool.h>

struct aside {
    uv_work_t work;
    struct store *store;
    sqlite3 *db;                  /* read-only, open while run() runs; NULL: could not be opened */
    void (*run)(struct aside *a); /* on a helper thread: touches *db and its own struct only */
    void (*end)(struct aside *a); /* on the loop */
};

/* Queues it; end() is always called later. */
void aside_start(struct aside *a, struct store *s);
/* Whether the store is being closed. Any thread. */
bool aside_stopping(const struct aside *a);
