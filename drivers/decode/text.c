/* text.c - words taken off the front of a frame. It knows letters, digits and units, and no family. */
#include "drivers/decode/text.h"

#include <stdio.h>
#include <string.h>

static bool is_digit(int c)
{
    return c >= '0' && c <= '9';
}

/* -1: it is no digit of that kind. A digit of either case, since families differ. */
int text_hex(int c)
{
    if (is_digit(c))
        return c - '0';
    int small = c | 0x20;
    return small >= 'a' && small <= 'f' ? small - 'a' + 10 : -1;
}

/* ASCII alone: the locale must not decide what a scale said. */
static int lower(int c)
{
    return c >= 'A' && c <= 'Z' ? c + ('a' - 'A') : c;
}

/* Both ends of a line lose what frame() may leave there. A NUL is filler of scales that pad their lines. */
__attribute__((hot)) struct text text_of(const uint8_t *frame, size_t len)
{
    struct text t = {frame, frame + len};
    while (t.at < t.end && (*t.at == '\r' || *t.at == '\n' || *t.at == 0))
        t.at++;
    while (t.at < t.end && (t.end[-1] == '\r' || t.end[-1] == '\n' || t.end[-1] == 0))
        t.end--;
    return t;
}

/* For a look at a part without moving on in the whole. */
struct text text_head(struct text text, size_t len)
{
    if (len < text_left(&text))
        text.end = text.at + len;
    return text;
}

size_t text_left(const struct text *text)
{
    return (size_t)(text->end - text->at);
}

/* The byte as a number from 0 to 255; -1 at the end, which no byte is. */
int text_peek(const struct text *text)
{
    return text->at < text->end ? *text->at : -1;
}

__attribute__((hot)) size_t text_skip_spaces(struct text *text)
{
    const uint8_t *from = text->at;
    while (text_peek(text) == ' ')
        text->at++;
    return (size_t)(text->at - from);
}

__attribute__((hot)) bool text_blank(struct text text)
{
    text_skip_spaces(&text);
    return text_left(&text) == 0;
}

__attribute__((hot)) bool text_take(struct text *text, const char *word)
{
    const uint8_t *at = text->at;
    for (; *word; word++, at++) { /* two or three letters: a call of strlen and memcmp costs more */
        if (at == text->end || *at != (uint8_t)*word)
            return false;
    }
    text->at = at;
    return true;
}

/* In any case of letters: scales of one family write `kg` and `KG`. */
__attribute__((hot)) bool text_take_word(struct text *text, const char *word)
{
    size_t len = strlen(word);
    if (text_left(text) < len)
        return false;
    for (size_t i = 0; i < len; i++) {
        if (lower(text->at[i]) != lower((uint8_t)word[i]))
            return false;
    }
    text->at += len;
    return true;
}

/* Takes one byte at most; a loop around it takes a run. */
__attribute__((hot)) bool text_take_any(struct text *text, const char *bytes)
{
    int next = text_peek(text);
    for (; *bytes; bytes++) {
        if (next == (uint8_t)*bytes) {
            text->at++;
            return true;
        }
    }
    return false;
}

/* The whole run of letters must be the unit: of `ct` or `tael` the first letter must not pass for tonnes. */
__attribute__((hot)) bool text_take_unit(struct text *text, enum scale_unit *out)
{
    static const struct {
        char word[4];
        enum scale_unit unit;
    } units[] = {
        {"g", SCALE_UNIT_G},   {"kg", SCALE_UNIT_KG},  {"lb", SCALE_UNIT_LB},   {"lbs", SCALE_UNIT_LB},
        {"oz", SCALE_UNIT_OZ}, {"mg", SCALE_UNIT_MG},  {"t", SCALE_UNIT_T},     {"gr", SCALE_UNIT_GR},
        {"gn", SCALE_UNIT_GR}, {"pc", SCALE_UNIT_PCS}, {"pcs", SCALE_UNIT_PCS},
    };
    /* The run of letters, up to a space, a digit or a mark. */
    size_t len = 0;
    while (len < text_left(text) && lower(text->at[len]) >= 'a' && lower(text->at[len]) <= 'z')
        len++;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        if (strlen(units[i].word) == len && text_take_word(text, units[i].word)) {
            *out = units[i].unit;
            return true;
        }
    }
    return false;
}

/* Over, under and errors carry no weight, and never stand still: an accept must not take one. */
bool text_no_weight(struct scale_reading *out, enum scale_status status)
{
    out->status = status;
    out->stability = SCALE_MOVING;
    out->digits[0] = '\0';
    return true;
}

/* A run of digits, at least one. */
static bool take_digits(struct text *text)
{
    const uint8_t *from = text->at;
    while (is_digit(text_peek(text)))
        text->at++;
    return text->at > from;
}

/* A row of at least three of this byte. */
static bool take_row(struct text *text, const char *byte)
{
    struct text row = *text;
    size_t n = 0;
    while (text_take(&row, byte))
        n++;
    if (n >= 3)
        *text = row;
    return n >= 3;
}

/* Works on a copy: a line that begins like such a word but goes on otherwise is left as it was. */
bool text_take_no_weight(struct text *text, struct scale_reading *out)
{
    struct text t = *text;
    text_skip_spaces(&t);
    if (text_take(&t, "OL") || take_row(&t, "~"))
        out->status = SCALE_OVER;
    else if (text_take(&t, "UL"))
        out->status = SCALE_UNDER;
    else if (text_take_word(&t, "Error") || text_take_word(&t, "Err"))
        out->status = SCALE_ERROR;
    else
        return false;
    text_skip_spaces(&t);
    /* A number ends the line: with blanks behind it the block is fix16's. */
    bool numbered = out->status == SCALE_ERROR && take_digits(&t);
    if (!numbered)
        text_take_unit(&t, &out->unit);
    if (numbered ? text_left(&t) > 0 : !text_blank(t)) {
        out->status = SCALE_OK;
        out->unit = SCALE_UNIT_NONE;
        return false;
    }
    out->stability = SCALE_MOVING;
    *text = t;
    return true;
}

/* Seven, since a scale of six digits may well show 999999 of something. */
static bool all_nines(const char digits[SCALE_DIGITS])
{
    size_t nines = 0;
    for (; *digits; digits++) {
        if (is_digit((uint8_t)*digits) && *digits != '9')
            return false;
        nines += *digits == '9';
    }
    return nines >= 7;
}

/* Called after the number was taken, by the families that have no other word for it. */
bool text_nines_are_off_scale(struct scale_reading *out)
{
    if (!all_nines(out->digits))
        return false;
    out->status = out->digits[0] == '-' ? SCALE_UNDER : SCALE_OVER;
    out->digits[0] = '\0';
    return true;
}

/* The one place where digits take their final form. Whoever compares weights as text relies on it:
 * `-0.00` and `0.00` are one, and so are `.5` and `0.5`. */
__attribute__((hot)) bool text_write_digits(bool negative, const char *number, size_t len, char digits[SCALE_DIGITS])
{
    while (len > 1 && number[0] == '0' && is_digit((uint8_t)number[1])) {
        number++;
        len--;
    }
    if (len > 1 && number[len - 1] == '.')
        len--; /* `1234.` is 1234 */
    /* A zero bears no minus: some scales flicker between the two, and that is no change of weight. */
    bool zero = true;
    for (size_t i = 0; i < len; i++)
        zero = zero && (number[i] == '0' || number[i] == '.');
    bool minus = negative && !zero, lead = number[0] == '.';
    size_t need = len + minus + lead;
    if (len == 0 || need >= SCALE_DIGITS)
        return false;
    char *at = digits;
    if (minus)
        *at++ = '-';
    if (lead)
        *at++ = '0';
    memcpy(at, number, len);
    at[len] = '\0';
    return true;
}

/* By whole numbers: a double would bring digits that nobody sent. */
bool text_write_scaled(bool negative, uint32_t value, int exponent, char digits[SCALE_DIGITS])
{
    static const uint32_t tens[] = {1, 10, 100, 1000, 10000, 100000, 1000000};
    char number[SCALE_DIGITS];
    int len;
    if (exponent < -6 || exponent > 6)
        return false;
    if (exponent >= 0)
        len = snprintf(number, sizeof number, "%llu", (unsigned long long)value * tens[exponent]);
    else
        len = snprintf(number, sizeof number, "%u.%0*u", value / tens[-exponent], -exponent, value % tens[-exponent]);
    return text_write_digits(negative, number, (size_t)len, digits);
}

/* A point, or a comma before a digit: any other comma separates, as in `1.234,kg` and `00123,45;`. */
__attribute__((hot)) static bool at_point(const struct text *t, char point)
{
    int next = text_peek(t);
    if (next == '.')
        return point != TEXT_COMMA;
    return next == ',' && point != TEXT_POINT && text_left(t) > 1 && is_digit(t->at[1]);
}

/* Blanks may stand before the sign and behind it, as scales fill their fields so. Nothing is taken unless a whole
 * number was there. A second point ends the number: what is behind it is looked at by the family. */
__attribute__((hot)) bool text_take_number(struct text *text, enum text_sign sign, char point,
                                           char digits[SCALE_DIGITS])
{
    struct text t = *text;
    text_skip_spaces(&t);
    bool negative = false;
    if (sign != TEXT_SIGN_NONE) {
        negative = text_peek(&t) == '-';
        if (!text_take_any(&t, "+-") && sign == TEXT_SIGN_MUST)
            return false;
        text_skip_spaces(&t);
    }
    /* Copied with `.` for the point, whatever the scale sends, as scale.h wants it. */
    char number[SCALE_DIGITS];
    size_t len = 0;
    size_t count = 0;
    bool pointed = false;
    for (;; t.at++) {
        bool is_point = !pointed && at_point(&t, point);
        if (!is_point && !is_digit(text_peek(&t)))
            break;
        if (len == sizeof number)
            return false;
        number[len++] = is_point ? '.' : (char)*t.at;
        count += !is_point;
        pointed = pointed || is_point;
    }
    if (count == 0 || !text_write_digits(negative, number, len, digits))
        return false;
    *text = t;
    return true;
}

/* What may stand between two lines: line ends, filler (NUL, DEL), and the XON and XOFF of a flow control. */
static bool is_filler(uint8_t c)
{
    return c == '\r' || c == '\n' || c == 0 || c == 0x11 || c == 0x13 || c == 0x7f;
}

/* How a family ends its lines; the three slots of text.h. */
enum line_end { LINE_LF, LINE_CR_OR_LF, LINE_ANY };

/* The byte at i ends a line. A CR at the end of what has come is not judged: the LF behind it may be in the next
 * chunk. */
static bool ends(const uint8_t *buf, size_t len, size_t i, enum line_end how)
{
    if (buf[i] == '\n')
        return true;
    if (buf[i] != '\r' || how == LINE_LF)
        return false;
    return how == LINE_ANY || (i + 1 < len && buf[i + 1] != '\n');
}

/* Cuts the first line that is not too long. The end stays in the frame, as text_of() takes it off. What is too
 * long is dropped as a whole: its tail must not pass for a frame. */
__attribute__((hot)) static size_t line(const uint8_t *buf, size_t len, size_t max, enum line_end how, size_t *skip)
{
    size_t from = 0;
    for (;;) {
        while (from < len && is_filler(buf[from]))
            from++;
        size_t end = from;
        while (end < len && !ends(buf, len, end, how))
            end++;
        *skip = from;
        if (end == len)
            return 0;
        if (end + 1 - from <= max)
            return end + 1 - from;
        from = end + 1;
    }
}

__attribute__((hot)) size_t text_line_lf(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    return line(buf, len, self->max_frame, LINE_LF, skip);
}

size_t text_line_cr_or_lf(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    return line(buf, len, self->max_frame, LINE_CR_OR_LF, skip);
}

size_t text_line_any(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    return line(buf, len, self->max_frame, LINE_ANY, skip);
}

size_t text_long_line(const uint8_t *buf, size_t len, size_t max, size_t *skip)
{
    return line(buf, len, max, LINE_LF, skip);
}

/* A second `first` begins anew: it tells of bytes lost between. A frame that grows too long is skipped to the
 * next `first`, and what could still become one is kept. */
size_t text_between(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    uint8_t first = self->first, last = self->last;
    size_t max = self->max_frame, from = 0;
    while (from < len && buf[from] != first)
        from++;
    for (size_t i = from + 1; i < len; i++) {
        if (buf[i] == first) {
            from = i;
        } else if (buf[i] == last) {
            if (i + 1 - from <= max) {
                *skip = from;
                return i + 1 - from;
            }
            while (i < len && buf[i] != first)
                i++;
            from = i;
        }
    }
    *skip = len - from > max ? len : from;
    return 0;
}
