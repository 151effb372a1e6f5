/* fault.c - what went wrong, as a value with its words. Knows no socket and no exit code. */
#include "fault.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

/* The numbers of the protocol; the exit codes of the commands follow from them in the client. */
static const int codes[FAULT_KINDS] = {
    [FAULT_NONE] = 0,         [FAULT_PARSE] = -32700,         [FAULT_REQUEST] = -32600,
    [FAULT_METHOD] = -32601,  [FAULT_PARAMS] = -32602,        [FAULT_INTERNAL] = -32603,
    [FAULT_UNKNOWN] = -32001, [FAULT_SCALE] = -32002,         [FAULT_STALE_REVISION] = -32003,
    [FAULT_STATE] = -32004,   [FAULT_INVALID] = -32005,       [FAULT_NOT_PERMITTED] = -32006,
    [FAULT_STORE] = -32007,   [FAULT_WOULD_NOT_FIT] = -32008,
};

int fault_code(enum fault_kind kind)
{
    return codes[kind];
}

bool fault_set(struct fault *f, enum fault_kind kind, const char *field, const char *why, const char *help,
               const char *message, ...)
{
    va_list args;
    f->kind = kind;
    f->said = (struct said){.used = 0};
    va_start(args, message);
    vsnprintf(f->message, sizeof f->message, message, args);
    va_end(args);
    snprintf(f->field, sizeof f->field, "%s", field ? field : "");
    snprintf(f->why, sizeof f->why, "%s", why ? why : "");
    snprintf(f->help, sizeof f->help, "%s", help);
    f->revision = -1;
    f->state[0] = '\0';
    f->short_g = f->uncounted_g = NAN;
    return false;
}

bool fault_said(struct fault *f, enum fault_kind kind, const char *field, const char *why, const char *form, ...)
{
    va_list args;
    fault_set(f, kind, field, why, "", "%s", "");
    va_start(args, form);
    f->said = say_list(form, args);
    va_end(args);
    said_text(&f->said, WORDS_EN, NULL, f->message, sizeof f->message);
    said_part(&f->said, "help", WORDS_EN, NULL, f->help, sizeof f->help);
    return false;
}
