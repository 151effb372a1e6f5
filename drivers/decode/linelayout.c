/* linelayout.c - reads a line by what a profile says of it. It knows words and their order, and no file: profile.c
 * fills the struct. */
#include "drivers/decode/linelayout.h"

#include "drivers/decode/text.h"

#include <string.h>

/* Where `mark` stands first at or after `from`; len where it does not. */
static size_t find(const uint8_t *buf, size_t len, size_t from, const char *mark)
{
    size_t size = strlen(mark);
    for (; from + size <= len; from++) {
        if (memcmp(buf + from, mark, size) == 0)
            return from;
    }
    return len;
}

/* A frame begins at its start mark, or where the one before ended. A line that is too long is skipped whole,
 * as its tail would pass for a frame. */
size_t line_frame(const struct scale_line *line, const uint8_t *buf, size_t len, size_t *skip)
{
    size_t from = 0;
    for (;;) {
        if (line->start[0])
            from = find(buf, len, from, line->start);
        else
            while (from < len && (buf[from] == 0 || buf[from] == '\r' || buf[from] == '\n'))
                from++; /* filler, and the other half of a line end */
        *skip = from;
        size_t end = find(buf, len, from, line->delimiter);
        if (end == len) {
            /* A start mark may be cut in two: keep its first bytes. */
            size_t part = line->start[0] ? strlen(line->start) - 1 : 0;
            if (part > 0 && from == len)
                *skip = len > part ? len - part : 0;
            return 0;
        }
        size_t whole = end + strlen(line->delimiter) - from;
        if (whole <= SCALE_FRAME_MAX)
            return whole;
        from = end + strlen(line->delimiter);
    }
}

/* Both in any mixture, since many scales put a comma and pad with blanks. */
static void skip_between(struct text *t, const char *separators)
{
    while (text_skip_spaces(t) > 0 || (separators[0] && text_take_any(t, separators)))
        ;
}

/* `S` and `ST` may both be words of one list: the shorter must not win. */
/* The longest of the words. */
static bool take_words(struct text *t, const struct line_words *words)
{
    size_t best = LINE_WORDS;
    for (size_t i = 0; i < words->count; i++) {
        struct text probe = *t;
        if (text_take(&probe, words->word[i]) &&
            (best == LINE_WORDS || strlen(words->word[i]) > strlen(words->word[best])))
            best = i;
    }
    return best < LINE_WORDS && text_take(t, words->word[best]);
}

/* A word in place of a weight, or of a mark. What stands there is then no weight, so it counts as moving. */
static bool take_off_scale(struct text *t, const struct scale_line *line, struct scale_reading *out)
{
    if (take_words(t, &line->over))
        out->status = SCALE_OVER;
    else if (take_words(t, &line->under))
        out->status = SCALE_UNDER;
    else if (take_words(t, &line->error))
        out->status = SCALE_ERROR;
    else
        return false;
    out->stability = SCALE_MOVING;
    return true;
}

/* A status word may stand in the mark's place. Without any word what counts is which of the two may be left out. */
static bool take_mark(struct text *t, const struct scale_line *line, struct scale_reading *out)
{
    const uint8_t *from = t->at;
    if (take_off_scale(t, line, out))
        return true;
    bool said_moving = !take_words(t, &line->stable) && take_words(t, &line->moving);
    bool said_stable = t->at != from && !said_moving;
    if (said_stable || (!said_moving && line->stable.blank))
        out->stability = SCALE_STABLE;
    else if (said_moving || line->moving.blank)
        out->stability = SCALE_MOVING;
    else
        return false;
    return true;
}

/* No word is right only where the profile says that one of them may be left out. */
static bool take_kind(struct text *t, const struct scale_line *line, struct scale_reading *out)
{
    if (take_words(t, &line->net))
        out->kind = SCALE_KIND_NET;
    else if (take_words(t, &line->gross))
        out->kind = SCALE_KIND_GROSS;
    else if (take_words(t, &line->tare))
        out->kind = SCALE_KIND_TARE;
    else
        return line->net.blank || line->gross.blank || line->tare.blank;
    return true;
}

/* A spelling of the profile's own, else the unit's usual name; a missing one where the profile knows what it then is.
 */
static bool take_unit(struct text *t, const struct scale_line *line, struct scale_reading *out)
{
    for (int i = SCALE_UNIT_G; i <= SCALE_UNIT_PCS; i++) {
        if (take_words(t, &line->unit[i])) {
            out->unit = (enum scale_unit)i;
            return true;
        }
    }
    return text_take_unit(t, &out->unit) || line->unit_tells_stability || line->unit_unsaid != SCALE_UNIT_NONE ||
           out->status != SCALE_OK;
}

/* One word of the order. True also where nothing is taken, if nothing may stand there. */
static bool take_part(struct text *t, const struct scale_line *line, enum line_part part, bool *negative,
                      struct scale_reading *out)
{
    switch (part) {
    case LINE_SIGN:
        *negative = text_peek(t) == '-';
        text_take_any(t, "+-");
        return true;
    case LINE_VALUE:
        return take_off_scale(t, line, out) || text_take_number(t, TEXT_SIGN_MAY, line->point, out->digits) ||
               out->status != SCALE_OK;
    case LINE_UNIT:
        return take_unit(t, line, out);
    case LINE_MARK:
        return take_mark(t, line, out);
    case LINE_KIND:
        return take_kind(t, line, out);
    case LINE_SKIP:
        break;
    }
    while (text_left(t) > 0 && *t->at != ' ' && !strchr(line->separators, *t->at))
        t->at++;
    return true;
}

/* Puts together what the parts have said: a sign that stood apart, a unit left out, a status without digits. */
static bool settle(const struct scale_line *line, bool negative, struct scale_reading *out)
{
    if (out->status != SCALE_OK) {
        out->digits[0] = '\0';
        return true;
    }
    if (line->unit_tells_stability && out->stability == SCALE_STABILITY_UNKNOWN)
        out->stability = out->unit == SCALE_UNIT_NONE ? SCALE_MOVING : SCALE_STABLE;
    if (out->unit == SCALE_UNIT_NONE)
        out->unit = line->unit_unsaid;
    if (!negative)
        return out->digits[0] != '\0';
    /* A minus of its own before a number with a minus: two signs, so one was not what the profile says. */
    char unsigned_digits[SCALE_DIGITS];
    memcpy(unsigned_digits, out->digits, sizeof unsigned_digits);
    return unsigned_digits[0] != '-' && text_write_digits(true, unsigned_digits, strlen(unsigned_digits), out->digits);
}

/* Every part in its order, separators between, nothing left over: else the line is another family's. */
bool line_decode(const struct scale_line *line, const uint8_t *frame, size_t len, struct scale_reading *out)
{
    size_t before = strlen(line->start);
    size_t after = strlen(line->delimiter);
    if (len < before + after)
        return false;
    struct text t = text_of(frame + before, len - before - after);
    bool negative = false;
    for (size_t i = 0; i < line->parts; i++) {
        skip_between(&t, line->separators);
        if (!take_part(&t, line, line->order[i], &negative, out))
            return false;
    }
    skip_between(&t, line->separators);
    return text_left(&t) == 0 && settle(line, negative, out);
}
