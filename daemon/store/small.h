/* small.h - the small rows of a batch's events as SQL reads them: a word by its number, a body packed.
 *
 * Both are functions of a connection: word_text(x) and body_text(x) give a text back as it is, and of a blob the text
 * it stands for; NULL where it stands for none, which the chain of hashes then shows.
 * Owner   The connection; it forgets the words with its close.
 */
#pragma once

#include <sqlite3.h>
#include <stdint.h>

enum { SMALL_WORD = 4 }; /* bytes that a word's number takes at most */

/* Adds both to a connection. SQLite's code. */
int small_functions(sqlite3 *db);
/* A number from 1 on as few bytes, the greatest first; how many. */
int small_number(int64_t id, uint8_t out[SMALL_WORD]);
