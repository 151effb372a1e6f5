/* decode_command.c - `poise decode`: bytes of a scale on stdin or from a recording, a line a frame on stdout. Needs no
 * daemon.
 *
 * With `auto` the bytes are shown to every family that may be sought; the one of which three whole frames in a row
 * decode is believed (where there are fewer: the only one that decodes all of them). What was read until then is kept
 * and decoded from its beginning.
 */
#include "client/commands.h"
#include "client/family_names.h"
#include "client/options.h"
#include "client/output.h"

#include "drivers/decode/framer.h"
#include "drivers/decode/guess.h"
#include "drivers/decode/profile.h"
#include "drivers/decode/recording.h"
#include "drivers/scale.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

/* ---- the bytes: stdin as they come, or a recording of `poise record` ---- */

/* Bytes of one line of a recording, its end included; bytes taken at a time; bytes kept while the family is open. */
enum { LINE_BYTES = 4096, CHUNK = 4096, KEPT = 1 << 16 };

struct input {
    const char *path; /* NULL: stdin */
    FILE *recording;
    int line; /* of the recording, from 1 */
    struct output_style style;
    int code; /* of what went wrong, else 0 */
};

/* `path` NULL: stdin. 0, or 66, 77 or 74 after a line on stderr. */
static int input_open(struct input *in, struct output_style style, const char *path)
{
    *in = (struct input){.path = path, .style = style};
    in->recording = path ? fopen(path, "re") : NULL;
    if (!path || in->recording)
        return 0;
    return failure_say(style, failure_errno(errno), path, "file_not_read why=%s", wording_errno(style, errno));
}

/* With the line, since a recording is a text that people cut and fix by hand before they send it. */
static ssize_t not_recording(struct input *in)
{
    char what[PATH_MAX + 16];
    snprintf(what, sizeof what, "%s:%d", in->path, in->line);
    in->code = failure_say(in->style, EX_DATAERR, what, "no_recording");
    return -1;
}

/* A disk or a pipe that fails in the middle is 74, after all that was decoded before it has been printed. */
static ssize_t not_read(struct input *in)
{
    in->code = failure_say(in->style, EX_IOERR, in->path ? in->path : "stdin", "file_not_read why=%s",
                           wording_errno(in->style, errno));
    return -1;
}

/* Lines that hold no bytes of the scale are passed over. */
static ssize_t next_line(struct input *in, uint8_t bytes[CHUNK])
{
    char line[LINE_BYTES];
    struct recording_line now;
    _Static_assert((int)RECORDING_BYTES <= (int)CHUNK, "a chunk holds what a line of a recording does");
    while (fgets(line, sizeof line, in->recording)) {
        in->line++;
        enum recording_kind kind = recording_parse(line, &now);
        if (kind == RECORDING_FAULT)
            return not_recording(in);
        if (kind != RECORDING_CHUNK)
            continue;
        memcpy(bytes, now.bytes, now.len);
        return (ssize_t)now.len;
    }
    return ferror(in->recording) ? not_read(in) : 0;
}

/* The next bytes; 0 at the end, -1 after a fault was said. */
static ssize_t input_next(struct input *in, uint8_t bytes[CHUNK])
{
    ssize_t got;
    if (in->recording)
        return next_line(in, bytes);
    do
        got = read(STDIN_FILENO, bytes, CHUNK);
    while (got < 0 && errno == EINTR);
    return got < 0 ? not_read(in) : got;
}

/* ---- a line of JSON a frame ---- */

/* No escaping: digits, units and kinds are our own words or figures of the frame, never a stranger's text. */
static void quoted(const char *name, const char *text)
{
    if (*text)
        printf("\"%s\":\"%s\",", name, text);
    else
        printf("\"%s\":null,", name);
}

/* Contract, section 6: the digits as sent, not a number, so that 12.30 stays 12.30 and a test can compare frames
 * byte by byte. */
static void print_reading(void *arg, const struct scale_reading *r, const uint8_t *frame, size_t len)
{
    static const char *const stable[] = {
        [SCALE_STABLE] = "true", [SCALE_MOVING] = "false", [SCALE_STABILITY_UNKNOWN] = "null"};
    const struct scale_family *family = arg;
    (void)frame, (void)len;
    printf("{\"family\":\"%s\",", family->name);
    quoted("value", r->digits);
    quoted("unit", scale_unit_name(r->unit));
    printf("\"stable\":%s,\"kind\":\"%s\",\"status\":\"%s\"}\n", stable[r->stability], scale_kind_name(r->kind),
           scale_status_name(r->status));
}

/* Decodes what is there already, then the rest of the input. Flushed chunk by chunk, so that `poise decode <
 * /dev/ttyUSB0` shows frames as they come; a reader that went ends it. What belonged to no frame is told at the end
 * on stderr and is no failure: most recordings begin in the middle of a line. */
static int decode_as(struct input *in, const struct scale_family *family, const uint8_t *first, size_t len)
{
    struct framer framer;
    uint8_t chunk[CHUNK];
    ssize_t got = 0;
    void *its = (void *)(uintptr_t)family;
    framer_init(&framer, family, SCALE_UNIT_NONE, false);
    framer_push(&framer, first, len, print_reading, its);
    while (fflush(stdout) == 0 && (got = input_next(in, chunk)) > 0)
        framer_push(&framer, chunk, (size_t)got, print_reading, its);
    framer_finish(&framer, print_reading, its);
    if (framer.refused > 0 || framer.skipped > 0)
        failure_say(in->style, 0, family->name, "decode_left frames=%zu bytes=%zu", (size_t)framer.refused,
                    (size_t)framer.skipped);
    return in->code;
}

/* ---- whose are they? The guess of the drivers decides; too few frames for it, and the one that reads them all ---- */

struct unknown {
    struct guess *guess;
    size_t len;
    uint8_t bytes[KEPT + CHUNK]; /* one more chunk fits behind KEPT, so a push never overruns */
};

/* Only the framer's own counts are wanted while a family is tried. */
static void ignore(void *arg, const struct scale_reading *reading, const uint8_t *frame, size_t len)
{
    (void)arg, (void)reading, (void)frame, (void)len;
}

/* All the bytes are its frames, but for one byte each: the CR of those that end a line with LF CR. */
static bool decodes_all(const struct scale_family *family, const uint8_t *bytes, size_t len)
{
    struct framer framer;
    framer_init(&framer, family, SCALE_UNIT_NONE, false);
    framer_push(&framer, bytes, len, ignore, NULL);
    framer_finish(&framer, ignore, NULL);
    return framer.frames > 0 && framer.refused == 0 && framer.skipped <= framer.frames;
}

/* Too few frames for three in a row: the names of all families that read the whole, the last of them in *family.
 * With one or two frames three in a row cannot be had, but a family that reads every byte is seldom wrong. */
static size_t by_few_frames(const struct unknown *u, char *names, size_t size, const struct scale_family **family)
{
    size_t count = 0, len = 0;
    names[0] = '\0';
    for (size_t i = 0; scale_families[i]; i++) {
        if (!decodes_all(scale_families[i], u->bytes, u->len))
            continue;
        *family = scale_families[i];
        if (len < size)
            len += (size_t)snprintf(names + len, size - len, "%s%s", count ? ", " : "", (*family)->name);
        count++;
    }
    return count;
}

/* At the end of the bytes: the family (NULL where there were no bytes at all), or 65 after a line on stderr. A count
 * of 2 stands for a tie: several families read the same bytes, and only the display can tell. */
static int settle(const struct unknown *u, struct output_style style, const struct scale_family **family)
{
    char names[FAMILIES_ROOM];
    size_t count = 2;
    *family = NULL;
    enum guess_result found = guess_result(u->guess, family);
    if (u->len == 0 || found == GUESS_FOUND)
        return 0;
    if (found == GUESS_TIE)
        guess_names(u->guess, names);
    else
        count = by_few_frames(u, names, sizeof names, family);
    if (count == 1)
        return 0;
    *family = NULL;
    return count == 0 ? failure_say(style, EX_DATAERR, "decode", "decode_nobody")
                      : failure_say(style, EX_DATAERR, "decode", "decode_several names=%s", names);
}

/* KEPT bytes are more than any family needs to show itself (three frames of at most a few hundred bytes); a stream
 * that fits nobody until then will not fit later, and memory stays bounded on an endless pipe. */
static int find_out(struct input *in, struct unknown *u)
{
    const struct scale_family *family = NULL;
    ssize_t got = 0;
    while (u->len < KEPT && (got = input_next(in, u->bytes + u->len)) > 0) {
        guess_push(u->guess, u->bytes + u->len, (size_t)got);
        u->len += (size_t)got;
        if (guess_result(u->guess, &family) == GUESS_FOUND)
            break;
    }
    int code = in->code ? in->code : settle(u, in->style, &family);
    return code == 0 && family ? decode_as(in, family, u->bytes, u->len) : code;
}

/* ---- the command ---- */

/* On the heap: the bytes kept are 68 KiB, more than a frame of the stack should hold. */
static int decode_auto(struct input *in)
{
    struct unknown *u = calloc(1, sizeof *u);
    struct guess *guess = u ? guess_create() : NULL;
    if (guess)
        u->guess = guess;
    int code = guess ? find_out(in, u) : failure_say(in->style, EX_SOFTWARE, "decode", "no_memory");
    guess_destroy(guess);
    free(u);
    return code;
}

/* A shop's own profile. The struct is what its family points into, so it lives as long as the decoding. */
static int decode_declared(struct input *in, const char *path)
{
    struct scale_profile profile;
    struct profile_fault fault;
    char what[4200];
    if (access(path, R_OK) != 0)
        return failure_say(in->style, failure_errno(errno), path, "file_not_read why=%s",
                           wording_errno(in->style, errno));
    if (profile_load(path, NULL, &profile, &fault))
        return decode_as(in, &profile.family, NULL, 0);
    /* A fault of a whole section has no field. */
    snprintf(what, sizeof what, "%.4096s:%d%s%s", path, fault.line, fault.field[0] ? ": " : "", fault.field);
    return failure_said(in->style, EX_DATAERR, what, &fault.said);
}

/* A file is what holds a slash or ends with .ini; everything else is a name. */
static bool is_file(const char *name)
{
    size_t len = strlen(name);
    return strchr(name, '/') || (len > 4 && strcmp(name + len - 4, ".ini") == 0);
}

/* --profile is `auto`, a family's name, or a profile file of the shop. The input is opened first: a file that is not
 * there is the fault a person wants to hear of before one about the profile. */
int command_decode(struct poise_options *opt)
{
    struct input in;
    const char *profile = opt->text[OPTION_PROFILE];
    int code = input_open(&in, opt->style, opt->word_count ? opt->word[0] : NULL);
    if (code)
        return code;
    const struct scale_family *family = profile ? scale_family_find(profile) : NULL;
    if (!profile || strcmp(profile, "auto") == 0)
        code = decode_auto(&in);
    else if (is_file(profile))
        code = decode_declared(&in, profile);
    else
        code = family ? decode_as(&in, family, NULL, 0) : families_no_such(opt->style, profile);
    if (in.recording)
        fclose(in.recording);
    return code;
}
