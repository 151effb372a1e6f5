/* chain.h - the chain of hashes over the journal: its links (chain.c) and the walk along all of them (verify.c).
 *
 * hash(n) = SHA-256 of hash(n-1), the number n and every field of event n, each with its length before it, so that no
 * two rows give the same bytes. hash(0) is the SHA-256 of the text of the table `event` as the file itself holds it:
 * renaming or swapping columns breaks the chain as changing a value does.
 * A file of an older schema that is brought up gets an event of kind `schema`: {"v","from","schema","head" (of the
 * chain before it),"seed" (hash(0) of this file),"text" (SHA-256 of the new schema's text)}. The walk begins with that
 * seed, goes on across the event, and the last `text` must be that of the schema as it stands. So a step may change
 * `event`, as long as the columns hashed here give the same values for rows written before it.
 * A cut tail is not seen from inside: the head must also stand outside the file (label, backup, export).
 */
#pragma once

#include "store/store.h"

#include <sqlite3.h>
#include <stdbool.h>
#include <stdint.h>

enum { CHAIN_BYTES = 32 };

struct chain {
    int64_t seq; /* of the last event, 0: none */
    uint8_t head[CHAIN_BYTES];
};

#define CHAIN_SCHEMA_KIND "schema"

/* hash(0) of this file. False: it could not be read. */
bool chain_seed(sqlite3 *db, struct chain *out);
/* The chain as it stands after the last event of the file, and before the event of that number. */
bool chain_load(sqlite3 *db, struct chain *out);
bool chain_before(sqlite3 *db, int64_t seq, struct chain *out);
/* Moves the chain on by one event and the answer that stands with it, NULL: none. e->seq and e->hash are not looked at:
 * the number is the chain's own. */
void chain_add(struct chain *c, const struct store_event *e, const char *answer);
/* SHA-256 of the text of all tables, indexes and triggers, by name. False: it could not be read. */
bool chain_schema(sqlite3 *db, uint8_t out[CHAIN_BYTES]);
void chain_hex(const uint8_t hash[CHAIN_BYTES], char out[2 * CHAIN_BYTES + 1]);

/* ---- verify.c: the walk along the chain of any copy of the file ---- */

struct store_task; /* store.h */

/* True: whole, *out is its end. Else *bad_seq is the first event whose hash does not follow, 0: the schema is not the
 * one that the journal tells of, it could not be read, or `t` (NULL: none) asked to stop. */
bool verify_chain(sqlite3 *db, const struct store_task *t, struct chain *out, int64_t *bad_seq);
/* The same from event `first` to the end, taking the hash before it as right: what a start is about to fold. */
bool verify_since(sqlite3 *db, int64_t first);
