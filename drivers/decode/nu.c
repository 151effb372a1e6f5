/* nu: sign and digits, nothing else, CR LF. All nines are over, with a minus under.
 *
 *   +00123.45 */
#include "drivers/decode/text.h"

enum { NU_MAX = 20 };

static size_t nu_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_line_cr_or_lf(buf, len, NU_MAX, skip);
}

static bool nu_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    struct text sign = text_head(t, 1);
    if (!text_take_any(&sign, "+-") || !text_take_number(&t, TEXT_SIGN_MUST, TEXT_EITHER, out->digits) ||
        text_left(&t) > 0)
        return false;
    text_nines_are_off_scale(out);
    return true;
}

const struct scale_family scale_nu = {
    .name = "nu",
    .frame = nu_frame, /* a line */
    .decode = nu_decode,
    .max_frame = NU_MAX,
    .seven_bit = true,
    .tail_looks_whole = true,
};
