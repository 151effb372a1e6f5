/* text.h - reading a text frame word by word.
 *
 * Widths, signs and padding are configurable on most scales, so a family takes words off the front of the text and
 * never slices it by columns. Each take_ function moves on only when it says true.
 */
#pragma once

#include "drivers/scale.h"

struct text {
    const uint8_t *at, *end; /* what is left */
};

/* The text of a frame without line ends and NULs before and after it. */
struct text text_of(const uint8_t *frame, size_t len);
/* A view of the first `len` bytes of what is left; the rest is dropped from it. */
struct text text_head(struct text text, size_t len);
/* Bytes that have not been taken. */
size_t text_left(const struct text *text);
/* The next byte, -1 at the end. */
int text_peek(const struct text *text);
/* Skips spaces, says how many. */
size_t text_skip_spaces(struct text *text);
/* What is left is spaces, or nothing. */
bool text_blank(struct text text);
/* Exactly these bytes; its twin takes upper and lower case alike. */
bool text_take(struct text *text, const char *word);
bool text_take_word(struct text *text, const char *word);
/* One of these bytes. */
bool text_take_any(struct text *text, const char *bytes);
/* A run of letters that is a unit in any case: g kg lb lbs oz mg t gr gn pc pcs. A unit of another kind (carat, troy
 * ounce, per cent) is not taken: what cannot be named must not be weighed. */
bool text_take_unit(struct text *text, enum scale_unit *out);

/* Whether a sign may, must, or must not stand before the digits. */
enum text_sign { TEXT_SIGN_MAY, TEXT_SIGN_MUST, TEXT_SIGN_NONE };

/* What may part the decimals: `.`, `,`, or either, where the decimal comma is a setting of the scale. A comma with no
 * digit behind it is no decimal comma. Digits are never grouped by thousands on the wire (common practice, no source),
 * so one comma is a decimal one. */
enum { TEXT_POINT = '.', TEXT_COMMA = ',', TEXT_EITHER = 0 };

/* Spaces, a sign, spaces (a sign may stand apart), digits with at most one point; `point` is one of the three above.
 * Writes digits as scale.h wants them. False: no number here, or too long a one. */
bool text_take_number(struct text *text, enum text_sign sign, char point, char digits[SCALE_DIGITS]);
/* A line that has a word in place of a weight, and maybe a unit behind it, up to its end: OL over, UL under, Error or
 * Err with a number, a row of ~ over. Sets status, stability and unit. */
bool text_take_no_weight(struct text *text, struct scale_reading *out);
/* Seven nines and more, the point aside: scales that have no mark for it say so that they are over, or under with a
 * minus. Takes the digits away and says which; true. */
bool text_nines_are_off_scale(struct scale_reading *out);

/* Leading zeros dropped, the sign kept but before a zero; `number` is digits with at most one point. False: too long.
 */
bool text_write_digits(bool negative, const char *number, size_t len, char digits[SCALE_DIGITS]);

/* Slots frame() of families of lines: they skip line ends, NUL, XON, XOFF and DEL in front, and drop whole lines longer
 * than max_frame. Which ends count differs: LF alone; LF, or a CR once the next byte shows that no LF follows;
 * whichever comes first. */
size_t text_line_lf(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip);
size_t text_line_cr_or_lf(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip);
size_t text_line_any(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip);
/* The first of them with another limit, where a line holds more than a frame. */
size_t text_long_line(const uint8_t *buf, size_t len, size_t max, size_t *skip);
/* Slot frame() of what begins with a byte of its own and ends with another (`first` and `last`); a second `first`
 * before the end begins anew, and so does what grows longer than max_frame. */
size_t text_between(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip);

/* A hex digit in either case; -1: it is no hex digit. */
int text_hex(int c);
/* value x 10^exponent as digits, exponent -6 to 6: `12.30` of 1230 and -2. False: another exponent, or too long. */
bool text_write_scaled(bool negative, uint32_t value, int exponent, char digits[SCALE_DIGITS]);
/* The reading bears no weight, and why; it counts as moving. True, so that a decoder can end with it. */
bool text_no_weight(struct scale_reading *out, enum scale_status status);
