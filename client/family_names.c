/* family_names.c - the families of scales by name, and what one of them reads in bytes. It must not know a port. The
 * list itself is that of the decoders (drivers/decode/families.h): a family that is added there is offered by help,
 * completion and faults without a change here. */
#include "client/family_names.h"

#include "client/output.h"

#include "drivers/decode/framer.h"
#include "drivers/scale.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* FAMILIES_ROOM holds more than twice what they need today. */
void families_list(const char *between, char *out, size_t size)
{
    size_t len = 0;
    out[0] = '\0';
    for (size_t i = 0; scale_families[i] && len < size; i++)
        len += (size_t)snprintf(out + len, size - len, "%s%s", i ? between : "", scale_families[i]->name);
}

/* All names in the help: there are about thirty, and a person who typed one wrongly has the scale's manual in the
 * hand and can compare. */
int families_no_such(struct output_style style, const char *name)
{
    char families[FAMILIES_ROOM];
    families_list(", ", families, sizeof families);
    return failure_say(style, EX_USAGE, "--profile", "family_unknown name=%s families=%s", name, families);
}

/* Where family_reads keeps the last weight that came by. */
struct reading {
    char *out;
    size_t size;
};

/* The last weight wins: it is the one that the scale's display shows when the person looks up. */
static void keep(void *arg, const struct scale_reading *r, const uint8_t *frame, size_t len)
{
    struct reading *last = arg;
    (void)frame, (void)len;
    if (r->digits[0])
        snprintf(last->out, last->size, "%s%s%s", r->digits, r->unit ? " " : "", scale_unit_name(r->unit));
}

/* The next byte of the text; *at moves behind it. */
static uint8_t next_byte(const char **at)
{
    const char *c = *at;
    if (c[0] == '\\' && c[1] == 'x' && c[2] && c[3]) {
        const char digits[] = {c[2], c[3], '\0'};
        *at += 4;
        return (uint8_t)strtoul(digits, NULL, 16);
    }
    if (c[0] == '\\' && (c[1] == 'r' || c[1] == 'n')) {
        *at += 2;
        return c[1] == 'r' ? '\r' : '\n';
    }
    *at += 1;
    return (uint8_t)*c;
}

/* Byte by byte, since `came` is a text with escapes and nothing is gained by unpacking it first: a search keeps at
 * most a few hundred bytes. */
void family_reads(const char *family, const char *came, char *out, size_t size)
{
    const struct scale_family *speaks = scale_family_find(family);
    struct reading last = {out, size};
    struct framer framer;
    out[0] = '\0';
    if (!speaks)
        return;
    framer_init(&framer, speaks, SCALE_UNIT_NONE, true);
    while (*came) {
        uint8_t byte = next_byte(&came);
        framer_push(&framer, &byte, 1, keep, &last);
    }
}
