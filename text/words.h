/* words.h - the one table of words: what a code reads as in a language.
 *
 * The table is made at build time by tools/words.c of words/en.po and words/de.po (gettext's format: msgid is the
 * code). It is const, so a look-up needs no memory, no locale and no start. The page and others read the same words
 * as build/words/en.json and de.json.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

enum words_language { WORDS_EN, WORDS_DE, WORDS_LANGUAGES };

extern const char *const words_language_names[WORDS_LANGUAGES]; /* `en`, `de` */

/* One row: the text, and its plural (NULL: it has none). */
struct words_row {
    const char *code;
    const char *text[WORDS_LANGUAGES];
    const char *plural[WORDS_LANGUAGES];
};

/* The row of a code, NULL: no such code. */
const struct words_row *words_find(const char *code);
/* The fixed word of a code; the code itself where it has none, so that a gap is seen and nothing is lost. Lives for
 * ever, or as long as `code`. */
const char *words_of(enum words_language language, const char *code);
/* The language of `en` or `de`; false for another. */
bool words_language_of(const char *name, enum words_language *out);
/* The language of a command by LC_ALL, LC_MESSAGES, LANG: the first that is not empty, its first two letters. English
 * where they name another. Reads the environment as text: no locale need be generated. */
enum words_language words_language_of_environment(void);

/* The generated table, sorted by code. */
extern const struct words_row words_table[];
extern const size_t words_rows;
