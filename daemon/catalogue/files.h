/* files.h - the INI files that a person writes: read, checked, and taken into the store.
 *
 * contract.md section 8 is the grammar. Reading is all or nothing: a file with an error changes nothing.
 * Errors  a struct file_fault: where (file:line), which field, why and how to mend it.
 */
#pragma once

#include "catalogue/catalogue.h"

struct file_fault {
    char file[256];
    int line; /* 0: the file itself */
    char field[64];
    char why[160];
    char help[200];
};

/* One section read: a thing of the catalogue with its JSON and where it stood. */
struct file_item {
    char kind[12];
    char id[ID_MAX];
    char *body;      /* JSON text */
    char *text;      /* words to find it by */
    char source[65]; /* hash of the section as written */
    char file[256];
    int line;
};
struct file_items {
    struct file_item *item;
    size_t count;
};

/* Reads files (all *.ini of a folder in the order of their names, or one file) and checks all that can be checked
 * without the store. known(arg, kind, id) tells whether the store has a thing (NULL: nothing known). */
bool files_read(const char *const *paths, size_t count, bool (*known)(void *arg, const char *kind, const char *id),
                void *arg, struct file_items *out, struct file_fault *fault);
void file_items_finish(struct file_items *items);

/* Takes what changed since it was last read into the store: one write, one event a changed section
 * (`toner.put` ...). done as of store_submit; with nothing to write it is called with STORE_DONE later all the same.
 * Returns how many sections changed. */
size_t files_import(struct store *s, const struct file_items *items, const char *person, const char *client,
                    store_done *done, void *arg);
