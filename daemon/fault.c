/* fault.c - what went wrong, as a value with its words; the faults of files gathered and printed. Knows no socket, no
 * exit code and no file's grammar. */
#include "fault.h"

#include "text/utf8.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The numbers of the protocol; the exit codes of the commands follow from them in the client. */
static const int codes[FAULT_KINDS] = {
    [FAULT_NONE] = 0,         [FAULT_PARSE] = -32700,         [FAULT_REQUEST] = -32600,
    [FAULT_METHOD] = -32601,  [FAULT_PARAMS] = -32602,        [FAULT_INTERNAL] = -32603,
    [FAULT_UNKNOWN] = -32001, [FAULT_SCALE] = -32002,         [FAULT_STALE_REVISION] = -32003,
    [FAULT_STATE] = -32004,   [FAULT_INVALID] = -32005,       [FAULT_NOT_PERMITTED] = -32006,
    [FAULT_STORE] = -32007,   [FAULT_WOULD_NOT_FIT] = -32008, [FAULT_PRINT] = -32009,
};

/* FAULT_NONE is 0, which no error object ever bears. */
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

/* ---- faults of files ---- */

/* The English words are kept beside the said, since the struct outlives the texts that its slots were made of. */
void file_fault_set(struct file_fault *fault, const char *file, int line, const char *field, struct said said)
{
    *fault = (struct file_fault){.line = line, .said = said};
    utf8_copy(fault->file, sizeof fault->file, file);
    utf8_copy(fault->field, sizeof fault->field, field ? field : "");
    said_text(&said, WORDS_EN, NULL, fault->why, sizeof fault->why);
    said_part(&said, "help", WORDS_EN, NULL, fault->help, sizeof fault->help);
}

bool file_faults_add(struct file_faults *f, const char *file, int line, const char *field, struct said said)
{
    if (f->count >= FILE_FAULTS_MAX)
        return false;
    struct file_fault *grown = realloc(f->fault, (f->count + 1) * sizeof *grown);
    if (!grown)
        return false;
    f->fault = grown;
    file_fault_set(&grown[f->count++], file, line, field, said);
    return false;
}

/* May be used again afterwards; one that was never added to is let pass. */
void file_faults_finish(struct file_faults *f)
{
    free(f->fault);
    *f = (struct file_faults){0};
}

/* The sentence without the field that it begins with, since that was printed before it. */
static const char *behind_field(const char *text, const char *field)
{
    size_t n = strlen(field);
    return n > 0 && strncmp(text, field, n) == 0 && text[n] == ' ' ? text + n + 1 : text;
}

/* In the language of whoever started us, not in the shop's: the file that names that is at fault. What a person typed
 * is cleaned of control bytes, which a terminal would obey. */
void file_fault_print(const struct file_fault *fault, enum words_language language, FILE *out)
{
    char why[SAID_TEXT_MAX], help[SAID_TEXT_MAX], clean[SAID_TEXT_MAX];
    bool told = fault->said.code[0] != '\0';
    utf8_copy(why, sizeof why, fault->why);
    utf8_copy(help, sizeof help, fault->help);
    if (told) {
        said_text(&fault->said, language, NULL, why, sizeof why);
        said_part(&fault->said, "help", language, NULL, help, sizeof help);
    }
    fputs(utf8_clean(clean, sizeof clean, fault->file), out);
    if (fault->line)
        fprintf(out, ":%d", fault->line);
    if (*fault->field)
        fprintf(out, ": %s", utf8_clean(clean, sizeof clean, fault->field));
    fprintf(out, ": %s.", utf8_clean(clean, sizeof clean, behind_field(why, fault->field)));
    if (*help)
        fprintf(out, " %s", utf8_clean(clean, sizeof clean, help));
    fputc('\n', out);
}
