/* recording.h - bytes that a scale sent, with their times, as lines of text.
 *
 *   # family: hdr2          head lines `# key: value`: family (or profile: FILE), settings, date, what, source
 *   0 53542c2b30303030      milliseconds since the start, bytes in hex; blanks between them allowed
 *
 * The same form is written by drivers/recorder.h and played by `poise-sim --replay`.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { RECORDING_BYTES = 512 };

enum recording_kind { RECORDING_NOTHING, RECORDING_HEAD, RECORDING_CHUNK, RECORDING_FAULT };

struct recording_line {
    char key[16]; /* of a head line */
    char value[200];
    uint64_t ms; /* of a chunk */
    size_t len;
    uint8_t bytes[RECORDING_BYTES];
};

/* One line, with or without its end. NOTHING: empty, or a comment without a key. FAULT: neither. */
enum recording_kind recording_parse(const char *line, struct recording_line *out);
