/* sma.c - LF, status, range, mode, motion, a flag, weight (10), unit (3), CR.
 *
 *   status  Z centre of zero, O over, U under, E I T an error at zero, at start, of the tare; space: nothing to say
 *   mode    G gross, N net, T tare; small letters in high resolution
 *   motion  M moving
 *
 * LF ? CR: it did not understand what it was asked. */
#include "drivers/decode/text.h"

enum { LF = '\n', CR = '\r', SMA_MAX = 32 };

/* The centre of zero is a status of its own here, and a weight all the same. */
static bool take_status(struct text *t, struct scale_reading *out)
{
    int c = text_peek(t);
    if (!text_take_any(t, " ZOUEIT"))
        return false;
    out->status = c == 'O' ? SCALE_OVER : c == 'U' ? SCALE_UNDER : c == ' ' || c == 'Z' ? SCALE_OK : SCALE_ERROR;
    return true;
}

/* Small letters are high resolution: the same kinds. */
static bool take_mode(struct text *t, struct scale_reading *out)
{
    if (text_take_word(t, "G"))
        out->kind = SCALE_KIND_GROSS;
    else if (text_take_word(t, "N"))
        out->kind = SCALE_KIND_NET;
    else if (text_take_word(t, "T"))
        out->kind = SCALE_KIND_TARE;
    else
        return false;
    return true;
}

/* Dashes or nothing where there is no weight to tell. */
static bool take_value(struct text *t, struct scale_reading *out)
{
    if (out->status == SCALE_OK)
        return text_take_number(t, TEXT_SIGN_MAY, TEXT_POINT, out->digits);
    while (text_take_any(t, "0123456789.+- "))
        ;
    return true;
}

/* Every position is a must, a blank where there is nothing to say: so no other family passes. */
static bool sma_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len - 1};
    if (text_take(&t, "?"))
        return text_left(&t) == 0 && text_no_weight(out, SCALE_ERROR);
    if (!take_status(&t, out) || !text_take_any(&t, "0123456789") || !take_mode(&t, out))
        return false;
    out->stability = text_take(&t, "M") ? SCALE_MOVING : SCALE_STABLE;
    if (out->stability == SCALE_STABLE && !text_take(&t, " "))
        return false;
    /* A flag of the maker's own; what may belong to the number stands there only where a byte before it was lost. */
    int flag = text_peek(&t);
    if (flag < ' ' || text_take_any(&t, "0123456789.+-"))
        return false;
    t.at++;
    if (!take_value(&t, out))
        return false;
    text_skip_spaces(&t);
    return text_take_unit(&t, &out->unit) && text_blank(t);
}

/* LF begins and CR ends a frame, so a stream may be joined anywhere: no first line need be dropped. The question reads
 * a weight and changes nothing. */
const struct scale_family scale_sma = {.name = "sma",
                                       .frame = text_between,
                                       .first = LF,
                                       .last = CR,
                                       .decode = sma_decode,
                                       .ask = "\nW\r",
                                       .max_frame = SMA_MAX,
                                       .seven_bit = true};
