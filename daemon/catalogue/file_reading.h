/* file_reading.h - one reading of the catalogue's files: from a section to a thing's JSON.
 *
 * file_reading.c keeps, formulas.c joins coats to their formula, sections.c is the top: start at section_take.
 * To add a setting to a kind: a row in the kind's table.
 *
 * Owner   reading_begin and reading_end; items and faults belong to the caller.
 * Errors  added to faults; a section with one makes no item.
 */
#pragma once

#include "catalogue/files.h"

#include <sodium.h>

struct reading {
    struct file_items *items;
    struct file_faults *faults;
    json_t *seen; /* `toner N10` -> {"file", "line"} */
    json_t *uses; /* toners named by coats: [{"toner", "file", "line"}] */
    /* the formula whose coats are being read; NULL: none above */
    /* Owned; its coats are added as their sections come. */
    json_t *formula;
    json_t *coat_lines; /* where each of its coats stood */
    const struct ini_file *file;
    const struct ini_section *head;
    crypto_hash_sha256_state hash;
    size_t faults_before;
};

void reading_begin(struct reading *r, struct file_items *items, struct file_faults *faults);
void reading_end(struct reading *r);

/* ---- sections.c ---- */
/* One section of a file. */
void section_take(struct reading *r, const struct ini_file *f, const struct ini_section *s);

/* ---- formulas.c ---- */
/* Begins the formula of a [formula] section; a [coat] section joins it; closing makes its item. Close at each file's
 * end: a coat belongs to the formula above it in its own file. */
void formula_open(struct reading *r, const struct ini_file *f, const struct ini_section *s, const char *code);
void formula_add_coat(struct reading *r, const struct ini_file *f, const struct ini_section *s, const char *name);
void formula_close(struct reading *r);

/* ---- file_reading.c, for both ---- */
/* The settings as JSON members of object, as the kind's table takes them; false: a fault was added. */
bool settings_take(struct reading *r, const struct ini_file *f, const struct ini_section *s, const struct shape *shape,
                   json_t *object);
/* Notes where a thing stands. False: it stood somewhere before, a fault was added. */
bool reading_first(struct reading *r, const char *kind, const char *id, const char *path, int line);
/* Adds a section's words to a hash, so that comments, spaces and line ends change nothing. */
void section_hash(crypto_hash_sha256_state *hash, const struct ini_section *s);
/* Keeps a thing: takes the reference. */
void reading_keep(struct reading *r, const char *kind, const char *id, json_t *thing, crypto_hash_sha256_state *hash,
                  const char *path, int line);
/* Says what a *_from_json refused, at the line of the setting it named (or at `line`). */
void reading_refuse(struct reading *r, const char *path, int line, const struct ini_section *s,
                    const struct fault *fault);
