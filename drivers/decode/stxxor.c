/* stx-xor: STX, sign, 6 digits, the number of decimals, the exclusive or of these in two hex digits, ETX.
 *
 *   -00015021B    is -1.50; no unit, nothing about stability */
#include "drivers/decode/text.h"
#include "drivers/decode/xorcheck.h"

#include <string.h>

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
    int decimals = frame[2 + DIGITS] - '0';
    char digits[SCALE_DIGITS], number[DIGITS + 2];
    if (decimals < 0 || decimals > DECIMALS_MOST || text_peek(&t) == ' ' ||
        !text_take_number(&t, TEXT_SIGN_MUST, TEXT_POINT, digits) || text_left(&t) > 0)
        return false;
    size_t whole = (size_t)(DIGITS - decimals);
    memcpy(number, frame + 2, whole);
    number[whole] = '.';
    memcpy(number + whole + 1, frame + 2 + whole, (size_t)decimals);
    return !memchr(frame + 2, '.', DIGITS) && !memchr(frame + 2, ' ', DIGITS) &&
           text_write_digits(frame[1] == '-', number, DIGITS + 1, out->digits);
}

const struct scale_family scale_stxxor = {
    .name = "stx-xor",
    .frame = stxxor_frame, /* STX to ETX */
    .decode = stxxor_decode,
    .max_frame = STXXOR,
    .seven_bit = true,
};
