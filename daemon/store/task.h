/* task.h - a read that must not hold up the loop: run on a helper thread, on a read-only connection of its own.
 *
 * A task is the first member of a larger struct that holds what is asked and, later, what was found. Three lanes run
 * beside each other, each one task at a time and in order, each with one connection that stays open: what a screen
 * waits for never stands behind a report, nor a report behind a backup. All that one task reads is of one moment.
 * Owner   The struct is the caller's; it must live until end() is called, which is always called.
 * Thread  run() on a helper thread: it touches its own struct and the view, and nothing else. All else on the loop.
 */
#pragma once

#include "store/store.h"

#include <sqlite3.h>

enum store_lane {
    STORE_QUICK, /* what a person waits for: a record, a search */
    STORE_SLOW,  /* reports and long lists */
    STORE_WHOLE, /* what reads the whole file: a copy, a check */
    STORE_LANES
};

struct store_task {
    struct store_task *next;
    struct store *store; /* whose it is */
    /* The view answers the reading functions of store.h (store_events ... store_head) and no others. */
    void (*run)(struct store_task *t, struct store *view);
    void (*end)(struct store_task *t);
};

/* Queues it. run and end are set by the caller. */
void store_task_start(struct store *s, enum store_lane lane, struct store_task *t);
/* Whether the store is being closed: run() should then end early. Any thread. */
bool store_task_stopping(const struct store_task *t);
/* The connection of a view, for the store's own long work; NULL: it could not be opened. */
sqlite3 *store_view_db(struct store *view);
