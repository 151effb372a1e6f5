/* sics: `S S     100.00 g` CR LF. After `S `, S is stable (net), D moving, I busy, + over, - under; ES ET EL are
 * errors. An older dialect of the same layout says `S ` for stable, `SD` for moving, `SI+` and `SI-` for over and
 * under. A bare `S` or `SI` is the local echo of what was asked, not an answer. */
#include "drivers/decode/text.h"

enum {
    SICS_MAX = 40,
    SICS_B_WIDTH = 19, /* a line of exactly this width may be its kin's: decode/sicsb.c */
    PLAINSU_WIDTH = 12 /* and one of this width, the unit at the digits, is that of decode/plainsu.c */
};

static size_t sics_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_line_lf(buf, len, SICS_MAX, skip);
}

static bool no_weight(struct scale_reading *out, enum scale_status status)
{
    out->stability = SCALE_MOVING;
    out->status = status;
    return true;
}

static bool weight(struct text t, struct scale_reading *out, enum scale_stability stability, enum scale_kind kind)
{
    out->stability = stability;
    out->kind = kind;
    if (!text_take_number(&t, TEXT_SIGN_MAY, TEXT_EITHER, out->digits))
        return false;
    text_skip_spaces(&t);
    return text_take_unit(&t, &out->unit) && text_blank(t);
}

/* The unit follows the digits without a space. */
static bool unit_at_digits(struct text t)
{
    char unused[SCALE_DIGITS];
    return text_take_number(&t, TEXT_SIGN_MAY, TEXT_EITHER, unused) && text_peek(&t) != ' ';
}

/* `S` is taken: `+` and `-` alone are marks, before digits they are signs. */
static bool marked(struct text t, struct scale_reading *out)
{
    struct text mark = t;
    if (text_take(&mark, "+") && text_blank(mark))
        return no_weight(out, SCALE_OVER);
    mark = t;
    if (text_take(&mark, "-") && text_blank(mark))
        return no_weight(out, SCALE_UNDER);
    return false;
}

static bool sics_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (text_take(&t, "E"))
        return text_take_any(&t, "STL") && text_blank(t) && no_weight(out, SCALE_ERROR);
    size_t width = text_left(&t);
    if (!text_take(&t, "S"))
        return false;
    if (text_take(&t, "D"))
        return weight(t, out, SCALE_MOVING, SCALE_KIND_UNKNOWN);
    if (text_take(&t, "I"))
        return marked(t, out);
    if (!text_take(&t, " "))
        return false;
    struct text word = t;
    if (text_take(&word, "S "))
        return weight(word, out, SCALE_STABLE, SCALE_KIND_NET);
    if (text_take(&word, "D "))
        return weight(word, out, SCALE_MOVING, SCALE_KIND_NET);
    if (text_take_any(&word, "IL") && text_blank(word))
        return no_weight(out, SCALE_ERROR);
    if (marked(t, out))
        return true;
    bool a_kins = width == SICS_B_WIDTH || (width == PLAINSU_WIDTH && unit_at_digits(t));
    return !a_kins && weight(t, out, SCALE_STABLE, SCALE_KIND_UNKNOWN);
}

const struct scale_family scale_sics = {
    .name = "sics",
    .frame = sics_frame, /* a line, LF ends it */
    .decode = sics_decode,
    .ask = "SI\r\n",
    .max_frame = SICS_MAX,
    .seven_bit = true,
    .tail_looks_whole = true, /* `S S  1 g` less two bytes is the older dialect's `S  1 g` */
};
