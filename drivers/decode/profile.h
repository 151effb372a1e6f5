/* profile.h - a family that a shop declares in a file, without a compiler.
 *
 * The form is told in drivers/profiles/README.md, with examples beside it; `poise decode --profile FILE` proves one
 * against a recording. A profile may describe what one line of text can say; a check byte or binary needs a file in
 * this folder.
 * Owner   The caller holds the struct for as long as its family is used: family.line points into it, so it stays there.
 * Errors  The whole file is refused at its first error, with line, field and what fixes it.
 */
#pragma once

#include "drivers/decode/linelayout.h"
#include "text/said.h"

enum { PROFILE_NAME = 48, PROFILE_ASK = 64, PROFILE_LINE_BYTES = 1000, PROFILE_FILE_BYTES = 65536 };

struct scale_profile {
    struct scale_family family; /* ready to use; its name, ask and line point into this struct */
    struct scale_line line;
    char name[PROFILE_NAME + 1];
    char ask[PROFILE_ASK];
    int speed;     /* baud, 0: not said */
    char frame[4]; /* such as `8N1`, "": not said */
};

struct profile_fault {
    int line;         /* from 1; the line after the last for what is missing */
    char field[32];   /* the key at fault, or "" */
    struct said said; /* why; what fixes it is CODE.help */
};

/* Reads the section `[profile NAME]` from a file's text; NAME NULL takes the first one. False: fault is filled and *out
 * is not to be used. */
bool profile_parse(const char *text, size_t len, const char *name, struct scale_profile *out,
                   struct profile_fault *fault);
/* The same from a file by its path; a file that cannot be read is a fault of line 0. Blocks: for start only. */
bool profile_load(const char *path, const char *name, struct scale_profile *out, struct profile_fault *fault);
