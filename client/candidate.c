#include "client/candidate.h"

#include "drivers/decode/families.h"
#include "drivers/decode/framer.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct reading {
    char *out;
    size_t size;
};

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
    *at += 1;
    return (uint8_t)*c;
}

void candidate_reads(const char *family, const char *came, char *out, size_t size)
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
