/* recording.h - bytes that a scale sent, with their times, as lines of text: read for `poise decode` and the tests,
 * written for a bug report.
 *
 *   # family: hdr2          head lines `# key: value`: family (or profile: FILE), settings, date, what, source
 *   0 53542c2b30303030      milliseconds since the start, bytes in hex; blanks between them allowed
 *
 * The same form is played by `poise-sim --replay`.
 * Owner   record_create and record_destroy are a pair.
 * Errors  The first write that fails is kept; later ones are dropped. record_fault says it.
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

struct record;

/* What the head of a recording says, one line each; what is NULL is left out. Texts are borrowed for the call. */
struct recording_head {
    const char *family, *frame, *port; /* `not told` where a family is not known; `8N1`; as a station names its port */
    int speed;                         /* baud */
    const char *date, *what;           /* what happens in it, for people */
};

/* Begins the file, which must not exist yet, with its head. NULL with errno. Blocks for an open: not for the loop of a
 * busy daemon. */
struct record *record_create(const char *path, const struct recording_head *head);
/* A chunk; at_ms on any clock that only rises, the first call is 0. It is on its way to the disk when the call returns
 * (flushed, not synced): a recording of a pulled cable must hold the last byte. */
void record_bytes(struct record *record, const uint8_t *bytes, size_t len, uint64_t at_ms);
/* 0, or errno of the first write that failed. */
int record_fault(const struct record *record);
/* Closes; the fault as above, also of the close. NULL: 0. */
int record_destroy(struct record *record);
