/* stx-pol: STX, polarity, 7 digits, unit (1), G or N, status, CR LF.
 *
 *   unit    K G L O T: kg g lb oz t
 *   status  space: stable, M moving, O over, U under, I no weight to tell; O with a minus is under */
#include "drivers/decode/stxtext.h"

enum { STX = 0x02, LF = '\n', STXPOL_MAX = 16 };

static size_t stxpol_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    return text_between(buf, len, STX, LF, STXPOL_MAX, skip);
}

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

static bool stxpol_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len};
    struct stx_value value;
    return stx_take_value(&t, &value) && take_letter_unit(&t, out) && stx_take_kind(&t, out) &&
           stx_take_status(&t, out) && text_take(&t, "\r\n") && stx_settle(&value, out);
}

const struct scale_family scale_stxpol = {
    .name = "stx-pol",
    .frame = stxpol_frame, /* STX to LF */
    .decode = stxpol_decode,
    .max_frame = STXPOL_MAX,
    .seven_bit = true,
};
