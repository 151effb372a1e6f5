/* inifile.h - one INI file a person wrote: its sections and settings with their lines, and what is wrong with it.
 *
 * inih splits a line into key and value; all it would let pass in silence is refused before it sees the line (a long
 * line, a NUL, bad UTF-8, an indented line, `:` for `=`), and empty sections, which it never reports, are kept.
 * Grammar one setting a line, UTF-8, CR LF and a byte order mark are taken; a comment is a line that begins with # or ;
 *         or what follows a space and ; . A line has at most 1,000 bytes, a section's name 48.
 * Owner   struct ini_file and struct file_faults own their texts; the caller finishes both.
 * Errors  Every fault found is added, so that one reading shows all there is to mend.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct file_fault {
    char file[512];
    int line; /* 0: the file itself */
    char field[64];
    char why[160];
    char help[200];
};

/* What a reading found wrong, in the order of finding; the first FILE_FAULTS_MAX of it. */
enum { FILE_FAULTS_MAX = 100 };
struct file_faults {
    struct file_fault *fault;
    size_t count;
};
/* Adds one; field and help may be NULL. Texts are cut to fit. Returns false always. */
bool file_faults_add(struct file_faults *f, const char *file, int line, const char *field, const char *help,
                     const char *why, ...) __attribute__((format(printf, 6, 7)));
void file_faults_finish(struct file_faults *f);
/* One line: `FILE:LINE: FIELD: WHY. HELP`; line and field left out where there is none. */
void file_fault_print(const struct file_fault *fault, FILE *out);

struct ini_entry {
    char *key, *value; /* neither is empty */
    int line;
};
struct ini_section {
    char *name; /* between the brackets, trimmed */
    int line;
    struct ini_entry *entry; /* in the order written */
    size_t count;
};
struct ini_file {
    char path[512];
    struct ini_section *section;
    size_t count;
};

/* Reads a file. False: it has faults (added); *out then holds what could be read, and is finished all the same. */
bool ini_file_read(const char *path, struct ini_file *out, struct file_faults *faults);
/* The same of an open stream, called `path` in faults. */
bool ini_stream_read(FILE *in, const char *path, struct ini_file *out, struct file_faults *faults);
void ini_file_finish(struct ini_file *f);

/* The first setting of that name, NULL: none. */
const struct ini_entry *ini_get(const struct ini_section *s, const char *key);
/* Adds a fault for each setting that is not among keys (ends with NULL), or stands there twice. False: there was one.
 */
bool ini_section_check(const struct ini_file *f, const struct ini_section *s, const char *const keys[],
                       struct file_faults *faults);
/* A decimal number such as 38.50 or 1e3: the whole text, a point, finite. Says whether it is one. */
bool ini_number(const char *text, double *out);
