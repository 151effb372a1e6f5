/* guess.c - every family reads the stream at once, each with a framer of its own. It knows no port and no speed: who
 * changes these calls guess_reset(). */
#include "drivers/decode/guess.h"

#include "drivers/decode/framer.h"
#include "drivers/scale.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Two whole frames in a row make a rival; eight clean bytes are worth asking for more. */
enum { RIVAL = 2, CLEAN_LEAST = 8 };

/* One family and what it made of the stream so far. */
struct candidate {
    struct guess *guess;
    struct framer framer;
    uint64_t refused, skipped; /* at its last frame */
    int run, longest;
    struct scale_reading sample;
    bool set, odd, even; /* bit 7 in its frames: set somewhere; bytes with odd, with even parity */
};

/* Counts of bytes since the reset, for guess_clean(): a wrong speed shows as broken parity or as unprintable bytes. */
struct guess {
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

/* One block for all candidates, so that there is one thing to fail and one to free. */
struct guess *guess_create(void)
{
    size_t count = 0;
    while (scale_families[count])
        count++;
    struct guess *guess = calloc(1, sizeof *guess + count * sizeof guess->candidate[0]);
    if (!guess)
        return NULL;
    /* The framers keep their family over every reset. */
    for (size_t i = 0; scale_families[i]; i++) {
        if (may_be(scale_families[i]))
            guess->candidate[guess->count++].framer.family = scale_families[i];
    }
    guess_reset(guess);
    return guess;
}

void guess_destroy(struct guess *guess)
{
    free(guess);
}

/* As after opening a port: the first line of most families may be a tail, and is dropped. */
void guess_reset(struct guess *guess)
{
    guess->heard = guess->odd = guess->even = guess->set = guess->printable = guess->frames = 0;
    for (size_t i = 0; i < guess->count; i++) {
        struct candidate *c = &guess->candidate[i];
        c->guess = guess;
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
    c->guess->frames++;
    if (reading->digits[0])
        c->sample = *reading;
    for (size_t i = 0; i < len; i++) {
        bool odd = __builtin_parity(frame[i]);
        c->set = c->set || frame[i] & 0x80;
        c->odd = c->odd || odd;
        c->even = c->even || !odd;
    }
}

/* Counts first, families behind: clean bytes of no family still tell that the speed is right. */
void guess_push(struct guess *guess, const uint8_t *bytes, size_t len)
{
    for (size_t i = 0; i < len; i++) {
        uint8_t c = bytes[i] & 0x7f;
        guess->set += bytes[i] >> 7;
        guess->odd += (size_t)__builtin_parity(bytes[i]);
        guess->printable += (c >= 0x20 && c < 0x7f) || c == '\r' || c == '\n' || (c >= 1 && c <= 6);
    }
    guess->heard += len;
    for (size_t i = 0; i < guess->count; i++)
        framer_push(&guess->candidate[i].framer, bytes, len, on_frame, &guess->candidate[i]);
}

/* Believed takes three frames, but a rival with two is enough for a tie: a slow scale may say the third
 * only after we have decided. */
enum guess_result guess_result(const struct guess *guess, const struct scale_family **family)
{
    const struct candidate *best = NULL;
    size_t rivals = 0;
    for (size_t i = 0; i < guess->count; i++) {
        const struct candidate *c = &guess->candidate[i];
        rivals += c->longest >= RIVAL;
        if (c->longest >= GUESS_BELIEVED)
            best = c;
    }
    if (!best)
        return GUESS_NOTHING;
    if (rivals > 1 || best->framer.family->never_sought)
        return GUESS_TIE;
    *family = best->framer.family;
    return GUESS_FOUND;
}

/* In the order of the list of families; rivals are named with the believed, as either may be the true one. */
void guess_names(const struct guess *guess, char names[GUESS_NAMES])
{
    size_t len = 0;
    names[0] = '\0';
    for (size_t i = 0; i < guess->count; i++) {
        if (guess->candidate[i].longest >= RIVAL && len < GUESS_NAMES)
            len += (size_t)snprintf(names + len, GUESS_NAMES - len, "%s%s", len ? ", " : "",
                                    guess->candidate[i].framer.family->name);
    }
}

/* 8N1 hears the parity of a 7E1 or 7O1 sender as bit 7. Where bit 7 is never set nobody can tell 7-bit
 * frames from 8N1, and nobody needs to. */
const char *guess_frame(const struct guess *guess)
{
    for (size_t i = 0; i < guess->count; i++) {
        const struct candidate *c = &guess->candidate[i];
        if (c->longest < GUESS_BELIEVED || !c->set || !c->framer.family->seven_bit)
            continue;
        return !c->odd ? "7E1" : !c->even ? "7O1" : "8N1";
    }
    return "8N1";
}

/* For the section that a person pastes: its decimals tell the interval. */
const struct scale_reading *guess_sample(const struct guess *guess)
{
    for (size_t i = 0; i < guess->count; i++) {
        if (guess->candidate[i].longest >= GUESS_BELIEVED && guess->candidate[i].sample.digits[0])
            return &guess->candidate[i].sample;
    }
    return NULL;
}

size_t guess_heard(const struct guess *guess)
{
    return guess->heard;
}

/* All bytes printable under one parity; a single bad one speaks for a wrong speed. */
bool guess_clean(const struct guess *guess)
{
    bool parity = guess->set == 0 || guess->odd == 0 || guess->odd == guess->heard;
    return guess->heard >= CLEAN_LEAST && parity && guess->printable == guess->heard;
}

size_t guess_frames(const struct guess *guess)
{
    return guess->frames;
}

/* Costs an allocation of 250 KiB and a look by every family: for a change of state, not for every chunk. */
bool guess_bytes(const uint8_t *bytes, size_t len, char names[GUESS_NAMES])
{
    const struct scale_family *family;
    struct guess *guess = guess_create();
    if (!guess)
        return false;
    guess_push(guess, bytes, len);
    enum guess_result result = guess_result(guess, &family);
    if (result == GUESS_FOUND)
        snprintf(names, GUESS_NAMES, "%s", family->name);
    else if (result == GUESS_TIE)
        guess_names(guess, names);
    guess_destroy(guess);
    return result != GUESS_NOTHING;
}
