/* recording.c - a recording read line by line, and written as it comes. It knows no port and no family: who reads gives
 * lines, who writes gives chunks. */
#include "drivers/decode/recording.h"

#include "drivers/decode/text.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* A comment with a key that is one of ours is a head; any other comment is only for people. */
static enum recording_kind head(const char *line, struct recording_line *out)
{
    out->value[0] = '\0';
    if (sscanf(line, "# %15[a-z]: %199[^\r\n]", out->key, out->value) == 2)
        return RECORDING_HEAD;
    return RECORDING_NOTHING;
}

enum recording_kind recording_parse(const char *line, struct recording_line *out)
{
    while (is_blank(*line))
        line++;
    if (*line == '\0')
        return RECORDING_NOTHING;
    if (*line == '#')
        return head(line, out);
    out->ms = 0;
    out->len = 0;
    const char *from = line;
    /* Fifteen digits of milliseconds are 30,000 years: more is no time, and would overflow. */
    for (; *line >= '0' && *line <= '9'; line++) {
        if (line - from > 15)
            return RECORDING_FAULT;
        out->ms = out->ms * 10 + (uint64_t)(*line - '0');
    }
    if (line == from || !is_blank(*line))
        return RECORDING_FAULT;
    for (;;) {
        while (is_blank(*line))
            line++;
        if (*line == '\0')
            return out->len ? RECORDING_CHUNK : RECORDING_FAULT;
        /* A lone digit at the end is a fault: half a byte was lost, and perhaps more with it. */
        int high = text_hex(line[0]);
        int low = high < 0 ? -1 : text_hex(line[1]);
        if (low < 0 || out->len == RECORDING_BYTES)
            return RECORDING_FAULT;
        out->bytes[out->len++] = (uint8_t)(high * 16 + low);
        line += 2;
    }
}

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
struct record *record_create(const char *path, const struct recording_head *head)
{
    struct record *r = calloc(1, sizeof *r);
    FILE *file = r ? fopen(path, "wxe") : NULL;
    if (!file) {
        free(r);
        return NULL;
    }
    r->file = file;
    fprintf(file, "# family: %s\n# settings: %d %s\n# port: %s\n", head->family, head->speed, head->frame, head->port);
    if (head->date)
        head_line(file, "date", head->date);
    if (head->what)
        head_line(file, "what", head->what);
    note_fault(r, fflush(file) != 0);
    return r;
}

/* Times count from the first chunk, so a recording never tells when it was made but in its head. */
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

/* A disk that filled up once has a hole in the recording, though later lines may fit: the first fault stays. */
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
