/* stx-etx, stx-etx2: STX, polarity, 7 digits, marks, ETX.
 *
 *   -   12.5N             stx-etx: no unit; one mark, G gross, N net, M moving, O over, U under
 *      12.34G Z- kg       stx-etx2: G or N, motion, zero, a further flag, unit (3) */
#include "drivers/decode/stxtext.h"

enum { STX = 0x02, ETX = 0x03, STXETX_MAX = 20 };

static size_t stxetx_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_between(buf, len, STX, ETX, STXETX_MAX, skip);
}

static bool stxetx_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len - 1};
    struct stx_value value;
    if (!stx_take_value(&t, &value) || text_left(&t) != 1)
        return false;
    if (stx_take_kind(&t, out))
        out->stability = SCALE_STABLE;
    else if (!stx_take_status(&t, out))
        return false;
    return stx_settle(&value, out);
}

static bool stxetx2_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len - 1};
    struct stx_value value;
    if (!stx_take_value(&t, &value) || !stx_take_kind(&t, out) || !stx_take_status(&t, out))
        return false;
    for (int flags = 0; flags < 2; flags++) {
        if (text_left(&t) == 0 || *t.at++ < ' ')
            return false;
    }
    text_skip_spaces(&t);
    return text_take_unit(&t, &out->unit) && text_blank(t) && stx_settle(&value, out);
}

const struct scale_family scale_stxetx = {
    .name = "stx-etx",
    .frame = stxetx_frame, /* STX to ETX */
    .decode = stxetx_decode,
    .max_frame = STXETX_MAX,
    .seven_bit = true,
};

const struct scale_family scale_stxetx2 = {
    .name = "stx-etx2",
    .frame = stxetx_frame,
    .decode = stxetx2_decode,
    .max_frame = STXETX_MAX,
    .seven_bit = true,
};
