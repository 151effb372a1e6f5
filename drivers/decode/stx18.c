/* stx18, stx11: STX, status A B C, weight (6), tare (6, only stx18), CR, and on some an optional check byte.
 *
 *   A  bits 0-2: the point, value x 10^(2-n); bits 3-4 the increment
 *   B  bit 0 net, 1 negative, 2 out of range, 3 motion, 4 kg (else lb), 6 not zeroed since power-up
 *   C  bits 0-2: unit, 0 as B says, 1 g, 2 t, 3 oz
 *
 * With the check byte all bytes sum to 0 mod 128. Whether there is one shows only in what follows the CR: the framer
 * waits for it until it has learnt (optional_check in scale.h). */
#include "drivers/decode/text.h"

#include <stdlib.h>

enum { STX = 0x02, STX18 = 17, STX11 = 11, STATUS = 4, FIELD = 6 };

/* Leading zeros are blanks on some of these scales. */
static bool blank_or_digit(uint8_t c)
{
    return c == ' ' || (c >= '0' && c <= '9');
}

/* The bytes at `at` could begin a frame of `whole` bytes, as far as they are there. */
static bool begins(const uint8_t *at, size_t len, size_t whole)
{
    for (size_t i = 0; i < len && i < whole; i++) {
        bool fits = i == 0           ? at[i] == STX
                    : i < STATUS     ? at[i] >= 0x20
                    : i == whole - 1 ? at[i] == '\r'
                                     : blank_or_digit(at[i]);
        if (!fits)
            return false;
    }
    return true;
}

/* Mod 128, as bit 7 may be a parity and does not count. */
static unsigned sum(const uint8_t *bytes, size_t len)
{
    unsigned total = 0;
    for (size_t i = 0; i < len; i++)
        total += bytes[i];
    return total & 0x7f;
}

/* What follows the CR is the next frame's STX, a line end, or the check byte; a check byte may look like either. */
static size_t with_check(const uint8_t *at, size_t len, size_t whole)
{
    if (len <= whole)
        return whole;
    uint8_t next = at[whole];
    if (next != STX && next != '\n' && next != 0)
        return whole + 1;
    bool next_follows = len > whole + 1 && at[whole + 1] == STX;
    return next_follows && sum(at, whole + 1) == 0 ? whole + 1 : whole;
}

/* One width a family; begins() tells at once whether what is there could become a frame. */
static size_t stx_frame(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    size_t from = 0, whole = self->max_frame - 1; /* the last byte is the check, which need not be there */
    while (from < len && !begins(buf + from, len - from, whole))
        from++;
    *skip = from;
    return len - from < whole ? 0 : with_check(buf + from, len - from, whole);
}

/* Six digits with the point where A puts it: 2-n places to the right of the last one. */
static bool value(const uint8_t field[FIELD], int n, bool negative, struct scale_reading *out)
{
    struct text t = {field, field + FIELD};
    char digits[SCALE_DIGITS];
    if (!text_take_number(&t, TEXT_SIGN_NONE, TEXT_POINT, digits) || text_left(&t) > 0)
        return false;
    return text_write_scaled(negative, (uint32_t)strtoul(digits, NULL, 10), 2 - n, out->digits);
}

/* With a check byte the sum must hold; without one the shape alone speaks for the frame. */
static bool decode(const uint8_t *bytes, size_t len, size_t whole, struct scale_reading *out)
{
    static const enum scale_unit units[] = {SCALE_UNIT_NONE, SCALE_UNIT_G, SCALE_UNIT_T, SCALE_UNIT_OZ};
    if (len < whole || !begins(bytes, len, whole) || (len > whole && sum(bytes, len) != 0))
        return false;
    uint8_t a = bytes[1], b = bytes[2], c = bytes[3];
    if ((c & 7) > 3)
        return false; /* a unit of another kind */
    out->unit = c & 7 ? units[c & 7] : b & 0x10 ? SCALE_UNIT_KG : SCALE_UNIT_LB;
    out->kind = b & 0x01 ? SCALE_KIND_NET : SCALE_KIND_GROSS;
    out->stability = b & 0x08 ? SCALE_MOVING : SCALE_STABLE;
    if (b & 0x04) {
        out->status = b & 0x02 ? SCALE_UNDER : SCALE_OVER;
        return true;
    }
    return value(bytes + STATUS, a & 7, b & 0x02, out);
}

static bool stx18_decode(const uint8_t *bytes, size_t len, struct scale_reading *out)
{
    return decode(bytes, len, STX18, out);
}

static bool stx11_decode(const uint8_t *bytes, size_t len, struct scale_reading *out)
{
    return decode(bytes, len, STX11, out);
}

const struct scale_family scale_stx18 = {.name = "stx18",
                                         .frame = stx_frame,
                                         .decode = stx18_decode,
                                         .max_frame = STX18 + 1,
                                         .closing = '\2',
                                         .optional_check = true,
                                         .seven_bit = true};

const struct scale_family scale_stx11 = {.name = "stx11",
                                         .frame = stx_frame,
                                         .decode = stx11_decode,
                                         .max_frame = STX11 + 1,
                                         .closing = '\2',
                                         .optional_check = true,
                                         .seven_bit = true};
