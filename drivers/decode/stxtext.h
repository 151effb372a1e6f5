/* stxtext.h - what the frames of stx-pol, stx-etx, stx-etx2 and cr-etx have in common: a value that counts only once
 * the status is known, and one-letter marks.
 */
#pragma once

#include "drivers/decode/text.h"

struct stx_value {
    bool negative;
    char digits[SCALE_DIGITS]; /* "": blanks or dashes stood in its place */
};

/* Sign or space, then digits, blanks or dashes. */
bool stx_take_value(struct text *text, struct stx_value *out);
/* G gross, N net. */
bool stx_take_kind(struct text *text, struct scale_reading *out);
/* Space stable, M moving, O over, U under, I E no weight to tell; in either case. */
bool stx_take_status(struct text *text, struct scale_reading *out);
/* Puts the value into the reading, unless the status says that there is none. False: it should have one. */
bool stx_settle(const struct stx_value *value, struct scale_reading *out);
