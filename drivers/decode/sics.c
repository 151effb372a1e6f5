/* sics.c - a line that begins with the command's own letter: sics and its older dialect, and sics-b.
 *
 *   S S     100.00 g        sics: after `S `, S is stable (net), D moving, I busy, + over, - under; ES ET EL are errors
 *   SD       18.5 g         the older dialect: `S ` stable, SD moving, SI+ over, SI- under
 *   SI ?       18.5 kg      sics-b: the command's echo (3), a mark (space stable, ? moving, ^ over, v under), a space,
 *                           sign, 9 digits right-aligned, a space, unit (3)
 *   S ^                     sics-b: a mark alone; S E is an error, S A says that it works on it and is no reading
 *
 * A bare `S` or `SI` is the local echo of what was asked, not an answer. sics-b has one width, by which it is told from
 * the older dialect. */
#include "drivers/decode/text.h"

enum {
    SICS_MAX = 40,
    SICS_B_WIDTH = 19,  /* a line of exactly this width may be sics-b's */
    PLAINSU_WIDTH = 12, /* and one of this width, the unit at the digits, is plain-su's */
    ECHO = 3
};

/* Number and unit up to the end. A unit is a must here: a number alone is another family's line. */
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
        return text_no_weight(out, SCALE_OVER);
    mark = t;
    if (text_take(&mark, "-") && text_blank(mark))
        return text_no_weight(out, SCALE_UNDER);
    return false;
}

/* From the most special to the most general: the older dialect's `S  ` would take almost any line. */
static bool sics_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (text_take(&t, "E"))
        return text_take_any(&t, "STL") && text_blank(t) && text_no_weight(out, SCALE_ERROR);
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
        return text_no_weight(out, SCALE_ERROR);
    if (marked(t, out))
        return true;
    bool a_kins = width == SICS_B_WIDTH || (width == PLAINSU_WIDTH && unit_at_digits(t));
    return !a_kins && weight(t, out, SCALE_STABLE, SCALE_KIND_UNKNOWN);
}

/* A tail looks whole: `S S  1 g` less two bytes is the older dialect's `S  1 g`, and would be stable where the line was
 * not. */
const struct scale_family scale_sics = {.name = "sics",
                                        .frame = text_line_lf,
                                        .decode = sics_decode,
                                        .ask = "SI\r\n",
                                        .max_frame = SICS_MAX,
                                        .seven_bit = true,
                                        .tail_looks_whole = true};

/* The command that was asked comes back as the answer's first letters; the longest first. */
static bool take_echo(struct text *t)
{
    return text_take(t, "SUI") || text_take(t, "SU") || text_take(t, "SI") || text_take(t, "S");
}

/* False: not a mark. */
static bool take_b_mark(struct text *t, struct scale_reading *out)
{
    int mark = text_peek(t);
    if (!text_take_any(t, " ?^vE"))
        return false;
    out->stability = mark == ' ' ? SCALE_STABLE : SCALE_MOVING;
    out->status = mark == '^' ? SCALE_OVER : mark == 'v' ? SCALE_UNDER : mark == 'E' ? SCALE_ERROR : SCALE_OK;
    return true;
}

/* An answer that bears no weight is a mark and nothing else. */
static bool mark_alone(struct text t, struct scale_reading *out)
{
    text_skip_spaces(&t);
    return take_b_mark(&t, out) && out->status != SCALE_OK && text_blank(t);
}

/* The echo fills three places, padded with blanks; a weight then has one width. */
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
    if (text_left(&t) != SICS_B_WIDTH || !take_b_mark(&rest, out) || !text_take(&rest, " ") ||
        !text_take_number(&rest, TEXT_SIGN_MAY, TEXT_EITHER, out->digits) || !text_take(&rest, " ") ||
        !text_take_unit(&rest, &out->unit) || !text_blank(rest))
        return false;
    if (out->status != SCALE_OK)
        out->digits[0] = '\0'; /* what stands beside such a mark is no weight */
    return true;
}

const struct scale_family scale_sicsb = {.name = "sics-b",
                                         .frame = text_line_lf,
                                         .decode = sicsb_decode,
                                         .ask = "SI\r\n",
                                         .max_frame = SICS_MAX,
                                         .seven_bit = true};
