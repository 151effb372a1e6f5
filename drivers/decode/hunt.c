#include "drivers/decode/hunt.h"

#include "drivers/decode/families.h"
#include "drivers/decode/framer.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RIVAL = 2, CLEAN_LEAST = 8 };

struct candidate {
    struct hunt *hunt;
    struct framer framer;
    uint64_t refused, skipped; /* at its last frame */
    int run, longest;
    struct scale_reading sample;
    bool set, odd, even; /* bit 7 in its frames: set somewhere; bytes with odd, with even parity */
};

struct hunt {
    size_t heard, odd, even, set, printable;
    size_t frames;
    size_t count;
    struct candidate candidate[];
};

/* A USB report is no stream that could be heard on a port. */
static bool may_be(const struct scale_family *family)
{
    return strcmp(family->name, "hid") != 0;
}

struct hunt *hunt_create(void)
{
    size_t count = 0;
    while (scale_families[count])
        count++;
    struct hunt *hunt = calloc(1, sizeof *hunt + count * sizeof hunt->candidate[0]);
    if (!hunt)
        return NULL;
    for (size_t i = 0; scale_families[i]; i++) {
        if (may_be(scale_families[i]))
            hunt->candidate[hunt->count++].framer.family = scale_families[i];
    }
    hunt_reset(hunt);
    return hunt;
}

void hunt_destroy(struct hunt *hunt)
{
    free(hunt);
}

void hunt_reset(struct hunt *hunt)
{
    hunt->heard = hunt->odd = hunt->even = hunt->set = hunt->printable = hunt->frames = 0;
    for (size_t i = 0; i < hunt->count; i++) {
        struct candidate *c = &hunt->candidate[i];
        c->hunt = hunt;
        c->refused = c->skipped = 0;
        c->run = c->longest = 0;
        c->set = c->odd = c->even = false;
        c->sample = (struct scale_reading){0};
        framer_init(&c->framer, c->framer.family, SCALE_UNIT_G, true);
    }
}

static void on_frame(void *arg, const struct scale_reading *reading, const uint8_t *frame, size_t len)
{
    struct candidate *c = arg;
    /* In a row: nothing refused between, and no more thrown away than the odd half of a line end. */
    bool in_a_row = c->framer.refused == c->refused && c->framer.skipped <= c->skipped + 1;
    c->run = in_a_row || c->run == 0 ? c->run + 1 : 1;
    c->longest = c->run > c->longest ? c->run : c->longest;
    c->refused = c->framer.refused;
    c->skipped = c->framer.skipped;
    c->hunt->frames++;
    if (reading->digits[0])
        c->sample = *reading;
    for (size_t i = 0; i < len; i++) {
        bool odd = __builtin_parity(frame[i]);
        c->set = c->set || frame[i] & 0x80;
        c->odd = c->odd || odd;
        c->even = c->even || !odd;
    }
}

void hunt_push(struct hunt *hunt, const uint8_t *bytes, size_t len)
{
    for (size_t i = 0; i < len; i++) {
        uint8_t c = bytes[i] & 0x7f;
        hunt->set += bytes[i] >> 7;
        hunt->odd += (size_t)__builtin_parity(bytes[i]);
        hunt->printable += (c >= 0x20 && c < 0x7f) || c == '\r' || c == '\n' || (c >= 1 && c <= 6);
    }
    hunt->heard += len;
    for (size_t i = 0; i < hunt->count; i++)
        framer_push(&hunt->candidate[i].framer, bytes, len, on_frame, &hunt->candidate[i]);
}

enum hunt_result hunt_result(const struct hunt *hunt, const struct scale_family **family)
{
    const struct candidate *best = NULL;
    size_t rivals = 0;
    for (size_t i = 0; i < hunt->count; i++) {
        const struct candidate *c = &hunt->candidate[i];
        rivals += c->longest >= RIVAL;
        if (c->longest >= HUNT_BELIEVED)
            best = c;
    }
    if (!best)
        return HUNT_NOTHING;
    if (rivals > 1 || best->framer.family->never_sought)
        return HUNT_TIE;
    *family = best->framer.family;
    return HUNT_FOUND;
}

void hunt_names(const struct hunt *hunt, char names[HUNT_NAMES])
{
    size_t len = 0;
    names[0] = '\0';
    for (size_t i = 0; i < hunt->count; i++) {
        if (hunt->candidate[i].longest >= RIVAL && len < HUNT_NAMES)
            len += (size_t)snprintf(names + len, HUNT_NAMES - len, "%s%s", len ? ", " : "",
                                    hunt->candidate[i].framer.family->name);
    }
}

const char *hunt_frame(const struct hunt *hunt)
{
    for (size_t i = 0; i < hunt->count; i++) {
        const struct candidate *c = &hunt->candidate[i];
        if (c->longest < HUNT_BELIEVED || !c->set || !c->framer.family->seven_bit)
            continue;
        return !c->odd ? "7E1" : !c->even ? "7O1" : "8N1";
    }
    return "8N1";
}

const struct scale_reading *hunt_sample(const struct hunt *hunt)
{
    for (size_t i = 0; i < hunt->count; i++) {
        if (hunt->candidate[i].longest >= HUNT_BELIEVED && hunt->candidate[i].sample.digits[0])
            return &hunt->candidate[i].sample;
    }
    return NULL;
}

size_t hunt_heard(const struct hunt *hunt)
{
    return hunt->heard;
}

bool hunt_clean(const struct hunt *hunt)
{
    bool parity = hunt->set == 0 || hunt->odd == 0 || hunt->odd == hunt->heard;
    return hunt->heard >= CLEAN_LEAST && parity && hunt->printable == hunt->heard;
}

size_t hunt_frames(const struct hunt *hunt)
{
    return hunt->frames;
}

bool hunt_guess(const uint8_t *bytes, size_t len, char names[HUNT_NAMES])
{
    const struct scale_family *family;
    struct hunt *hunt = hunt_create();
    if (!hunt)
        return false;
    hunt_push(hunt, bytes, len);
    enum hunt_result result = hunt_result(hunt, &family);
    if (result == HUNT_FOUND)
        snprintf(names, HUNT_NAMES, "%s", family->name);
    else if (result == HUNT_TIE)
        hunt_names(hunt, names);
    hunt_destroy(hunt);
    return result != HUNT_NOTHING;
}
