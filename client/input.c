/* input.c - bytes for poise decode. It must not know what they mean. */
#include "client/input.h"

#include "client/failure.h"

#include <errno.h>
#include <limits.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

/* Bytes of one line of a recording, its end included. */
enum { LINE_BYTES = 4096 };

int input_open(struct input *in, struct output_style style, const char *path)
{
    *in = (struct input){.path = path, .style = style};
    in->recording = path ? fopen(path, "re") : NULL;
    if (!path || in->recording)
        return 0;
    return failure_say(style,
                       errno == ENOENT   ? EX_NOINPUT
                       : errno == EACCES ? EX_NOPERM
                                         : EX_IOERR,
                       path, "file_not_read why=%s", wording_errno(style, errno));
}

static ssize_t not_recording(struct input *in)
{
    char what[PATH_MAX + 16];
    snprintf(what, sizeof what, "%s:%d", in->path, in->line);
    in->code = failure_say(in->style, EX_DATAERR, what, "no_recording");
    return -1;
}

static ssize_t not_read(struct input *in)
{
    in->code = failure_say(in->style, EX_IOERR, in->path ? in->path : "stdin", "file_not_read why=%s",
                           wording_errno(in->style, errno));
    return -1;
}

/* Lines that hold no bytes of the scale are passed over. */
static ssize_t next_chunk(struct input *in, uint8_t *bytes, size_t size)
{
    char line[LINE_BYTES];
    while (fgets(line, sizeof line, in->recording)) {
        in->line++;
        enum recording_kind kind = recording_parse(line, &in->now);
        if (kind == RECORDING_FAULT)
            return not_recording(in);
        if (kind != RECORDING_CHUNK || in->now.len > size)
            continue;
        memcpy(bytes, in->now.bytes, in->now.len);
        return (ssize_t)in->now.len;
    }
    return ferror(in->recording) ? not_read(in) : 0;
}

ssize_t input_next(struct input *in, uint8_t *bytes, size_t size)
{
    ssize_t got;
    if (in->recording)
        return next_chunk(in, bytes, size);
    do
        got = read(STDIN_FILENO, bytes, size);
    while (got < 0 && errno == EINTR);
    return got < 0 ? not_read(in) : got;
}

void input_close(struct input *in)
{
    if (in->recording)
        fclose(in->recording);
    in->recording = NULL;
}
