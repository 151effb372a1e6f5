/* plain.c - the families whose line is a number and little else: plain, plain-u, plain-su, plain-14, nu.
 *
 *        192.21 g             plain: stable, a `?` after the unit when moving; the unit may stand at the digits
 *   -    250.4 g  ? NET       plain: sign apart; `?` moving; G or B/G gross, NET net
 *   +0.02027 lb               plain: sign in front and no marks: nothing about stability
 *   +00123.45                 plain: no unit either
 *   G      +   2.00 kg        plain: gross or net in front
 *        -29.186 g            plain-u: stable
 *             0.0             plain-u: moving: the unit is the one named before
 *   U-  186.65g               plain-su: S (stable) or U (moving), sign, 8 digits, unit (2), CR alone
 *   -0000.50 G U              plain-14: zero-padded; S (stable), U (moving) or E (error) behind the unit
 *   +00123.45                 nu: sign and digits, nothing else
 *
 * All nines are over, with a minus under. plain, plain-u and nu may have a word in place of the weight. They know
 * nothing of each other but where two would read one line differently. */
#include "drivers/decode/text.h"

enum {
    PLAIN_MAX = 40,
    UNIT_FIELD = 3,
    FIX16_LEAST = 13, /* widths of fix16's lines, and of fix16n's, whose unit stands at the digits */
    FIX16_MOST = 14,
    FIX16N_LEAST = 12,
    FIX16N_MOST = 13,
    FIX22_ID = 6,
    PLAINSU_WIDTH = 12,
    NU_MAX = 20
};

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

/* Sign, 8 or 9 digits, a space, a unit of three: that is fix16, or fix22 behind its id; their unit tells stability.
 * Without the space, and with a sign, it is fix16n. */
static bool is_fix16(size_t width, size_t unit_field, bool spaced, int first)
{
    if (unit_field != UNIT_FIELD)
        return false;
    if (spaced)
        return width >= FIX16_LEAST && width <= FIX16_MOST;
    return width >= FIX16N_LEAST && width <= FIX16N_MOST && (first == '+' || first == '-');
}

/* The catch-all among the families: whatever another one reads surely must be refused here, or finding out
 * would always end in a tie. */
static bool plain_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    size_t width = text_left(&t);
    bool in_front = take_kind(&t, out);
    if (in_front && text_skip_spaces(&t) == 0)
        return false;
    int first = text_peek(&t);
    if (!in_front && text_take_no_weight(&t, out))
        return true;
    if (!text_take_number(&t, TEXT_SIGN_MAY, TEXT_EITHER, out->digits))
        return false;
    bool marked = false;
    bool spaced = text_skip_spaces(&t) > 0;
    size_t tail = text_left(&t);
    if (!text_take_unit(&t, &out->unit)) {
        text_nines_are_off_scale(out);
        return tail == 0 && !spaced && !in_front && (first == '+' || first == '-');
    }
    if (!marks(t, out, &marked))
        return false;
    if (text_nines_are_off_scale(out))
        return true; /* it says so in any dialect, fix16's width too */
    if (!marked && is_fix16(in_front ? width - FIX22_ID : width, tail, spaced, first))
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

/* Digits begin the line, so a cut one passes for a smaller weight: the first line after opening is dropped. */
const struct scale_family scale_plain = {.name = "plain",
                                         .frame = text_line_cr_or_lf,
                                         .decode = plain_decode,
                                         .ask = "IP\r\n",
                                         .max_frame = PLAIN_MAX,
                                         .seven_bit = true,
                                         .tail_looks_whole = true};

/* A line with its unit is stable and one without is moving, so blanks must stand in front: a number at the
 * left edge is plain's or nu's. */
static bool plainu_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (text_take_no_weight(&t, out))
        return true;
    if (text_skip_spaces(&t) == 0)
        return false;
    /* The sign stands at the digits: apart from them it is another family's. */
    struct text sign = t;
    if (text_take_any(&sign, "+-") && text_peek(&sign) == ' ')
        return false;
    if (!text_take_number(&t, TEXT_SIGN_MAY, TEXT_EITHER, out->digits))
        return false;
    size_t spaces = text_skip_spaces(&t);
    if (text_left(&t) == 0)
        out->stability = SCALE_MOVING;
    else if (spaces && text_take_unit(&t, &out->unit) && text_blank(t))
        out->stability = SCALE_STABLE;
    else
        return false;
    text_nines_are_off_scale(out);
    return true;
}

/* As plain, and the unit that a moving line leaves out is the one named last; none is weighed before. */
const struct scale_family scale_plainu = {.name = "plain-u",
                                          .frame = text_line_cr_or_lf,
                                          .decode = plainu_decode,
                                          .ask = "IP\r\n",
                                          .max_frame = PLAIN_MAX,
                                          .blank_unit_means_moving = true,
                                          .seven_bit = true,
                                          .tail_looks_whole = true};

/* A plus may be a blank. Such a line is near to one of sics' older dialect, `S       1.27 g`: it is plain-su's only if
 * it has the printed width and the unit stands at the digits. CR alone ends it. */
static bool plainsu_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    bool printed_width = text_left(&t) == PLAINSU_WIDTH;
    out->stability = text_peek(&t) == 'S' ? SCALE_STABLE : SCALE_MOVING;
    if (!text_take_any(&t, "SU"))
        return false;
    int sign = text_peek(&t);
    if ((sign != '+' && sign != '-' && (sign != ' ' || !printed_width)) ||
        !text_take_number(&t, TEXT_SIGN_MAY, TEXT_EITHER, out->digits))
        return false;
    bool spaced = text_skip_spaces(&t) > 0;
    if ((sign == ' ' && spaced) || !text_take_unit(&t, &out->unit) || !text_blank(t))
        return false;
    text_nines_are_off_scale(out);
    return true;
}

/* Asked by one letter without a line end, since each letter is a command to such a scale. A mark of its own begins the
 * line, so a tail never looks whole. */
const struct scale_family scale_plainsu = {.name = "plain-su",
                                           .frame = text_line_any,
                                           .decode = plainsu_decode,
                                           .ask = "w",
                                           .max_frame = PLAIN_MAX,
                                           .seven_bit = true};

/* The mark behind the unit is a must, as is the sign: that is all that tells it from plain. */
static bool plain14_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (!text_take_number(&t, TEXT_SIGN_MUST, TEXT_EITHER, out->digits))
        return false;
    text_skip_spaces(&t);
    if (!text_take_unit(&t, &out->unit) || text_skip_spaces(&t) == 0)
        return false;
    int mark = text_peek(&t);
    if (!text_take_any(&t, "SUE") || !text_blank(t))
        return false;
    out->stability = mark == 'S' ? SCALE_STABLE : SCALE_MOVING;
    if (mark == 'E')
        text_no_weight(out, SCALE_ERROR);
    text_nines_are_off_scale(out);
    return true;
}

/* It speaks by itself: no question of such a scale is known that surely changes nothing. */
const struct scale_family scale_plain14 = {.name = "plain-14",
                                           .frame = text_line_cr_or_lf,
                                           .decode = plain14_decode,
                                           .max_frame = PLAIN_MAX,
                                           .seven_bit = true,
                                           .tail_looks_whole = true};

/* A sign at the very edge, and nothing behind the digits. */
static bool nu_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (text_take_no_weight(&t, out))
        return true;
    struct text sign = text_head(t, 1);
    if (!text_take_any(&sign, "+-") || !text_take_number(&t, TEXT_SIGN_MUST, TEXT_EITHER, out->digits) ||
        text_left(&t) > 0)
        return false;
    text_nines_are_off_scale(out);
    return true;
}

/* Shorter than its kin: a longer run of digits is noise, and nothing but the length would tell. */
const struct scale_family scale_nu = {.name = "nu",
                                      .frame = text_line_cr_or_lf,
                                      .decode = nu_decode,
                                      .max_frame = NU_MAX,
                                      .seven_bit = true,
                                      .tail_looks_whole = true};
