/* plain-14: sign, zero-padded digits, a space, unit, a space, S (stable), U (moving) or E (error), CR LF.
 *
 *   -0000.50 G U */
#include "drivers/decode/text.h"

enum { PLAIN14_MAX = 40 };

static size_t plain14_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_line_cr_or_lf(buf, len, PLAIN14_MAX, skip);
}

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
    if (mark == 'E') {
        out->status = SCALE_ERROR;
        out->digits[0] = '\0';
    }
    text_nines_are_off_scale(out);
    return true;
}

const struct scale_family scale_plain14 = {
    .name = "plain-14",
    .frame = plain14_frame, /* a line */
    .decode = plain14_decode,
    .max_frame = PLAIN14_MAX,
    .seven_bit = true,
    .tail_looks_whole = true,
};
