/* sics-b: the command's echo (3), a mark, a space, sign, 9 digits right-aligned, a space, unit (3), CR LF.
 *
 *   SI ?       18.5 kg      mark: space stable, ? moving, ^ over, v under
 *   S ^                     a mark alone; S E is an error, S A says that it works on it and is no reading
 *
 * Its layout has one width, by which it is told from the older dialect of decode/sics.c. */
#include "drivers/decode/text.h"

enum { SICSB_MAX = 40, SICSB_WIDTH = 19, ECHO = 3 };

static size_t sicsb_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_line_lf(buf, len, SICSB_MAX, skip);
}

static bool take_echo(struct text *t)
{
    return text_take(t, "SUI") || text_take(t, "SU") || text_take(t, "SI") || text_take(t, "S");
}

/* False: not a mark. */
static bool take_mark(struct text *t, struct scale_reading *out)
{
    switch (text_peek(t)) {
    case ' ':
        out->stability = SCALE_STABLE;
        break;
    case '?':
        out->stability = SCALE_MOVING;
        break;
    case '^':
        out->status = SCALE_OVER;
        out->stability = SCALE_MOVING;
        break;
    case 'v':
        out->status = SCALE_UNDER;
        out->stability = SCALE_MOVING;
        break;
    case 'E':
        out->status = SCALE_ERROR;
        out->stability = SCALE_MOVING;
        break;
    default:
        return false;
    }
    t->at++;
    return true;
}

static bool mark_alone(struct text t, struct scale_reading *out)
{
    text_skip_spaces(&t);
    return take_mark(&t, out) && out->status != SCALE_OK && text_blank(t);
}

static bool sicsb_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    struct text rest = t;
    if (!take_echo(&rest))
        return false;
    if (mark_alone(rest, out))
        return true;
    out->status = SCALE_OK;
    while (text_left(&rest) > text_left(&t) - ECHO) {
        if (!text_take(&rest, " "))
            return false;
    }
    if (text_left(&t) != SICSB_WIDTH || !take_mark(&rest, out) || !text_take(&rest, " ") ||
        !text_take_number(&rest, TEXT_SIGN_MAY, TEXT_EITHER, out->digits) || !text_take(&rest, " ") ||
        !text_take_unit(&rest, &out->unit) || !text_blank(rest))
        return false;
    if (out->status != SCALE_OK)
        out->digits[0] = '\0'; /* what stands beside such a mark is no weight */
    return true;
}

const struct scale_family scale_sicsb = {
    .name = "sics-b",
    .frame = sicsb_frame, /* a line, LF ends it */
    .decode = sicsb_decode,
    .ask = "SI\r\n",
    .max_frame = SICSB_MAX,
    .seven_bit = true,
};
