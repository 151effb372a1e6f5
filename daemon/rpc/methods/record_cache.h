/* record_cache.h - the records asked for lately, kept ready: a batch of 600 events is folded once, not at every look.
 *
 * A record that is asked for again costs one look at its last event; where an open batch has moved on, the events since
 * are folded on top. What has ended keeps its record alone, not its history.
 * Owner   The cache owns what record_cache_get hands out, until the next call.
 * Thread  That of the lane STORE_QUICK (store/store.h), one task at a time.
 */
#pragma once

#include "station/batch.h"
#include "store/store.h"

#include <jansson.h>

struct record_cache;

/* What an accept counted for: known only while the batch is folded. */
struct record_mark {
    int64_t seq;
    char toner[RECIPE_ID];
    double aim_g;
};

/* A scale that an event names: those weighed after it came from it too. */
struct record_scale {
    int64_t seq;
    char profile[48];
    double d_g;
};

struct record {
    char batch[STORE_NUMBER]; /* "": nothing is kept here */
    int64_t seq;              /* of the last event folded */
    uint64_t used;            /* when it was asked for last: a running number */
    struct batch *fold;       /* NULL once the batch has ended */
    struct number_style style;
    json_t *whole; /* batch.get without shelf, events and what belongs to the shop */
    /* the check weight that stood when the last weight was taken, null: none; and what had failed of them, as texts */
    json_t *check, *failed;
    int64_t check_seq;
    struct record_mark *mark; /* by number */
    size_t marks, room;
    struct record_scale *scale; /* by number */
    size_t scales, scale_room;
};

/* NULL: no memory. */
struct record_cache *record_cache_create(void);
/* The record of a batch as of now. NULL: *found is STORE_NONE, or STORE_UNREAD (a damaged journal, no memory).
 * currency must be the same at each call, and so must comma, the shop's decimal sign. */
const struct record *record_cache_get(struct record_cache *c, struct store *view, const char *batch,
                                      const char *currency, bool comma, enum store_found *found);
/* The scale that was named last as an event was written; NULL: none was. */
const struct record_scale *record_scale_of(const struct record *r, int64_t seq);
/* After STORE_UNREAD: the number of the event that was read and could not be folded, such as one of a later version; 0:
 * the store itself could not be read. */
int64_t record_cache_damaged(const struct record_cache *c);
/* The mark of an event, NULL: it has none. */
const struct record_mark *record_mark_of(const struct record *r, int64_t seq);
