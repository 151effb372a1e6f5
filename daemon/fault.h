/* fault.h - what went wrong, as a value.
 *
 * A function that can refuse a person's input fills a struct fault; nobody below the edge prints or exits.
 * One table (fault.c) maps each kind to its JSON-RPC code, its exit code and its first words.
 * What is wrong in files that a person wrote is gathered: a reading collects all its faults, so that a person fixes
 * them in one go; who wants one takes the first. Owner   The caller owns the struct; texts are copied into it and cut
 * to fit. It begins as {0}, FAULT_NONE: a result that is missing while its fault says nothing found no memory, and
 * rpc_fail tells that. struct file_faults owns its list; the caller finishes it.
 */
#pragma once

#include "text/said.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

enum fault_kind {
    FAULT_NONE,
    FAULT_PARSE,          /* -32700 not JSON, a key twice, bad UTF-8 */
    FAULT_REQUEST,        /* -32600 not a call, too long, too deep */
    FAULT_METHOD,         /* -32601 */
    FAULT_PARAMS,         /* -32602 wrong JSON type, required text missing */
    FAULT_INTERNAL,       /* -32603 our bug */
    FAULT_UNKNOWN,        /* -32001 no such formula, toner, batch, station */
    FAULT_SCALE,          /* -32002 scale not live */
    FAULT_STALE_REVISION, /* -32003 */
    FAULT_STATE,          /* -32004 not in this state */
    FAULT_INVALID,        /* -32005 a value that makes no sense */
    FAULT_NOT_PERMITTED,  /* -32006 */
    FAULT_STORE,          /* -32007 why: full, io, readonly */
    FAULT_WOULD_NOT_FIT,  /* -32008 why: cup, scale */
    FAULT_PRINT,          /* -32009 why: printer */
    FAULT_KINDS
};

struct fault {
    enum fault_kind kind;
    struct said said;   /* message and help: the words of its code and of CODE.help */
    char message[160];  /* one line, for a person, in English */
    char place[128];    /* FILE:LINE where a file is at fault; else "" */
    char field[64];     /* the member at fault, or "" */
    char why[96];       /* one word or a short clause, see contract; "" when the message says all */
    char help[200];     /* how to fix it; never empty once set */
    int64_t revision;   /* FAULT_STALE_REVISION: the present one; else -1 */
    char state[12];     /* FAULT_STATE: the station's or the batch's state; else "" */
    char toner[48];     /* FAULT_STATE with why `wrong_tin`: what is in that tin; else "" */
    double short_g;     /* FAULT_STATE with why `short`: what is missing, grams; else NaN */
    double uncounted_g; /* FAULT_STATE with why `uncounted`: what stands in the open step, grams; else NaN */
};

/* Sets every part of *f from a code with its slots (text/said.h): the words of CODE and of CODE.help stand in the
 * folder words. field, why may be NULL. Returns false always, so that `return fault_said(...)` reads well. */
bool fault_said(struct fault *f, enum fault_kind kind, const char *field, const char *why, const char *form, ...)
    __attribute__((format(printf, 5, 6)));
/* The same from a said. help: what to do where it is not CODE.help, else NULL. */
bool fault_from(struct fault *f, enum fault_kind kind, const char *field, const char *why, const struct said *said,
                const struct said *help);
/* The fault is in a file, at a line from 1, or in all of it (0): its message then begins with the place. */
void fault_in_file(struct fault *f, const char *file, int line);
/* JSON-RPC error code of a kind. */
int fault_code(enum fault_kind kind);

/* ---- faults of files ---- */

struct file_fault {
    char file[512];
    int line; /* 0: the file itself */
    char field[64];
    struct said said; /* why, and what fixes it: the words of its code and of CODE.help */
    char why[160];    /* the same in English */
    char help[200];
};

/* Fills one: `said` with its words in English; `field` may be NULL. */
void file_fault_set(struct file_fault *fault, const char *file, int line, const char *field, struct said said);

/* What a reading found wrong, in the order of finding; the first FILE_FAULTS_MAX of it. */
enum { FILE_FAULTS_MAX = 100 };
struct file_faults {
    struct file_fault *fault;
    size_t count;
};
/* Adds one; field may be NULL. Texts are cut to fit. Returns false always. */
bool file_faults_add(struct file_faults *f, const char *file, int line, const char *field, struct said said);
void file_faults_finish(struct file_faults *f);
/* One line: `FILE:LINE: FIELD: WHY. HELP`; line and field left out where unknown. */
void file_fault_print(const struct file_fault *fault, enum words_language language, FILE *out);
