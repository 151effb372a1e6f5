#include "file_fault.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

/* A text that was cut to fit must not end in half a character: it goes into JSON. */
static void cut_whole(char *text, size_t size)
{
    size_t n = strlen(text);
    if (n + 1 < size)
        return;
    size_t at = n;
    while (at > 0 && ((unsigned char)text[at - 1] & 0xc0) == 0x80)
        at--;
    if (at > 0 && (unsigned char)text[at - 1] >= 0xc0)
        text[at - 1] = '\0';
}

static void copy_cut(char *to, size_t size, const char *text)
{
    snprintf(to, size, "%s", text ? text : "");
    cut_whole(to, size);
}

bool file_faults_add(struct file_faults *f, const char *file, int line, const char *field, const char *help,
                     const char *why, ...)
{
    if (f->count >= FILE_FAULTS_MAX)
        return false;
    struct file_fault *grown = realloc(f->fault, (f->count + 1) * sizeof *grown);
    if (!grown)
        return false;
    f->fault = grown;
    struct file_fault *fault = &grown[f->count++];
    va_list args;
    va_start(args, why);
    vsnprintf(fault->why, sizeof fault->why, why, args);
    va_end(args);
    cut_whole(fault->why, sizeof fault->why);
    copy_cut(fault->file, sizeof fault->file, file);
    copy_cut(fault->field, sizeof fault->field, field);
    copy_cut(fault->help, sizeof fault->help, help);
    fault->line = line;
    return false;
}

void file_faults_finish(struct file_faults *f)
{
    free(f->fault);
    *f = (struct file_faults){0};
}

void file_fault_print(const struct file_fault *fault, FILE *out)
{
    fputs(fault->file, out);
    if (fault->line)
        fprintf(out, ":%d", fault->line);
    if (*fault->field)
        fprintf(out, ": %s", fault->field);
    fprintf(out, ": %s.", fault->why);
    if (*fault->help)
        fprintf(out, " %s", fault->help);
    fputc('\n', out);
}
