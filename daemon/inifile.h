/* inifile.h - one INI file a person wrote: its sections and settings, each with its line.
 *
 * inih splits a line into key and value; all it would let pass in silence is refused before it sees the line (a long
 * line, a NUL, bad UTF-8, an indented line, `:` for `=`), and empty sections, which it never reports, are kept.
 * Grammar one setting a line, UTF-8, CR LF and a byte order mark are taken; a comment is a line that begins with # or ;
 *         or what follows a space and ; . A line has at most 1,000 bytes, a section's name 48.
 * Owner   struct ini_file and struct file_faults own their texts; the caller finishes both.
 * Errors  Every fault found is added, so that one reading shows all there is to fix.
 */
#pragma once

#include "fault.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct ini_entry {
    const char *key, *value; /* neither is empty; the file's */
    int line;
};
struct ini_section {
    const char *name; /* between the brackets, trimmed; the file's */
    int line;
    struct ini_entry *entry; /* in the order written */
    size_t count;
};
struct ini_texts;
struct ini_file {
    char path[512];
    struct ini_section *section;
    size_t count;
    struct ini_texts *texts; /* what its names and settings point to */
};

/* Reads a file. False: it has faults (added); *out then holds what could be read, and is finished all the same. */
bool ini_file_read(const char *path, struct ini_file *out, struct file_faults *faults);
/* The same of an open stream, called `path` in faults. */
bool ini_stream_read(FILE *in, const char *path, struct ini_file *out, struct file_faults *faults);
void ini_file_finish(struct ini_file *f);

/* The first setting of that name, NULL: none. */
const struct ini_entry *ini_get(const struct ini_section *s, const char *key);
/* Whether a section has that setting; if not, those it has go to known, apart by commas. */
typedef bool ini_knows(const void *arg, const char *key, char *known, size_t size);
/* Adds a fault for each setting that is not known, or stands there twice. False: there was one. */
bool ini_section_check(const struct ini_file *f, const struct ini_section *s, ini_knows *knows, const void *arg,
                       struct file_faults *faults);
/* A decimal number such as 38.50 or 1e3: the whole text, a point, finite. Says whether it is one. */
bool ini_number(const char *text, double *out);
