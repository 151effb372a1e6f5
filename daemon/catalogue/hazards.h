/* hazards.h - hazard statements by their codes, and the few words of them that go on a label.
 *
 * A label's order is by gravity: what makes allergic first, then what is breathed in, skin and eyes, fire, the rest.
 * The words of a code stand in the folder words as `hazard.H226`, the signal words as `hazard.danger` and
 * `hazard.warning`. Pure: knows no toner and no batch.
 */
#pragma once

#include "text/words.h"

#include <stdbool.h>
#include <stddef.h>

enum { HAZARDS_KNOWN_MAX = 128 };

/* H, three figures and at most two letters, or EUH, three figures and at most one letter. */
bool hazard_code_fits(const char *code, size_t len);

/* Statements gathered over a cup: each once, gravest first. Begin with {0}. */
struct hazards {
    unsigned char row[HAZARDS_KNOWN_MAX];
    size_t count;
};
/* Adds codes that stand apart by spaces (`H225 H302+H312`); one that is not known is left out. */
void hazards_add(struct hazards *h, const char *codes);
/* `danger`, `warning` or "": what the statements ask for, the higher where it depends on a category. */
const char *hazards_signal(const struct hazards *h);
/* The words, each once; *gravest is how many of them are of the first rank, which a label never cuts. They live for
 * ever. Returns how many, at most max. */
size_t hazards_words(const struct hazards *h, enum words_language language, const char *words[], size_t max,
                     size_t *gravest);
