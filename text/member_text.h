/* member_text.h - values of JSON written into a text as they come, with no value of jansson's between: for rows of
 * which an answer holds a thousand.
 *
 * Each writes the same bytes as json_write with JSON_COMPACT and JSON_REAL_PRECISION(15) would of the value that stands
 * for the same thing. `before` is what stands before it, such as `,"order":`, and is written as it is.
 * Errors  A draft without memory remembers it (draft.h).
 * Thread  Any.
 */
#pragma once

#include "text/draft.h"

/* NULL, "" and what is no UTF-8 are null. */
void draft_member_text(struct draft *d, const char *before, const char *text);
/* As number_json: at most 6 decimals, null for what is not known. */
void draft_member_number(struct draft *d, const char *before, double value);
/* A fixed word: true, false, null. */
void draft_member_word(struct draft *d, const char *before, const char *word);
