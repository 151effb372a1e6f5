/* schema.h - the tables of the store's one file, by number.
 *
 * To change them add a step at the end of schema.c's list, and a store as the version before made it under
 * tests/data/stores: a file of an older version is brought up in one transaction at open, which the journal notes;
 * PRAGMA user_version says how many steps a file has seen.
 */
#pragma once

#include "fault.h"

#include <sqlite3.h>
#include <stdbool.h>

#define SCHEMA_FILE "poise.db"

#define SCHEMA_STATION_EVERY 256 /* events; see the table `station` */

/* How batch_words and item_words cut text to words; a query is cut by the same (search_words.c). `=` belongs to a word
 * so that the store can index words of its own that no person can type: `=1042` is the number of a batch, `=toner` a
 * kind. */
#define SCHEMA_TOKENIZER "unicode61", "remove_diacritics", "2", "tokenchars", "="

/* Brings the file to the present schema. False: *fault says why (a file of a later version, one of something else). */
bool schema_bring_up(sqlite3 *db, struct fault *fault);
/* Whether the file is of a later version than this program knows: *fault says so. */
bool schema_is_later(sqlite3 *db, struct fault *fault);
