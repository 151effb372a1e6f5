/* retail: STX digits [N] CR, no unit and no sign; in place of a weight STX ? status CR.
 *
 *   status  bit 0 motion, 1 over, 2 under, 3 outside the range of zero; bit 5 differs between scales and says nothing
 *
 * Every byte sent to such a scale is a command, so a question is one letter without a line end. */
#include "drivers/decode/text.h"

enum { STX = 0x02, CR = '\r', RETAIL_MAX = 12 };

static size_t retail_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_between(buf, len, STX, CR, RETAIL_MAX, skip);
}

static bool status(struct text t, struct scale_reading *out)
{
    if (text_left(&t) != 1 || !(*t.at & 0x40))
        return false;
    uint8_t bits = *t.at;
    out->stability = bits & 0x01 ? SCALE_MOVING : SCALE_STABLE;
    out->status = bits & 0x02 ? SCALE_OVER : bits & 0x04 ? SCALE_UNDER : bits & 0x08 ? SCALE_ERROR : SCALE_OK;
    return true;
}

static bool retail_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len - 1};
    if (text_take(&t, "?"))
        return status(t, out);
    if (text_peek(&t) == ' ' || !text_take_number(&t, TEXT_SIGN_NONE, TEXT_POINT, out->digits))
        return false;
    out->kind = text_take(&t, "N") ? SCALE_KIND_NET : SCALE_KIND_GROSS;
    out->stability = SCALE_STABLE; /* it sends a weight only when it stands */
    return text_left(&t) == 0;
}

const struct scale_family scale_retail = {
    .name = "retail",
    .frame = retail_frame, /* STX to CR */
    .decode = retail_decode,
    .ask = "W",
    .max_frame = RETAIL_MAX,
    .seven_bit = true,
};
