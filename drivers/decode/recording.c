/* recording.c - a line of a recording taken apart. It knows no file and no family: whoever reads the file gives lines.
 */
#include "drivers/decode/recording.h"

#include "drivers/decode/text.h"

#include <stdio.h>
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
