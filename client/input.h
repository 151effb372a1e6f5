/* input.h - where `poise decode` takes a scale's bytes from: stdin as they come, or a recording (`poise record`).
 *
 * Owner   open and close are a pair.
 * Errors  Each is one line on stderr; its exit code is kept in the struct.
 */
#pragma once

#include "client/output.h"

#include "drivers/decode/recording.h"

#include <stdio.h>
#include <sys/types.h>

struct input {
    const char *path; /* NULL: stdin */
    FILE *recording;
    int line;
    struct output_style style;
    int code; /* of what went wrong, else 0 */
    struct recording_line now;
};

/* `path` NULL: stdin. 0, or 66, 77 or 74 after a line on stderr. */
int input_open(struct input *in, struct output_style style, const char *path);
/* The next bytes, at most `size`, which is RECORDING_BYTES or more; 0 at the end, -1 after a fault was said. */
ssize_t input_next(struct input *in, uint8_t *bytes, size_t size);
void input_close(struct input *in);
