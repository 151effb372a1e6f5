/* stx-xor: STX, sign, 6 digits, the number of decimals, the exclusive or of these in two hex digits, ETX.
 *
 *   -00015021B    is -1.50; no unit, nothing about stability */
#include "drivers/decode/text.h"
#include "drivers/decode/xorcheck.h"

enum { STX = 0x02, ETX = 0x03, STXXOR = 12, DIGITS = 6, DECIMALS_MOST = 5 };

static size_t stxxor_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_between(buf, len, STX, ETX, STXXOR, skip);
}

static bool stxxor_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    if (len != STXXOR || !xor_hex_holds(frame + 1, DIGITS + 2, frame + DIGITS + 3))
        return false;
    struct text t = {frame + 1, frame + 2 + DIGITS};
    unsigned decimals = (unsigned)frame[2 + DIGITS] - '0';
    bool negative = text_peek(&t) == '-';
    if (!text_take_any(&t, "+-") || decimals > DECIMALS_MOST)
        return false;
    char number[DIGITS + 1];
    size_t n = 0;
    for (; text_left(&t) > 0; t.at++) {
        if (*t.at < '0' || *t.at > '9')
            return false;
        if (text_left(&t) == decimals)
            number[n++] = '.';
        number[n++] = (char)*t.at;
    }
    return text_write_digits(negative, number, n, out->digits);
}

const struct scale_family scale_stxxor = {
    .name = "stx-xor",
    .frame = stxxor_frame, /* STX to ETX */
    .decode = stxxor_decode,
    .max_frame = STXXOR,
    .seven_bit = true,
};
