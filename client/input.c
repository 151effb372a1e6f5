#include "client/input.h"

#include "client/fault.h"

#include <errno.h>
#include <limits.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

enum { LINE_BYTES = 4096 };

int input_open(struct input *in, const char *path)
{
    *in = (struct input){.path = path};
    in->recording = path ? fopen(path, "re") : NULL;
    if (!path || in->recording)
        return 0;
    return fault_say(errno == ENOENT   ? EX_NOINPUT
                     : errno == EACCES ? EX_NOPERM
                                       : EX_IOERR,
                     path, NULL, "%s", strerror(errno));
}

static ssize_t fail(struct input *in, int code, const char *help, const char *why)
{
    char what[PATH_MAX + 16];
    if (in->line)
        snprintf(what, sizeof what, "%s:%d", in->path, in->line);
    else
        snprintf(what, sizeof what, "%s", in->path ? in->path : "stdin");
    in->code = fault_say(code, what, help, "%s", why);
    return -1;
}

static ssize_t next_chunk(struct input *in, uint8_t *bytes, size_t size)
{
    char line[LINE_BYTES];
    while (fgets(line, sizeof line, in->recording)) {
        in->line++;
        enum recording_kind kind = recording_parse(line, &in->now);
        if (kind == RECORDING_FAULT)
            return fail(in, EX_DATAERR, "Give one made by poise record, or the bytes themselves on stdin",
                        "not a line of a recording");
        if (kind != RECORDING_CHUNK || in->now.len > size)
            continue;
        memcpy(bytes, in->now.bytes, in->now.len);
        return (ssize_t)in->now.len;
    }
    in->line = 0;
    return ferror(in->recording) ? fail(in, EX_IOERR, NULL, strerror(errno)) : 0;
}

ssize_t input_next(struct input *in, uint8_t *bytes, size_t size)
{
    ssize_t got;
    if (in->recording)
        return next_chunk(in, bytes, size);
    do
        got = read(STDIN_FILENO, bytes, size);
    while (got < 0 && errno == EINTR);
    return got < 0 ? fail(in, EX_IOERR, NULL, strerror(errno)) : got;
}

void input_close(struct input *in)
{
    if (in->recording)
        fclose(in->recording);
    in->recording = NULL;
}
