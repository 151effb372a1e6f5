/* stxetx.c - a value between control characters, with one-letter marks: stx-pol, stx-etx, stx-etx2, cr-etx.
 *
 *   STX    123.4KG  CR LF     stx-pol: polarity, 7 digits, unit (K G L O T: kg g lb oz t), G or N, status
 *   STX -   12.5N ETX         stx-etx: no unit; one mark, G gross, N net, M moving, O over, U under
 *   STX    12.34G Z- kg ETX   stx-etx2: G or N, motion, zero, a further flag, unit (3), blank while moving
 *   CR +012.34m lb g ETX      cr-etx: 6 digits, status in small letters, unit (3), g or n
 *
 * Status: space stable, M moving, O over, U under, I no weight to tell; O with a minus is under. It stands behind the
 * value, so a value counts only once the status is known. */
#include "drivers/decode/text.h"

#include <string.h>

enum { STX = 0x02, ETX = 0x03, LF = '\n', CR = '\r', STXETX_MAX = 20, STXPOL_MAX = 16, CRETX_MAX = 24 };

/* What stands in the place of the value, before it is known whether it counts. */
struct value {
    bool negative;
    char digits[SCALE_DIGITS]; /* "": blanks or dashes stood in its place */
};

/* Sign or space, then digits, blanks or dashes. */
static bool take_value(struct text *text, struct value *out)
{
    out->digits[0] = '\0';
    out->negative = text_peek(text) == '-';
    struct text number = *text;
    if (text_take_number(&number, TEXT_SIGN_MAY, TEXT_POINT, out->digits)) {
        *text = number;
        return true;
    }
    if (!text_take_any(text, "+- "))
        return false;
    while (text_take_any(text, "- "))
        ;
    return true;
}

/* G gross, N net. */
static bool take_kind(struct text *text, struct scale_reading *out)
{
    if (text_take_word(text, "G"))
        out->kind = SCALE_KIND_GROSS;
    else if (text_take_word(text, "N"))
        out->kind = SCALE_KIND_NET;
    else
        return false;
    return true;
}

/* Space stable, M moving, O over, U under, I E no weight to tell; in either case. */
static bool take_status(struct text *text, struct scale_reading *out)
{
    out->stability = SCALE_MOVING;
    if (text_take(text, " "))
        out->stability = SCALE_STABLE;
    else if (text_take_word(text, "O"))
        out->status = SCALE_OVER;
    else if (text_take_word(text, "U"))
        out->status = SCALE_UNDER;
    else if (text_take_word(text, "I") || text_take_word(text, "E"))
        out->status = SCALE_ERROR;
    else
        return text_take_word(text, "M");
    return true;
}

/* Puts the value into the reading, unless the status says that it holds no weight. False: it should have one. */
static bool settle(const struct value *value, struct scale_reading *out)
{
    if (out->status == SCALE_OVER && value->negative)
        out->status = SCALE_UNDER;
    if (out->status != SCALE_OK)
        return true;
    memcpy(out->digits, value->digits, sizeof out->digits);
    return out->digits[0] != '\0';
}

/* One capital; a small letter makes it a line of another family. */
static bool take_letter_unit(struct text *t, struct scale_reading *out)
{
    static const char letters[] = "KGLOT";
    static const enum scale_unit units[] = {SCALE_UNIT_KG, SCALE_UNIT_G, SCALE_UNIT_LB, SCALE_UNIT_OZ, SCALE_UNIT_T};
    int c = text_peek(t);
    for (size_t i = 0; letters[i]; i++) {
        if (c == letters[i]) {
            out->unit = units[i];
            t->at++;
            return true;
        }
    }
    return false;
}

/* Unit and kind are one letter each, the status comes last. */
static bool stxpol_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len};
    struct value value;
    return take_value(&t, &value) && take_letter_unit(&t, out) && take_kind(&t, out) && take_status(&t, out) &&
           text_take(&t, "\r\n") && settle(&value, out);
}

/* STX begins and LF ends it, and neither stands within: a cut frame has no end, or no beginning. */
const struct scale_family scale_stxpol = {.name = "stx-pol",
                                          .frame = text_between,
                                          .first = STX,
                                          .last = LF,
                                          .decode = stxpol_decode,
                                          .max_frame = STXPOL_MAX,
                                          .seven_bit = true};

/* One letter tells kind or status, so a stable weight is one whose letter is G or N. */
static bool stxetx_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len - 1};
    struct value value;
    if (!take_value(&t, &value) || text_left(&t) != 1)
        return false;
    if (take_kind(&t, out))
        out->stability = SCALE_STABLE;
    else if (!take_status(&t, out))
        return false;
    return settle(&value, out);
}

/* Zero and a further flag are any printable byte: their meaning differs by scale and decides nothing here. */
static bool stxetx2_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len - 1};
    struct value value;
    if (!take_value(&t, &value) || !take_kind(&t, out) || !take_status(&t, out))
        return false;
    for (int flags = 0; flags < 2; flags++) {
        if (text_left(&t) == 0 || *t.at++ < ' ')
            return false;
    }
    text_skip_spaces(&t);
    bool unit = text_take_unit(&t, &out->unit) || out->stability == SCALE_MOVING;
    return unit && text_blank(t) && settle(&value, out);
}

const struct scale_family scale_stxetx = {.name = "stx-etx",
                                          .frame = text_between,
                                          .first = STX,
                                          .last = ETX,
                                          .decode = stxetx_decode,
                                          .max_frame = STXETX_MAX,
                                          .seven_bit = true};

/* The unit is blank while the weight moves: the weight is then one of the unit named last, or none. */
const struct scale_family scale_stxetx2 = {.name = "stx-etx2",
                                           .frame = text_between,
                                           .first = STX,
                                           .last = ETX,
                                           .decode = stxetx2_decode,
                                           .max_frame = STXETX_MAX,
                                           .blank_unit_means_moving = true,
                                           .seven_bit = true};

/* The kind stands last, behind the unit, in small letters. */
static bool cretx_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len - 1};
    struct value value;
    if (!take_value(&t, &value) || !take_status(&t, out))
        return false;
    text_skip_spaces(&t);
    if (!text_take_unit(&t, &out->unit))
        return false;
    text_skip_spaces(&t);
    return take_kind(&t, out) && text_blank(t) && settle(&value, out);
}

/* CR begins it, which ends the lines of most others: text_between() begins anew at each, so their lines are passed. */
const struct scale_family scale_cretx = {.name = "cr-etx",
                                         .frame = text_between,
                                         .first = CR,
                                         .last = ETX,
                                         .decode = cretx_decode,
                                         .max_frame = CRETX_MAX,
                                         .seven_bit = true};
