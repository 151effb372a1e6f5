/* plain-u: a number right-aligned behind blanks, a space and a unit, which is left out while the weight moves.
 *
 *        -29.186 g           stable
 *             0.0            moving: the unit is the one named before
 */
#include "drivers/decode/text.h"

enum { PLAINU_MAX = 40 };

static size_t plainu_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_line_cr_or_lf(buf, len, PLAINU_MAX, skip);
}

static bool plainu_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
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

const struct scale_family scale_plainu = {
    .name = "plain-u",
    .frame = plainu_frame, /* a line */
    .decode = plainu_decode,
    .ask = "IP\r\n",
    .max_frame = PLAINU_MAX,
    .blank_unit_means_moving = true,
    .seven_bit = true,
    .tail_looks_whole = true,
};
