/* row_words.h - bears_words(WORDS, TYPED): whether a row's own words answer what a person typed, as the full-text index
 * would say. For a few rows that something else led to: one look into the index of a million batches takes 70 to 200
 * us, the words of a row 4.
 */
#pragma once

#include <sqlite3.h>

/* SQLite's code. */
int row_words_function(sqlite3 *db);
