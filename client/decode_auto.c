/* decode_auto.c - bytes kept while nobody knows whose they are. It must not read a file or a port. */
#include "client/decode_auto.h"

#include "client/failure.h"

#include "drivers/decode/families.h"
#include "drivers/decode/framer.h"
#include "drivers/decode/guess.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* Bytes kept while the family is open; one more chunk fits behind KEPT, so a push never overruns. */
enum { KEPT = 1 << 16, CHUNK = 4096 };

struct decode_auto {
    struct guess *guess;
    size_t len;
    uint8_t bytes[KEPT + CHUNK];
};

struct decode_auto *decode_auto_create(void)
{
    struct decode_auto *found = calloc(1, sizeof *found);
    if (found)
        found->guess = guess_create();
    if (found && found->guess)
        return found;
    free(found);
    return NULL;
}

void decode_auto_destroy(struct decode_auto *found)
{
    if (!found)
        return;
    guess_destroy(found->guess);
    free(found);
}

bool decode_auto_room(const struct decode_auto *found)
{
    return found->len < KEPT;
}

void decode_auto_push(struct decode_auto *found, const uint8_t *bytes, size_t len)
{
    memcpy(found->bytes + found->len, bytes, len);
    found->len += len;
    guess_push(found->guess, bytes, len);
}

const struct scale_family *decode_auto_early(const struct decode_auto *found)
{
    const struct scale_family *family = NULL;
    return guess_result(found->guess, &family) == GUESS_FOUND ? family : NULL;
}

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

/* Too few frames for three in a row: the names of all families that read the whole, the last of them in *family. */
static size_t by_few_frames(const struct decode_auto *found, char *names, size_t size,
                            const struct scale_family **family)
{
    size_t count = 0, len = 0;
    names[0] = '\0';
    for (size_t i = 0; scale_families[i]; i++) {
        if (!decodes_all(scale_families[i], found->bytes, found->len))
            continue;
        *family = scale_families[i];
        if (len < size)
            len += (size_t)snprintf(names + len, size - len, "%s%s", count ? ", " : "", (*family)->name);
        count++;
    }
    return count;
}

/* A count of 2 stands for a tie: several families read the same bytes, and only the display can tell. */
int decode_auto_settle(struct decode_auto *found, struct output_style style, const struct scale_family **family)
{
    char names[512];
    size_t count = 2;
    *family = NULL;
    if (found->len == 0 || guess_result(found->guess, family) == GUESS_FOUND)
        return 0;
    if (guess_result(found->guess, family) == GUESS_TIE) {
        char tie[GUESS_NAMES];
        guess_names(found->guess, tie);
        snprintf(names, sizeof names, "%s", tie);
    } else {
        count = by_few_frames(found, names, sizeof names, family);
    }
    if (count == 1)
        return 0;
    *family = NULL;
    if (count == 0)
        return failure_say(style, EX_DATAERR, "decode", "decode_nobody");
    return failure_say(style, EX_DATAERR, "decode", "decode_several names=%s", names);
}

const uint8_t *decode_auto_bytes(const struct decode_auto *found)
{
    return found->bytes;
}

size_t decode_auto_count(const struct decode_auto *found)
{
    return found->len;
}
