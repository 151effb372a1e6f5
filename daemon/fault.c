/* fault.c - what went wrong, as a value with its words. Knows no socket and no exit code. */
#include "fault.h"

#include "text/utf8.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* The numbers of the protocol; the exit codes of the commands follow from them in the client. */
static const int codes[FAULT_KINDS] = {
    [FAULT_NONE] = 0,         [FAULT_PARSE] = -32700,         [FAULT_REQUEST] = -32600,
    [FAULT_METHOD] = -32601,  [FAULT_PARAMS] = -32602,        [FAULT_INTERNAL] = -32603,
    [FAULT_UNKNOWN] = -32001, [FAULT_SCALE] = -32002,         [FAULT_STALE_REVISION] = -32003,
    [FAULT_STATE] = -32004,   [FAULT_INVALID] = -32005,       [FAULT_NOT_PERMITTED] = -32006,
    [FAULT_STORE] = -32007,   [FAULT_WOULD_NOT_FIT] = -32008, [FAULT_PRINT] = -32009,
};

int fault_code(enum fault_kind kind)
{
    return codes[kind];
}

bool fault_from(struct fault *f, enum fault_kind kind, const char *field, const char *why, const struct said *said,
                const struct said *help)
{
    *f = (struct fault){.kind = kind, .said = *said, .revision = -1, .short_g = NAN, .uncounted_g = NAN};
    utf8_copy(f->field, sizeof f->field, field ? field : "");
    utf8_copy(f->why, sizeof f->why, why ? why : "");
    said_text(said, WORDS_EN, NULL, f->message, sizeof f->message);
    if (help)
        said_text(help, WORDS_EN, NULL, f->help, sizeof f->help);
    else
        said_part(said, "help", WORDS_EN, NULL, f->help, sizeof f->help);
    return false;
}

bool fault_said(struct fault *f, enum fault_kind kind, const char *field, const char *why, const char *form, ...)
{
    va_list args;
    va_start(args, form);
    const struct said said = say_list(form, args);
    va_end(args);
    return fault_from(f, kind, field, why, &said, NULL);
}

void fault_in_file(struct fault *f, const char *file, int line)
{
    char message[sizeof f->message];
    utf8_copy(message, sizeof message, f->message);
    /* Of a long path the start says less than the line: cut with room for it. */
    utf8_copy(f->place, sizeof f->place - 12, file);
    if (line > 0)
        snprintf(f->place + strlen(f->place), 12, ":%d", line);
    snprintf(f->message, sizeof f->message, "%s: ", f->place);
    utf8_copy(f->message + strlen(f->message), sizeof f->message - strlen(f->message), message);
}
