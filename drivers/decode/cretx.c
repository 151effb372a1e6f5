/* cr-etx: CR, sign, 6 digits, status (space stable, m moving, o over, u under), unit (3), g or n, blanks, ETX.
 *
 *   +012.34m lb g */
#include "drivers/decode/stxtext.h"

enum { CR = '\r', ETX = 0x03, CRETX_MAX = 24 };

static size_t cretx_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_between(buf, len, CR, ETX, CRETX_MAX, skip);
}

static bool cretx_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len - 1};
    struct stx_value value;
    if (!stx_take_value(&t, &value) || !stx_take_status(&t, out))
        return false;
    text_skip_spaces(&t);
    if (!text_take_unit(&t, &out->unit))
        return false;
    text_skip_spaces(&t);
    return stx_take_kind(&t, out) && text_blank(t) && stx_settle(&value, out);
}

const struct scale_family scale_cretx = {
    .name = "cr-etx",
    .frame = cretx_frame, /* CR to ETX */
    .decode = cretx_decode,
    .max_frame = CRETX_MAX,
    .seven_bit = true,
};
