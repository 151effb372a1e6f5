/* eq-rev, eq-fwd: `=` and 8 characters, the digits reversed or not; the next `=` ends the frame.
 *
 *   =000.3000   eq-rev: 3.000        =-0001.00   eq-fwd: -1.00
 *
 * Both are the same to syntax, so neither is ever found out: it must be configured. */
#include "drivers/decode/text.h"

enum { WIDTH = 8 };

/* The closing `=` is the next frame's first byte and stays. */
static size_t eq_frame(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    (void)self;
    size_t from = 0;
    while (from < len && buf[from] != '=')
        from++;
    size_t end = from + 1;
    while (end < len && buf[end] != '=')
        end++;
    *skip = from;
    if (end >= len)
        return 0;
    return end - from;
}

/* Exactly eight characters, the sign among them; in eq-rev all of them in reverse, the sign at the end. */
static bool decode(const uint8_t *frame, size_t len, bool reversed, struct scale_reading *out)
{
    struct text content = text_of(frame + 1, len - 1);
    uint8_t turned[WIDTH];
    if (text_left(&content) != WIDTH)
        return false;
    for (size_t i = 0; i < WIDTH; i++)
        turned[i] = content.at[reversed ? WIDTH - 1 - i : i];
    struct text t = {turned, turned + WIDTH};
    if (!text_take_number(&t, TEXT_SIGN_MAY, TEXT_POINT, out->digits) || text_left(&t) > 0)
        return false;
    text_nines_are_off_scale(out); /* it has no other word for it */
    return true;
}

/* As 000.3000 is written for 3.000: the last digit comes first. */
static bool eq_rev_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    return decode(frame, len, true, out);
}

/* As -0001.00 is written for -1.00: read as it stands. */
static bool eq_fwd_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    return decode(frame, len, false, out);
}

/* A frame runs from `=` to the next one. Its room is twice the width, since some scales put CR LF or filler before the
 * next `=`; without a next one it is whole at nine bytes, so a pause does not keep the last weight back. */
const struct scale_family scale_eq_rev = {.name = "eq-rev",
                                          .frame = eq_frame,
                                          .decode = eq_rev_decode,
                                          .max_frame = WIDTH + 8,
                                          .closing = '=',
                                          .seven_bit = true,
                                          .never_sought = true};

const struct scale_family scale_eq_fwd = {.name = "eq-fwd",
                                          .frame = eq_frame,
                                          .decode = eq_fwd_decode,
                                          .max_frame = WIDTH + 8,
                                          .closing = '=',
                                          .seven_bit = true,
                                          .never_sought = true};
