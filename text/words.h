/* words.h - the one table of words: what a code reads as in a language.
 *
 * The table is made at build time by tools/words.c of words/en.po and words/de.po (gettext's format: msgid is the
 * code). It is const, so a look-up needs no memory, no locale and no start. The page and others read the same words
 * as build/words/en.json and de.json.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum words_language { WORDS_EN, WORDS_DE, WORDS_LANGUAGES };

extern const char *const words_language_names[WORDS_LANGUAGES]; /* `en`, `de` */

/* One row: where in words_pool its texts begin; plural 0: it has none. Places and no pointers, since a loader would
 * have to fix each pointer at every start, and keep the pages that it wrote. */
struct words_row {
    uint32_t code, text[WORDS_LANGUAGES], plural[WORDS_LANGUAGES];
};

/* The row of a code, NULL: no such code. */
const struct words_row *words_find(const char *code);
/* What stands in a row; each lives for ever. The plural is NULL where there is none. */
const char *words_code(const struct words_row *row);
const char *words_text(const struct words_row *row, enum words_language language);
const char *words_plural(const struct words_row *row, enum words_language language);
/* The fixed word of a code; what stands in for it where it has none: lives as long as that does. */
const char *words_or(enum words_language language, const char *code, const char *otherwise);
/* The same with the code itself standing in, so that a gap is seen and nothing is lost. */
const char *words_of(enum words_language language, const char *code);
/* The language of `en` or `de`; false for another. */
bool words_language_of(const char *name, enum words_language *out);
/* The language of a command by LC_ALL, LC_MESSAGES, LANG: the first that is not empty, its first two letters. English
 * where they name another. Reads the environment as text: no locale need be generated. */
enum words_language words_language_of_environment(void);

/* The generated table, sorted by code, and the texts behind it, each ended by NUL. */
extern const char words_pool[];
extern const struct words_row words_table[];
extern const size_t words_rows;
