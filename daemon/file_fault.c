/* file_fault.c - the faults of files, gathered and printed. Knows no file and no configuration. */
#include "file_fault.h"

#include "text/utf8.h"

#include <stdlib.h>
#include <string.h>

bool file_faults_add(struct file_faults *f, const char *file, int line, const char *field, struct said said)
{
    if (f->count >= FILE_FAULTS_MAX)
        return false;
    struct file_fault *grown = realloc(f->fault, (f->count + 1) * sizeof *grown);
    if (!grown)
        return false;
    f->fault = grown;
    struct file_fault *fault = &grown[f->count++];
    *fault = (struct file_fault){.line = line, .said = said};
    utf8_copy(fault->file, sizeof fault->file, file);
    utf8_copy(fault->field, sizeof fault->field, field ? field : "");
    said_text(&said, WORDS_EN, NULL, fault->why, sizeof fault->why);
    said_part(&said, "help", WORDS_EN, NULL, fault->help, sizeof fault->help);
    return false;
}

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
