/* file_fault.h - what is wrong in files that a person wrote: where, which field, why, and how to mend it.
 *
 * A reading collects all its faults, so that a person mends them in one go; who wants one takes the first.
 * Owner   struct file_faults owns its list; the caller finishes it.
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
