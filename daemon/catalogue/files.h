/* files.h - the INI files that a person writes: read, checked, and taken into the store.
 *
 * contract.md section 8 is the grammar. Reading is all or nothing: a file with an error changes nothing.
 * Flow    files.c finds the files and looks at all together, sections.c makes a thing's JSON of its sections, import.c
 *         writes. file_marks.c knows files again that did not change.
 * Errors  a struct file_fault: where (file:line), which field, why and what fixes it.
 */
#pragma once

#include "catalogue/catalogue.h"
#include "inifile.h"

#include <dirent.h>

/* The item of the store that holds the mark of the files taken in last. */
#define FILES_KIND "files"
#define FILES_ID   "data"

/* By what files that were read are known again without parsing them. "": not known. */
struct files_mark {
    char times[65];   /* hash over the path, size, times and place of each: a look at each, no reading */
    char content[65]; /* hash over the path and the bytes of each: a folder that was copied or checked out anew is the
                         same */
};

/* One section read: a thing of the catalogue with its JSON and where it stood. */
struct file_item {
    char kind[12];
    char id[ID_MAX];
    char *body;       /* JSON text */
    char *text;       /* words to find it by */
    char source[65];  /* hash of the section as written; a formula's covers its coats */
    const char *file; /* the items'; NULL: of none */
    int line;         /* of the section's head */
    int code_line;    /* of a toner's codes; the head's where it has none */
};
struct file_items {
    struct file_item *item; /* in the order read */
    size_t count, room;
    char **file; /* the paths that were read */
    size_t files;
    struct files_mark
        mark; /* of what was read; nothing in it: none, and one kept before is not to be believed any more */
};
/* Tells whether the store has a thing. */
typedef bool files_known(void *arg, const char *kind, const char *id);

/* Reads files (all *.ini of a folder in the order of their names, or one file) and checks all that can be checked
 * without the store. known(arg, kind, id) tells whether the store has a thing (NULL: nothing known). */
bool files_read(const char *const *paths, size_t count, files_known *known, void *arg, struct file_items *out,
                struct file_fault *fault);
/* The same, with every fault there is. False: there is one; *out is finished then. */
bool files_read_all(const char *const *paths, size_t count, files_known *known, void *arg, struct file_items *out,
                    struct file_faults *faults);
void file_items_finish(struct file_items *items);
/* The names in the order in which they are read; the caller frees each and the list. -1: errno says why. */
int files_of_folder(const char *path, struct dirent ***entries);

/* ---- known again (file_marks.c) ---- */

/* Both hashes cover our version too. False: it would not be safe to rely on the times (one cannot be looked at, or was
 * written within the last two seconds, so that a later change could bear the same); times is "" then. */
bool files_mark_times(const char *path, struct files_mark *mark);
/* Reads the files, a tenth of what parsing them takes. False: one could not be read; content is "" then. */
bool files_mark_content(const char *path, struct files_mark *mark);
/* Whether the files of a path are those that were taken in last: by their times, else by their content, and then their
 * new times are kept. Fills *mark with what files_import is to keep. True: done is called as by files_import. */
bool files_known_again(struct store *s, const char *path, struct files_mark *mark, store_done *done, void *arg);
/* What was changed while it was parsed is not what was hashed before: the mark is emptied. */
void files_mark_sure(const char *path, struct files_mark *mark);
/* The item that keeps a mark; *body is its JSON, which the caller frees after the write was copied. NULL: no memory. */
struct store_item files_mark_item(const struct files_mark *mark, const char *time, char **body);

/* A `known` for files_read that asks the store; arg is the struct store. */
bool files_known_by_store(void *store, const char *kind, const char *id);

/* What changed since it was last read, on its way into the store: one event a changed section (`toner.put` ...).
 *
 * It is written in pieces, so that neither the loop nor an accept waits for a long one: up to FILES_AT_ONCE sections
 * all or none of them are taken in; of more a power cut may leave some, and the same files read again bring the rest.
 * What tells that the files were read comes last. */
enum { FILES_AT_ONCE = 500 };
struct files_taking;
/* On a helper thread or at start. Takes the items, also where it fails. *changed is how many sections did. NULL:
 * *fault; the store could not be read, so nobody knows what changed, or a code is another's. view: of the task, or the
 * store at start. */
struct files_taking *files_taking_new(struct store *view, struct file_items *items, const char *person,
                                      const char *client, size_t *changed, struct fault *fault);
/* On the loop: writes it and lets it go. done is called once, later, with what the last piece came to; with nothing to
 * write it is STORE_DONE all the same. */
void files_taking_write(struct files_taking *t, struct store *s, store_done *done, void *arg);
/* Lets go of one that is not to be written; NULL is let pass. */
void files_taking_drop(struct files_taking *t);
/* Both at once. False: *fault, and done is not called. */
bool files_import(struct store *s, struct file_items *items, const char *person, const char *client, store_done *done,
                  void *arg, size_t *changed, struct fault *fault);

/* Reads a configuration and all files of its `data` as `poised --check` does, and prints each error as one line:
 * `FILE:LINE: FIELD: WHY. HELP`. store may be NULL; then a coat's toner must stand in the files. True: no error. */
bool files_check(const char *config_path, struct store *store, FILE *out);
