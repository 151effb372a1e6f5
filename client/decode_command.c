/* decode.c - `poise decode`: bytes of a scale on stdin or from a recording, a line a frame on stdout. Needs no daemon.
 *
 * With `auto` the bytes are shown to every family that may be sought; the one of which three whole frames in a row
 * decode is believed (where there are fewer: the only one that decodes all of them). What was read until then is kept
 * and decoded from its beginning.
 */
#include "client/commands.h"
#include "client/decode_auto.h"
#include "client/failure.h"
#include "client/family_names.h"
#include "client/input.h"
#include "client/options.h"

#include "drivers/decode/families.h"
#include "drivers/decode/framer.h"
#include "drivers/decode/profile.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

static void quoted(const char *name, const char *text)
{
    if (*text)
        printf("\"%s\":\"%s\",", name, text);
    else
        printf("\"%s\":null,", name);
}

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

/* Decodes what is there already, then the rest of the input. */
static int decode_as(struct input *in, const struct scale_family *family, const uint8_t *first, size_t len)
{
    struct framer framer;
    uint8_t chunk[4096];
    ssize_t got = 0;
    framer_init(&framer, family, SCALE_UNIT_NONE, false);
    framer_push(&framer, first, len, print_reading, (void *)(uintptr_t)family);
    while (fflush(stdout) == 0 && (got = input_next(in, chunk, sizeof chunk)) > 0)
        framer_push(&framer, chunk, (size_t)got, print_reading, (void *)(uintptr_t)family);
    framer_finish(&framer, print_reading, (void *)(uintptr_t)family);
    if (framer.refused > 0 || framer.skipped > 0)
        failure_say(in->style, 0, family->name, "decode_left frames=%zu bytes=%zu", (size_t)framer.refused,
                    (size_t)framer.skipped);
    return in->code;
}

static int decode_auto(struct input *in, struct output_style style)
{
    struct decode_auto *found = decode_auto_create();
    uint8_t chunk[4096];
    ssize_t got = 0;
    if (!found)
        return failure_say(style, EX_SOFTWARE, "decode", "no_memory");
    const struct scale_family *family = NULL;
    while (!family && decode_auto_room(found) && (got = input_next(in, chunk, sizeof chunk)) > 0) {
        decode_auto_push(found, chunk, (size_t)got);
        family = decode_auto_early(found);
    }
    int code = in->code;
    if (code == 0 && !family)
        code = decode_auto_settle(found, style, &family);
    if (code == 0 && family)
        code = decode_as(in, family, decode_auto_bytes(found), decode_auto_count(found));
    decode_auto_destroy(found);
    return code;
}

/* A shop's own profile. The struct is what its family points into, so it lives as long as the decoding. */
static int decode_declared(struct input *in, struct output_style style, const char *path)
{
    struct scale_profile profile;
    struct profile_fault fault;
    char what[4200];
    if (access(path, R_OK) != 0)
        return failure_say(style, EX_NOINPUT, path, "file_not_read why=%s", wording_errno(style, errno));
    if (profile_load(path, NULL, &profile, &fault))
        return decode_as(in, &profile.family, NULL, 0);
    snprintf(what, sizeof what, "%.4096s:%d", path, fault.line);
    return failure_say(style, EX_DATAERR, what, "profile_wrong field=%s why=%s help=%s", fault.field, fault.why,
                       fault.help);
}

/* A file is what holds a slash or ends with .ini; everything else is a name. */
static bool is_file(const char *name)
{
    size_t len = strlen(name);
    return strchr(name, '/') || (len > 4 && strcmp(name + len - 4, ".ini") == 0);
}

static int decode_named(struct input *in, struct output_style style, const char *name)
{
    if (strcmp(name, "auto") == 0)
        return decode_auto(in, style);
    if (is_file(name))
        return decode_declared(in, style, name);
    const struct scale_family *family = scale_family_find(name);
    return family ? decode_as(in, family, NULL, 0) : families_no_such(style, name);
}

int command_decode(struct poise_options *opt)
{
    struct input in;
    int code = input_open(&in, opt->style, opt->word_count ? opt->word[0] : NULL);
    if (code == 0)
        code = decode_named(&in, opt->style, opt->text[OPTION_PROFILE] ? opt->text[OPTION_PROFILE] : "auto");
    input_close(&in);
    return code;
}
