/* plain-su: S (stable) or U (moving), sign, 8 digits, unit (2), CR alone.
 *
 *   U-  186.65g
 *
 * A plus may be a blank. Such a line is near to one of sics' older dialect, `S       1.27 g`: it is ours only if it has
 * the printed width and the unit stands at the digits. */
#include "drivers/decode/text.h"

enum { PLAINSU_MAX = 40, PLAINSU_WIDTH = 12 };

static size_t plainsu_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_line_any(buf, len, PLAINSU_MAX, skip);
}

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

const struct scale_family scale_plainsu = {
    .name = "plain-su",
    .frame = plainsu_frame, /* a line, CR ends it */
    .decode = plainsu_decode,
    .ask = "w", /* no line end: each letter is a command */
    .max_frame = PLAINSU_MAX,
    .seven_bit = true,
};
