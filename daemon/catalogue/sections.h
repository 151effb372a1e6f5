/* sections.h - one reading of the catalogue's files: from a section to a thing's JSON.
 *
 * files.c finds files and gives their sections in order; sections.c makes items of them. To add a setting to a kind: a
 * row in the kind's table.
 * Owner   reading_begin and reading_end; items and faults belong to the caller.
 * Errors  added to faults; a section with one makes no item.
 */
#pragma once

#include "catalogue/files.h"

#include <sodium.h>

struct reading {
    struct file_items *items;
    struct file_faults *faults;
    json_t *seen;       /* `toner N10` -> its file's place in items->file and its line, as one number */
    json_t *uses;       /* toners named by coats, and not known so far: [{"toner", "file", "line"}] */
    files_known *known; /* the store's; NULL: it has none */
    void *known_arg;
    json_t *asked; /* toner -> whether the store has it */
    /* The formula whose coats are being read, NULL: none above. Owned; its coats are added as their sections come. */
    json_t *formula;
    json_t *coat_lines;             /* where each of its coats stood */
    const struct ini_file *file;    /* the one being read */
    const struct ini_section *head; /* the formula's own section */
    crypto_hash_sha256_state hash;  /* of that section and those of its coats, so far */
    size_t faults_before;           /* faults when it began: with one more it makes no item */
};

void reading_begin(struct reading *r, struct file_items *items, struct file_faults *faults);
void reading_end(struct reading *r);
/* What follows stands in that file. False: no memory, a fault was added. */
bool reading_file(struct reading *r, const char *path);
/* One section of a file. */
void section_take(struct reading *r, const struct ini_file *f, const struct ini_section *s);
/* Makes the item of the formula that is open, if one is. Call it at each file's end: a coat belongs to the formula
 * above it in its own file. */
void formula_close(struct reading *r);
