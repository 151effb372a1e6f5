/* terms.h - the words of an index that begin with what a person typed.
 *
 * Asked for `copper*`, the full-text index copies the places of every word that begins so before it gives the first:
 * 35 ms for 100,000 batches, 300 ms for all of a million. Asked for the words themselves, `copper` or `copperwing`, it
 * reads only as far as the page wants. Beginnings of 1 to 3 letters have an index of their own.
 */
#pragma once

#include <sqlite3.h>
#include <stdbool.h>
#include <stdio.h>

enum { TERMS_INDEXED = 3, TERMS_MAX = 64 };

/* Writes what matches all words that begin with `word`: it with a star where that is quick or where there are more than
 * TERMS_MAX, else the words, joined by OR. `table` is the fts5vocab table, of type instance. False: could not be read.
 */
bool terms_put(sqlite3 *db, const char *table, const char *word, int length, FILE *out);
