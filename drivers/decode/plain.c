/* plain: a number, a unit, and marks where the scale sends any.
 *
 *        192.21 g             stable, a `?` after the unit when moving
 *   -    250.4 g  ? NET       sign apart; `?` moving; G or B/G gross, NET net
 *   +0.02027 lb               sign in front and no marks: nothing about stability
 *   +00123.45                 no unit either
 *   G      +   2.00 kg        gross or net in front
 *
 * All nines are over, with a minus under. */
#include "drivers/decode/text.h"

enum { PLAIN_MAX = 40, UNIT_FIELD = 3, FIX16_LEAST = 13, FIX16_MOST = 14, FIX22_ID = 6 };

static size_t plain_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_line_cr_or_lf(buf, len, PLAIN_MAX, skip);
}

/* Gross or net as a word. */
static bool take_kind(struct text *t, struct scale_reading *out)
{
    if (text_take_word(t, "NET") || text_take(t, "N"))
        out->kind = SCALE_KIND_NET;
    else if (text_take(t, "B/G") || text_take_word(t, "GROSS") || text_take(t, "G"))
        out->kind = SCALE_KIND_GROSS;
    else
        return false;
    return true;
}

/* What stands behind the unit: `?` and a kind, in this order, either or none. False: something else does. */
static bool marks(struct text t, struct scale_reading *out, bool *any)
{
    text_skip_spaces(&t);
    bool moving = text_take(&t, "?");
    text_skip_spaces(&t);
    *any = take_kind(&t, out) || moving;
    if (moving)
        out->stability = SCALE_MOVING;
    else if (*any)
        out->stability = SCALE_STABLE; /* such a line has a place for the `?`, and it is empty */
    return text_blank(t);
}

/* Sign, 8 or 9 digits, a space, a unit of three: that is fix16, or fix22 behind its id; their unit tells stability. */
static bool is_fix16(size_t width, size_t unit_field)
{
    return unit_field == UNIT_FIELD && width >= FIX16_LEAST && width <= FIX16_MOST;
}

static bool plain_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    size_t width = text_left(&t);
    bool in_front = take_kind(&t, out);
    if (in_front && text_skip_spaces(&t) == 0)
        return false;
    int first = text_peek(&t);
    if (!text_take_number(&t, TEXT_SIGN_MAY, TEXT_EITHER, out->digits))
        return false;
    bool marked = false;
    bool spaced = text_skip_spaces(&t) > 0;
    size_t tail = text_left(&t);
    if (!text_take_unit(&t, &out->unit)) {
        text_nines_are_off_scale(out);
        return tail == 0 && !spaced && !in_front && (first == '+' || first == '-');
    }
    if (!spaced || !marks(t, out, &marked))
        return false;
    if (text_nines_are_off_scale(out))
        return true; /* it says so in any dialect, fix16's width too */
    if (!marked && is_fix16(in_front ? width - FIX22_ID : width, tail))
        return false;
    /* A blank in front, and the unit at the line's end: the dialect that marks a moving weight. Where the unit is
     * padded to three, it is that of plain-u. */
    if (!marked && !in_front && first == ' ') {
        if (tail == UNIT_FIELD && text_left(&t) > 0)
            return false;
        if (text_left(&t) == 0)
            out->stability = SCALE_STABLE;
    }
    return true;
}

const struct scale_family scale_plain = {
    .name = "plain",
    .frame = plain_frame, /* a line */
    .decode = plain_decode,
    .ask = "IP\r\n",
    .max_frame = PLAIN_MAX,
    .seven_bit = true,
    .tail_looks_whole = true,
};
