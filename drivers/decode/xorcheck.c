/* xorcheck.c - frames that carry the exclusive or of their bytes: stx-xor, wg-xor, enq-bcc.
 *
 *   STX -00015021B ETX          stx-xor: 6 digits, the number of decimals, the check in two hex digits: -1.50; no unit,
 *                               nothing about stability
 *   WG004.139kg3D CR LF         wg-xor: WG gross or WN net, number, unit, the check of all before it; no stability
 *            LO23 CR LF         wg-xor: under; HI or OL over
 *   SOH STX S 01.234kg e ETX EOT   enq-bcc: status (S stable, U moving), sign (F over), number, unit, the check as one
 *                               byte. It answers ENQ with ACK and waits for DC1 before it sends: `ask_next` */
#include "drivers/decode/text.h"

enum {
    SOH = 0x01,
    STX = 0x02,
    ETX = 0x03,
    EOT = 0x04,
    STXXOR = 12, /* bytes of a frame, control characters and all */
    DIGITS = 6,
    DECIMALS_MOST = 5,
    WGXOR_MAX = 24,
    HEX = 2,
    ENQBCC_MAX = 24,
    HEAD = 2,
    TAIL = 3
};

/* The check of all three: catches one wrong bit, and any odd number of them in one column, no more. */
static uint8_t xor_of(const uint8_t *bytes, size_t len)
{
    uint8_t mixed = 0;
    for (size_t i = 0; i < len; i++)
        mixed = (uint8_t)(mixed ^ bytes[i]);
    return mixed;
}

/* The two digits at `hex` (either case) say the exclusive or of the bytes. */
static bool xor_hex_holds(const uint8_t *bytes, size_t len, const uint8_t hex[2])
{
    int high = text_hex(hex[0]);
    int low = text_hex(hex[1]);
    return high >= 0 && low >= 0 && xor_of(bytes, len) == high * 16 + low;
}

/* Six digits and their decimals as a number of its own, so the point is put in here. */
static bool stxxor_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    if (len != STXXOR || !xor_hex_holds(frame + 1, DIGITS + 2, frame + DIGITS + 3))
        return false;
    struct text t = {frame + 1, frame + 2 + DIGITS};
    unsigned decimals = (unsigned)frame[2 + DIGITS] - '0';
    bool negative = text_peek(&t) == '-';
    if (!text_take_any(&t, "+-") || decimals > DECIMALS_MOST)
        return false;
    char number[DIGITS + 1];
    size_t n = 0;
    for (; text_left(&t) > 0; t.at++) {
        if (*t.at < '0' || *t.at > '9')
            return false;
        if (text_left(&t) == decimals)
            number[n++] = '.';
        number[n++] = (char)*t.at;
    }
    return text_write_digits(negative, number, n, out->digits);
}

const struct scale_family scale_stxxor = {.name = "stx-xor",
                                          .frame = text_between,
                                          .first = STX,
                                          .last = ETX,
                                          .decode = stxxor_decode,
                                          .max_frame = STXXOR,
                                          .seven_bit = true};

/* A line without WG or WN: a word alone, right-aligned. */
static bool off_scale(struct text t, struct scale_reading *out)
{
    text_skip_spaces(&t);
    out->stability = SCALE_MOVING;
    if (text_take(&t, "HI") || text_take(&t, "OL"))
        out->status = SCALE_OVER;
    else if (text_take(&t, "LO"))
        out->status = SCALE_UNDER;
    else
        return false;
    return text_left(&t) == 0;
}

/* The check first: only then is a word that is not known a line of another family. */
static bool wgxor_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (text_left(&t) < HEX + 2 || !xor_hex_holds(t.at, text_left(&t) - HEX, t.end - HEX))
        return false;
    t.end -= HEX;
    if (!text_take(&t, "W"))
        return off_scale(t, out);
    out->kind = text_peek(&t) == 'N' ? SCALE_KIND_NET : SCALE_KIND_GROSS;
    if (!text_take_any(&t, "GN") || !text_take_number(&t, TEXT_SIGN_MAY, TEXT_POINT, out->digits))
        return false;
    text_skip_spaces(&t);
    return text_take_unit(&t, &out->unit) && text_left(&t) == 0;
}

const struct scale_family scale_wgxor = {
    .name = "wg-xor", .frame = text_line_lf, .decode = wgxor_decode, .max_frame = WGXOR_MAX, .seven_bit = true};

/* Where the frame that begins at `from` ends, ETX EOT; the check byte before them may look like either. 0: not yet. */
/* Looks for both bytes together, as the check may be one of them. */
static size_t end_of(const uint8_t *buf, size_t len, size_t from, size_t max)
{
    for (size_t i = from + HEAD + 1; i + 1 < len && i + 2 - from <= max; i++) {
        if (buf[i] == ETX && buf[i + 1] == EOT)
            return i + 2;
    }
    return 0;
}

/* Its check byte may be any byte, ETX and SOH too, so text_between() cannot cut it. */
static size_t enqbcc_frame(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    for (size_t from = 0; from < len; from++) {
        if (buf[from] != SOH || (from + 1 < len && buf[from + 1] != STX))
            continue;
        *skip = from;
        size_t end = end_of(buf, len, from, self->max_frame);
        if (end)
            return end - from;
        if (len - from < self->max_frame)
            return 0;
    }
    *skip = len;
    return 0;
}

/* F in the sign's place: what stands behind it is no weight. */
static bool over(struct text *t, struct scale_reading *out)
{
    if (!text_take(t, "F"))
        return false;
    while (text_take_any(t, "0123456789. "))
        ;
    out->status = SCALE_OVER;
    out->stability = SCALE_MOVING;
    return true;
}

/* The exclusive or is that of all between STX and the check, neither counted. */
static bool enqbcc_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    if (len <= HEAD + TAIL || xor_of(frame + HEAD, len - HEAD - TAIL) != frame[len - TAIL])
        return false;
    struct text t = {frame + HEAD, frame + len - TAIL};
    out->stability = text_peek(&t) == 'S' ? SCALE_STABLE : SCALE_MOVING;
    if (!text_take_any(&t, "SU") || (!over(&t, out) && !text_take_number(&t, TEXT_SIGN_MAY, TEXT_POINT, out->digits)))
        return false;
    text_skip_spaces(&t);
    return text_take_unit(&t, &out->unit) && text_blank(t);
}

/* SOH STX to ETX EOT */
const struct scale_family scale_enqbcc = {.name = "enq-bcc",
                                          .frame = enqbcc_frame,
                                          .decode = enqbcc_decode,
                                          .ask = "\5",
                                          .ask_next = "\x11",
                                          .max_frame = ENQBCC_MAX,
                                          .seven_bit = true};
