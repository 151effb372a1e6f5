/* wg-xor: WG or WN, number, unit, the exclusive or of all before it in two hex digits, CR LF.
 *
 *   WG004.139kg3D            gross; nothing about stability
 *            LO23            under, HI over */
#include "drivers/decode/text.h"
#include "drivers/decode/xorcheck.h"

enum { WGXOR_MAX = 24, HEX = 2 };

static size_t wgxor_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_line_lf(buf, len, WGXOR_MAX, skip);
}

static bool off_scale(struct text t, struct scale_reading *out)
{
    text_skip_spaces(&t);
    out->stability = SCALE_MOVING;
    if (text_take(&t, "HI"))
        out->status = SCALE_OVER;
    else if (text_take(&t, "LO"))
        out->status = SCALE_UNDER;
    else
        return false;
    return text_left(&t) == 0;
}

static bool wgxor_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (text_left(&t) < HEX + 2 || !xor_hex_holds(t.at, text_left(&t) - HEX, t.end - HEX))
        return false;
    t.end -= HEX;
    if (!text_take(&t, "W"))
        return off_scale(t, out);
    out->kind = text_peek(&t) == 'N' ? SCALE_KIND_NET : SCALE_KIND_GROSS;
    if (!text_take_any(&t, "GN") || !text_take_number(&t, TEXT_SIGN_MAY, TEXT_POINT, out->digits))
        return false;
    text_skip_spaces(&t);
    return text_take_unit(&t, &out->unit) && text_left(&t) == 0;
}

const struct scale_family scale_wgxor = {
    .name = "wg-xor",
    .frame = wgxor_frame, /* a line, LF ends it */
    .decode = wgxor_decode,
    .max_frame = WGXOR_MAX,
    .seven_bit = true,
};
