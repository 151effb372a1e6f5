#include "client/decode_auto.h"

#include "client/fault.h"

#include "drivers/decode/families.h"
#include "drivers/decode/framer.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

enum { KEPT = 1 << 16, CHUNK = 4096, BELIEVED = 3 };

struct candidate {
    struct framer framer;
    uint64_t refused, skipped; /* at the last frame */
    int run, longest;
};

struct decode_auto {
    size_t len, count;
    uint8_t bytes[KEPT + CHUNK];
    struct candidate candidate[];
};

struct decode_auto *decode_auto_create(void)
{
    size_t count = 0;
    for (size_t i = 0; scale_families[i]; i++)
        count += !scale_families[i]->never_sought;
    struct decode_auto *found = calloc(1, sizeof *found + count * sizeof found->candidate[0]);
    for (size_t i = 0; found && scale_families[i]; i++)
        if (!scale_families[i]->never_sought)
            framer_init(&found->candidate[found->count++].framer, scale_families[i], SCALE_UNIT_NONE, false);
    return found;
}

void decode_auto_destroy(struct decode_auto *found)
{
    free(found);
}

bool decode_auto_room(const struct decode_auto *found)
{
    return found->len < KEPT;
}

static void count_frame(void *arg, const struct scale_reading *reading, const uint8_t *frame, size_t len)
{
    struct candidate *c = arg;
    (void)reading, (void)frame, (void)len;
    bool in_a_row = c->framer.refused == c->refused && c->framer.skipped <= c->skipped + 1;
    c->run = in_a_row ? c->run + 1 : 1;
    c->refused = c->framer.refused;
    c->skipped = c->framer.skipped;
    if (c->run > c->longest)
        c->longest = c->run;
}

void decode_auto_push(struct decode_auto *found, const uint8_t *bytes, size_t len)
{
    memcpy(found->bytes + found->len, bytes, len);
    found->len += len;
    for (size_t i = 0; i < found->count; i++)
        framer_push(&found->candidate[i].framer, bytes, len, count_frame, &found->candidate[i]);
}

const struct scale_family *decode_auto_early(const struct decode_auto *found)
{
    const struct candidate *one = NULL;
    for (size_t i = 0; i < found->count; i++) {
        if (found->candidate[i].framer.frames == 0)
            continue;
        if (one)
            return NULL;
        one = &found->candidate[i];
    }
    return one && one->longest >= BELIEVED ? one->framer.family : NULL;
}

/* Nothing of the bytes was thrown away, but for one byte a frame: the CR of those that end a line with LF CR. */
static bool decodes_all(const struct candidate *c)
{
    return c->framer.frames > 0 && c->framer.refused == 0 && c->framer.skipped <= c->framer.frames;
}

/* Puts the names of those that pass into text; the last of them into *family; how many. */
static size_t who(const struct decode_auto *found, bool in_a_row, char *text, size_t size,
                  const struct scale_family **family)
{
    size_t count = 0, len = 0;
    text[0] = '\0';
    for (size_t i = 0; i < found->count; i++) {
        const struct candidate *c = &found->candidate[i];
        if (in_a_row ? c->longest < BELIEVED : !decodes_all(c))
            continue;
        *family = c->framer.family;
        if (len < size)
            len += (size_t)snprintf(text + len, size - len, "%s%s", count ? ", " : "", (*family)->name);
        count++;
    }
    return count;
}

int decode_auto_settle(struct decode_auto *found, const struct scale_family **family)
{
    char names[512];
    *family = NULL;
    if (found->len == 0)
        return 0;
    for (size_t i = 0; i < found->count; i++)
        framer_finish(&found->candidate[i].framer, count_frame, &found->candidate[i]);
    size_t count = who(found, true, names, sizeof names, family);
    if (count == 0)
        count = who(found, false, names, sizeof names, family);
    if (count == 1)
        return 0;
    *family = NULL;
    if (count == 0)
        return fault_say(EX_DATAERR, "decode", "Name the family with --profile; check speed and parity.",
                         "no family speaks these bytes");
    return fault_say(EX_DATAERR, "decode", "Name one with --profile.", "several families speak these bytes: %s", names);
}

const uint8_t *decode_auto_bytes(const struct decode_auto *found)
{
    return found->bytes;
}

size_t decode_auto_count(const struct decode_auto *found)
{
    return found->len;
}
