/* recorder.c - writes a recording as it comes. It knows the form of decode/recording.h, and no port. */
#include "drivers/recorder.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>

/* Half of what recording_parse() takes in a line. */
enum { BYTES_A_LINE = 256 };

struct record {
    FILE *file;
    bool begun;
    uint64_t start_ms;
    int fault;
};

/* The first fault counts: what follows it is a consequence. */
static void note_fault(struct record *r, bool failed)
{
    if (failed && !r->fault)
        r->fault = errno ? errno : EIO;
}

/* One line of the head, whatever the text holds: a line that is no comment would be taken for bytes. */
static void head_line(FILE *file, const char *key, const char *text)
{
    fprintf(file, "# %s: ", key);
    for (; *text; text++)
        fputc((unsigned char)*text < ' ' ? ' ' : *text, file);
    fputc('\n', file);
}

/* Never over an old file (`x`): a recording is evidence. */
struct record *record_create(const char *path, const struct port_settings *settings, const char *date, const char *what)
{
    struct record *r = calloc(1, sizeof *r);
    FILE *file = r ? fopen(path, "wxe") : NULL;
    if (!file) {
        free(r);
        return NULL;
    }
    r->file = file;
    fprintf(file, "# family: %s\n# settings: %d %s\n# port: %s\n", settings->profile,
            settings->speed ? settings->speed : 9600, settings->frame[0] ? settings->frame : "8N1", settings->port);
    if (date)
        head_line(file, "date", date);
    if (what)
        head_line(file, "what", what);
    note_fault(r, fflush(file) != 0);
    return r;
}

void record_bytes(struct record *record, const uint8_t *bytes, size_t len, uint64_t at_ms)
{
    if (!record->begun)
        record->start_ms = at_ms;
    record->begun = true;
    for (size_t at = 0; at < len && !record->fault; at += BYTES_A_LINE) {
        fprintf(record->file, "%llu ", (unsigned long long)(at_ms - record->start_ms));
        for (size_t i = at; i < len && i < at + BYTES_A_LINE; i++)
            fprintf(record->file, "%02x", bytes[i]);
        fputc('\n', record->file);
    }
    note_fault(record, fflush(record->file) != 0);
}

int record_fault(const struct record *record)
{
    return record->fault;
}

int record_destroy(struct record *record)
{
    if (!record)
        return 0;
    note_fault(record, fclose(record->file) != 0);
    int fault = record->fault;
    free(record);
    return fault;
}
