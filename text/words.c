/* words.c - looking up the table that tools/words.c made. It must not know who asks. */
#include "text/words.h"

#include <stdlib.h>
#include <string.h>

const char *const words_language_names[WORDS_LANGUAGES] = {[WORDS_EN] = "en", [WORDS_DE] = "de"};

const char *words_code(const struct words_row *row)
{
    return words_pool + row->code;
}

const char *words_text(const struct words_row *row, enum words_language language)
{
    return words_pool + row->text[language];
}

const char *words_plural(const struct words_row *row, enum words_language language)
{
    return row->plural[language] ? words_pool + row->plural[language] : NULL;
}

/* For bsearch: the table is sorted by strcmp, and tools/words.c sorts it by the same. */
static int by_code(const void *code, const void *row)
{
    return strcmp(code, words_code(row));
}

const struct words_row *words_find(const char *code)
{
    return bsearch(code, words_table, words_rows, sizeof *words_table, by_code);
}

const char *words_or(enum words_language language, const char *code, const char *otherwise)
{
    const struct words_row *row = words_find(code);
    return row ? words_text(row, language) : otherwise;
}

/* The code itself stands in for words that are missing, so that a gap shows up in the first test. */
const char *words_of(enum words_language language, const char *code)
{
    return words_or(language, code, code);
}

bool words_language_of(const char *name, enum words_language *out)
{
    for (int l = 0; l < WORDS_LANGUAGES; l++)
        if (name && strcmp(name, words_language_names[l]) == 0) {
            *out = (enum words_language)l;
            return true;
        }
    return false;
}

enum words_language words_language_of_environment(void)
{
    static const char *const names[] = {"LC_ALL", "LC_MESSAGES", "LANG"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const char *value = getenv(names[i]);
        enum words_language found = WORDS_EN;
        if (!value || !*value)
            continue;
        char two[3] = {value[0], value[0] ? value[1] : '\0', '\0'};
        words_language_of(two, &found);
        return found;
    }
    return WORDS_EN;
}
