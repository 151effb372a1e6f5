/* framer.c - cutting a stream into frames. It asks the family where a frame ends and knows none by name. */
#include "drivers/decode/framer.h"

#include "drivers/decode/linelayout.h"

#include <string.h>

/* Three is what GUESS_BELIEVED takes as well: fewer may be chance, more would delay a slow scale's first weights. */
enum { LEARNT = 3 }; /* so many frames in a row without a check byte, or an LF, and none is waited for */

/* The struct is large, and guess.c has one a family: what the counts cover is not cleared. */
void framer_init(struct framer *framer, const struct scale_family *family, enum scale_unit unit, bool opened)
{
    framer->family = family;
    /* Where a blank unit means moving, grams are no safe guess: nothing is weighed until a unit was named. */
    bool guess = unit == SCALE_UNIT_NONE && !family->blank_unit_means_moving;
    framer->unit = guess ? SCALE_UNIT_G : unit;
    framer->fragment = opened && family->tail_looks_whole;
    framer->first = !opened && family->tail_looks_whole;
    framer->kept = 0;
    framer->frames = framer->refused = framer->skipped = 0;
    framer->bare = framer->cr_alone = 0;
    framer->cr_last = false;
    framer->len = 0;
}

/* A declared family has words in place of functions; everything else is the same for both. */
static size_t next_frame(const struct scale_family *family, const uint8_t *buf, size_t len, size_t *skip)
{
    return family->line ? line_frame(family->line, buf, len, skip) : family->frame(family, buf, len, skip);
}

static bool decode(const struct scale_family *family, const uint8_t *frame, size_t len, struct scale_reading *out)
{
    return family->line ? line_decode(family->line, frame, len, out) : family->decode(frame, len, out);
}

/* Bit 7 of a text frame is never set, always set, or makes every byte even, or odd. Anything else was damaged on the
 * way, and its digits with it. */
static bool parity_holds(const uint8_t *frame, size_t len)
{
    /* The common case first: one pass, no counting. */
    uint8_t any = 0;
    for (size_t i = 0; i < len; i++)
        any |= frame[i];
    if (any < 0x80)
        return true; /* as a rule: never set */
    size_t set = 0;
    size_t odd = 0;
    for (size_t i = 0; i < len; i++) {
        set += frame[i] >> 7;
        odd += (size_t)__builtin_parity(frame[i]);
    }
    return set == len || odd == 0 || odd == len;
}

/* The frame as a reading with its weight. False: it lied, or its number is one that nothing weighs: a run of digits
 * beyond what micrograms hold is noise. */
__attribute__((hot)) static bool read_frame(const struct framer *f, const uint8_t *raw, const uint8_t *text, size_t len,
                                            struct scale_reading *out)
{
    const struct scale_family *family = f->family;
    *out = (struct scale_reading){.stability = SCALE_STABILITY_UNKNOWN};
    if (len > family->max_frame || (family->seven_bit && !parity_holds(raw, len)) || !decode(family, text, len, out))
        return false;
    enum scale_unit unit = out->unit == SCALE_UNIT_NONE ? f->unit : out->unit;
    scale_reading_weigh(out, unit);
    int64_t unused;
    return out->has_weight || out->digits[0] == '\0' || unit == SCALE_UNIT_PCS ||
           (unit == SCALE_UNIT_NONE && scale_weight_ug(out->digits, SCALE_UNIT_G, &unused));
}

/* Counts the frame and hands it out. A named unit is remembered for lines that name none. */
__attribute__((hot)) static void judge(struct framer *f, const uint8_t *raw, const uint8_t *text, size_t len,
                                       framer_found *found, void *arg)
{
    struct scale_reading reading;
    if (!read_frame(f, raw, text, len, &reading)) {
        f->refused++;
        return;
    }
    f->frames++;
    if (f->family->blank_unit_means_moving && reading.unit != SCALE_UNIT_NONE)
        f->unit = reading.unit;
    found(arg, &reading, raw, len);
}

/* Only lines with digits can be cut so that the rest passes for a smaller weight. */
static bool bears_weight(const struct scale_family *family, const uint8_t *frame, size_t len, struct scale_reading *out)
{
    *out = (struct scale_reading){.stability = SCALE_STABILITY_UNKNOWN};
    return decode(family, frame, len, out) && out->digits[0] != '\0';
}

/* How many of the digits stand behind the point; none where there is no point. */
static size_t decimals(const char *digits)
{
    const char *point = strchr(digits, '.');
    return point ? strlen(point + 1) : 0;
}

/* The digits of `a` may be the last ones of `b`: cut before the point, or behind it. */
static bool ends_alike(const char *a, const char *b)
{
    return decimals(a) == decimals(b) || (!strchr(a, '.') && strlen(a) <= decimals(b));
}

/* Bytes up to the last digit. */
static size_t up_to_number(const uint8_t *text, size_t len)
{
    while (len > 0 && (text[len - 1] < '0' || text[len - 1] > '9'))
        len--;
    return len;
}

/* Where `b` has a plus, counted back from the last digit, `a` has a blank and no sign at all: it is a line of another
 * kind, such as what a scale says by itself before what its print key says. */
static bool lacks_the_plus(const uint8_t *a, size_t a_end, const uint8_t *b, size_t b_end)
{
    const uint8_t *plus = memchr(b, '+', b_end);
    size_t back = plus ? b_end - (size_t)(plus - b) : 0;
    return plus && back <= a_end && a[a_end - back] == ' ' && !memchr(a, '+', a_end) && !memchr(a, '-', a_end);
}

/* Whether the line `a` is another one with its front cut off, as the first of a recording may be: it may be what is
 * left of a line like `b`: the same unit and decimals, and fewer bytes up to the last digit. A narrow number before a
 * wider one looks the same. */
static bool is_cut_off(const struct scale_family *family, const uint8_t *a, size_t a_len, const uint8_t *b,
                       size_t b_len)
{
    struct scale_reading one, other;
    size_t a_end = up_to_number(a, a_len), b_end = up_to_number(b, b_len);
    return bears_weight(family, a, a_len, &one) && bears_weight(family, b, b_len, &other) &&
           ends_alike(one.digits, other.digits) && (one.unit == other.unit || family->blank_unit_means_moving) &&
           a_end < b_end && !lacks_the_plus(a, a_end, b, b_end);
}

/* The first frame of a file, now that the second has come, or the end (NULL). */
static void judge_first(struct framer *f, const uint8_t *next, size_t len, framer_found *found, void *arg)
{
    uint8_t text[SCALE_FRAME_MAX];
    for (size_t i = 0; i < f->kept; i++)
        text[i] = f->keep[i] & (f->family->seven_bit ? 0x7f : 0xff);
    if (next && is_cut_off(f->family, text, f->kept, next, len))
        f->skipped += f->kept;
    else
        judge(f, f->keep, text, f->kept, found, arg);
    f->kept = 0;
}

/* Learns whether lines end with a CR alone: an LF behind the last one's CR says no. */
static void learn_line_end(struct framer *f, size_t at)
{
    if (f->cr_last && at < f->len) {
        f->cr_last = false;
        if (f->text[at] == '\n')
            f->cr_alone = 0;
    }
}

/* The frame that fills the room from `at` on, were `next` the byte behind it; 0: no such frame. */
static size_t whole_before(struct framer *f, size_t at, uint8_t next)
{
    size_t skip = 0;
    f->text[f->len] = next; /* the room has one byte to spare for it */
    size_t len = next_frame(f->family, f->text + at, f->len + 1 - at, &skip);
    return skip == 0 && at + len == f->len ? len : 0;
}

/* The line that ends the room with a CR, where no LF is waited for (filler stands for what comes); 0: none. */
static size_t cr_line(struct framer *f, size_t at)
{
    return at < f->len && f->text[f->len - 1] == '\r' ? whole_before(f, at, 0) : 0;
}

/* The frame that fills the room and lacks nothing but a byte that may never come: an LF, a check, the next frame's
 * first. 0: none, or half of one. */
static size_t waiting(struct framer *f)
{
    struct scale_reading unused;
    size_t skip = 0, len = 0;
    if (f->len == 0 || f->fragment)
        return 0;
    if (f->family->closing)
        len = whole_before(f, 0, (uint8_t)f->family->closing);
    else if (f->family->optional_check)
        len = next_frame(f->family, f->text, f->len, &skip);
    else
        len = cr_line(f, 0);
    return len == f->len && skip == 0 && read_frame(f, f->raw, f->text, len, &unused) ? len : 0;
}

/* A frame that scan() has cut. */
__attribute__((hot)) static void take(struct framer *f, size_t at, size_t len, framer_found *found, void *arg)
{
    f->cr_last = f->text[at + len - 1] == '\r';
    f->cr_alone = !f->cr_last ? 0 : f->cr_alone + (f->cr_alone < LEARNT);
    if (f->first && len <= sizeof f->keep) {
        f->first = false;
        f->kept = len;
        memcpy(f->keep, f->raw + at, len);
        return;
    }
    if (f->kept > 0)
        judge_first(f, f->text + at, len, found, arg);
    judge(f, f->raw + at, f->text + at, len, found, arg);
}

/* The byte ends a frame: a line end, which the next frame's framer skips, or a declared family's own last byte. */
static bool ends_frame(const struct scale_family *family, uint8_t byte)
{
    if (family->line)
        return byte == (uint8_t)family->line->delimiter[strlen(family->line->delimiter) - 1];
    return byte == '\r' || byte == '\n';
}

/* Drops what is left of a frame that began before we listened. False: its end has not come yet. */
static bool drop_fragment(struct framer *f)
{
    size_t end = 0;
    while (end < f->len && !ends_frame(f->family, f->text[end]))
        end++;
    f->fragment = end == f->len;
    end += !f->fragment;
    f->skipped += end;
    f->len -= end;
    memmove(f->raw, f->raw + end, f->len);
    memmove(f->text, f->text + end, f->len);
    return !f->fragment;
}

/* A check byte may yet come behind the frame that ends the room. Learns from what came behind the others. */
static bool check_may_come(struct framer *f, size_t at, size_t len, size_t skip)
{
    if (!f->family->optional_check)
        return false;
    if (skip > 0 || len == f->family->max_frame)
        f->bare = 0; /* a stray byte in front was the check of the frame before */
    if (len == f->family->max_frame)
        return false;
    if (at + len == f->len)
        return f->bare < LEARNT;
    f->bare += f->bare < LEARNT;
    return false;
}

/* Hands out all frames in the room. Stops where one is not whole, or may yet get a check byte; what is left moves to
 * the front. */
static void scan(struct framer *f, framer_found *found, void *arg)
{
    if (f->fragment && !drop_fragment(f))
        return;
    size_t at = 0;
    for (;;) {
        size_t skip = 0;
        learn_line_end(f, at);
        size_t len = next_frame(f->family, f->text + at, f->len - at, &skip);
        f->skipped += skip;
        at += skip;
        if (len == 0 && f->cr_alone == LEARNT)
            len = cr_line(f, at);
        if (len == 0 || check_may_come(f, at, len, skip))
            break;
        take(f, at, len, found, arg);
        at += len;
    }
    f->len -= at;
    if (f->len == 0)
        return; /* as a rule a chunk is a frame */
    memmove(f->raw, f->raw + at, f->len);
    memmove(f->text, f->text + at, f->len);
    if (f->len == FRAMER_ROOM) { /* noise without an end */
        f->skipped += f->len;
        f->len = 0;
        f->fragment = f->family->tail_looks_whole;
    }
}

__attribute__((hot)) void framer_push(struct framer *framer, const uint8_t *bytes, size_t len, framer_found *found,
                                      void *arg)
{
    while (len > 0) {
        size_t n = FRAMER_ROOM - framer->len < len ? FRAMER_ROOM - framer->len : len;
        uint8_t mask = framer->family->seven_bit ? 0x7f : 0xff;
        memcpy(framer->raw + framer->len, bytes, n);
        for (size_t i = 0; i < n; i++)
            framer->text[framer->len + i] = bytes[i] & mask;
        framer->len += n;
        bytes += n;
        len -= n;
        scan(framer, found, arg);
    }
}

/* Cheap where it is asked for every chunk: the room is empty after a frame that ended by itself, and the caller looks
 * at that first. */
bool framer_waits(struct framer *framer)
{
    return waiting(framer) > 0;
}

/* What has not come by now never comes: the frames after this one are not kept waiting for it. */
void framer_quiet(struct framer *framer, framer_found *found, void *arg)
{
    size_t len = waiting(framer);
    if (len == 0)
        return;
    if (framer->family->optional_check)
        framer->bare = LEARNT;
    if (framer->text[len - 1] == '\r')
        framer->cr_alone = LEARNT - 1; /* and take() counts this one */
    framer->len = 0;
    take(framer, 0, len, found, arg);
}

/* A tail that looks whole may follow, as after opening: what comes before the next line end is dropped as well. */
void framer_break(struct framer *framer)
{
    if (framer->len == 0)
        return;
    framer->skipped += framer->len;
    framer->len = 0;
    framer->fragment = framer->family->tail_looks_whole;
}

/* The last line of a file may lack its LF: it is whole where the others end so, or where it is the only one. */
void framer_finish(struct framer *framer, framer_found *found, void *arg)
{
    bool only = framer->frames + framer->refused == 0 && framer->kept == 0;
    size_t len = framer->family->closing || framer->cr_alone > 0 || only ? waiting(framer) : 0;
    framer->skipped += framer->len - len;
    framer->len = 0;
    if (len > 0)
        take(framer, 0, len, found, arg);
    if (framer->kept > 0)
        judge_first(framer, NULL, 0, found, arg);
}
