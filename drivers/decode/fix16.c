/* fix16.c - fix16, fix22, fix16n: sign, 8 or 9 digits right-aligned, a space, a unit of 3, CR LF. A blank unit means
 * not stable. fix16n lacks the space, and says nothing about stability: `+   20.758g  `. fix22 puts an id of 6 in
 * front: `N     `, `G     `, `Stat  `. Brackets stand round a digit that is not verified: `123.5[6]` is 123.56.
 *
 * The widths vary with the scale by a character, so they are told apart by the words; but the number must end where the
 * layout ends it, since a line of a plainer family, or the tail of one of these, would pass for a frame. */
#include "drivers/decode/text.h"

#include <string.h>

enum { FIX_MAX = 40, FIX_LEAST = 13, FIX_MOST = 14, FIX16N_LEAST = 12, FIX16N_MOST = 13, BRACKETS = 2 };

/* Digits with a last one or two in brackets, as one number. */
static bool take_bracketed(struct text *t, char digits[SCALE_DIGITS])
{
    uint8_t plain[SCALE_DIGITS];
    /* At most one pair, and nothing but digits and the point inside it. */
    size_t n = 0;
    int brackets = 0;
    struct text from = *t;
    while (n < sizeof plain && text_left(&from) > 0) {
        uint8_t c = *from.at;
        if (c == '[' || c == ']') {
            if (c != (brackets & 1 ? ']' : '[') || ++brackets > 2)
                return false;
        } else if ((c >= '0' && c <= '9') || c == '.' || c == ',' || (n == 0 && c == ' ')) {
            if (c != ' ')
                plain[n++] = c;
        } else {
            break;
        }
        from.at++;
    }
    struct text number = {plain, plain + n};
    if (brackets & 1 || !text_take_number(&number, TEXT_SIGN_NONE, TEXT_EITHER, digits) || text_left(&number) > 0)
        return false;
    *t = from;
    return true;
}

/* `High`, `Low` and `Err NNN` stand in a block as wide as a weight: the width tells them from other words. */
static bool status_word(struct text t, size_t width, struct scale_reading *out)
{
    if (text_left(&t) != width || text_skip_spaces(&t) == 0)
        return false;
    out->stability = SCALE_MOVING;
    out->unit = SCALE_UNIT_NONE;
    out->digits[0] = '\0';
    if (text_take_word(&t, "High") || text_take_word(&t, "H"))
        out->status = SCALE_OVER;
    else if (text_take_word(&t, "Low") || text_take_word(&t, "L"))
        out->status = SCALE_UNDER;
    else if (text_take_word(&t, "Err")) {
        out->status = SCALE_ERROR;
        text_skip_spaces(&t);
        while (text_take_any(&t, "0123456789"))
            ;
    } else
        return false;
    return text_blank(t);
}

/* Sign, block of digits, space, unit. The digits must fill the block, else a line of a plainer family would
 * pass, with a wrong idea of what its blanks say. */
static bool weight(struct text t, struct scale_reading *out)
{
    size_t width = text_left(&t);
    bool brackets = memchr(t.at, '[', width) != NULL;
    size_t most = brackets ? FIX_MOST + BRACKETS : FIX_MOST;
    if (width < FIX_LEAST || width > most)
        return false;
    char number[SCALE_DIGITS];
    bool negative = text_peek(&t) == '-';
    if (!text_take_any(&t, "+- ") || !take_bracketed(&t, number))
        return false;
    /* The block stays as wide as it is: brackets may take the place of the blank before the unit. */
    if (!(text_left(&t) == 4 && text_take(&t, " ")) && !(brackets && text_left(&t) == 3))
        return false;
    if (!text_write_digits(negative, number, strlen(number), out->digits))
        return false;
    out->stability = text_blank(t) ? SCALE_MOVING : SCALE_STABLE;
    return text_blank(t) || (text_take_unit(&t, &out->unit) && text_blank(t));
}

/* A weight or one of the words; both fill the same block. */
static bool fix16_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    return weight(t, out) || status_word(t, FIX_MOST, out);
}

/* The id is padded to six with blanks; behind it the line is fix16's. */
static bool fix22_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    static const struct {
        const char *word;
        enum scale_kind kind;
    } ids[] = {
        {"N     ", SCALE_KIND_NET},
        {"G     ", SCALE_KIND_GROSS},
        {"T     ", SCALE_KIND_TARE},
        {"Qnt   ", SCALE_KIND_UNKNOWN},
    };
    struct text t = text_of(frame, len);
    if (text_take_word(&t, "Stat  "))
        return status_word(t, FIX_MOST, out);
    for (size_t i = 0; i < sizeof ids / sizeof *ids; i++) {
        if (text_take(&t, ids[i].word)) {
            out->kind = ids[i].kind;
            return weight(t, out) || status_word(t, FIX_MOST, out);
        }
    }
    return false;
}

/* The unit stands at the digits, and three letters wide: `g  `. A blank one would be a number alone, so it
 * is refused. */
static bool fix16n_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    struct text rest = t;
    struct text sign = text_head(t, 1);
    if (text_left(&t) >= FIX16N_LEAST && text_left(&t) <= FIX16N_MOST && text_take_any(&sign, "+-") &&
        text_take_number(&rest, TEXT_SIGN_MUST, TEXT_EITHER, out->digits) && text_left(&rest) == 3 &&
        text_take_unit(&rest, &out->unit) && text_blank(rest))
        return true;
    *out = (struct scale_reading){.stability = SCALE_STABILITY_UNKNOWN};
    return status_word(t, FIX16N_MOST, out) || (text_left(&t) <= FIX16N_MOST && text_take_no_weight(&t, out));
}

/* A tail looks whole: 16 bytes less the sign are a frame of 15, which another scale of this family may send. The unit
 * may be blank, so no weight counts before a frame has named one, or the station has. */
const struct scale_family scale_fix16 = {.name = "fix16",
                                         .frame = text_line_lf,
                                         .decode = fix16_decode,
                                         .ask = "\033P",
                                         .max_frame = FIX_MAX,
                                         .blank_unit_means_moving = true,
                                         .seven_bit = true,
                                         .tail_looks_whole = true};

/* An id begins each line, so a stream may be joined anywhere: what lacks it is no frame. */
const struct scale_family scale_fix22 = {.name = "fix22",
                                         .frame = text_line_lf,
                                         .decode = fix22_decode,
                                         .ask = "\033P",
                                         .max_frame = FIX_MAX,
                                         .blank_unit_means_moving = true,
                                         .seven_bit = true};

/* The unit always stands there, so a blank one is no sign of motion but a line of another family. */
const struct scale_family scale_fix16n = {.name = "fix16n",
                                          .frame = text_line_lf,
                                          .decode = fix16n_decode,
                                          .ask = "\033P",
                                          .max_frame = FIX_MAX,
                                          .seven_bit = true};
