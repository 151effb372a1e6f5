/* newest.h - what the newest rows say of each station: one look for all stations of a start.
 *
 * Each station asked by itself would read the same rows again: 64 stations took 140 ms of a start, one look takes 2.
 * Owner   The reader owns what was found, until newest_forget or reader_close.
 * Thread  That of the reader.
 */
#pragma once

#include "store/reader.h"

/* 0 and false where the newest rows do not name the station. */
struct newest_station {
    char name[48];
    int64_t open;     /* the highest open batch among the newest batch rows, found without an index; 0: none */
    int64_t revision; /* the highest among the events that the table `station` does not cover yet; -1: none */
    bool worked;      /* the newest events name a batch of this station */
    bool believable;  /* and the row of the last one has a state, and the station that the journal names */
};

/* Read once, and again where anything was written since. NULL: could not be read. Lives until the next call. */
const struct newest_station *newest_of(struct reader *r, const char *station);
void newest_forget(struct reader *r);
