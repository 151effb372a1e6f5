/* file_fault.h - what is wrong in files that a person wrote: where, which field, why, and what fixes it.
 *
 * A reading collects all its faults, so that a person fixes them in one go; who wants one takes the first.
 * Owner   struct file_faults owns its list; the caller finishes it.
 */
#pragma once

#include "text/said.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct file_fault {
    char file[512];
    int line; /* 0: the file itself */
    char field[64];
    struct said said; /* why, and what fixes it: the words of its code and of CODE.help */
    char why[160];    /* the same in English */
    char help[200];
};

/* What a reading found wrong, in the order of finding; the first FILE_FAULTS_MAX of it. */
enum { FILE_FAULTS_MAX = 100 };
struct file_faults {
    struct file_fault *fault;
    size_t count;
};
/* Adds one; field may be NULL. Texts are cut to fit. Returns false always. */
bool file_faults_add(struct file_faults *f, const char *file, int line, const char *field, struct said said);
void file_faults_finish(struct file_faults *f);
/* One line: `FILE:LINE: FIELD: WHY. HELP`; line and field left out where there is none. */
void file_fault_print(const struct file_fault *fault, enum words_language language, FILE *out);
