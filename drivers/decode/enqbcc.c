/* enq-bcc: SOH STX, status (S stable, U moving), sign, number, unit, the exclusive or of these as one byte, ETX EOT.
 *
 *   S 01.234kg
 *
 * It answers ENQ with ACK and waits for DC1 before it sends: `ask_next`. */
#include "drivers/decode/text.h"
#include "drivers/decode/xorcheck.h"

enum { SOH = 0x01, STX = 0x02, ETX = 0x03, EOT = 0x04, ENQBCC_MAX = 24, HEAD = 2, TAIL = 3 };

/* Where the frame that begins at `from` ends, ETX EOT; the check byte before them may look like either. 0: not yet. */
static size_t end_of(const uint8_t *buf, size_t len, size_t from)
{
    for (size_t i = from + HEAD + 1; i + 1 < len && i + 2 - from <= ENQBCC_MAX; i++) {
        if (buf[i] == ETX && buf[i + 1] == EOT)
            return i + 2;
    }
    return 0;
}

static size_t enqbcc_frame(const uint8_t *buf, size_t len, size_t *skip)
{
    for (size_t from = 0; from < len; from++) {
        if (buf[from] != SOH || (from + 1 < len && buf[from + 1] != STX))
            continue;
        *skip = from;
        size_t end = end_of(buf, len, from);
        if (end)
            return end - from;
        if (len - from < ENQBCC_MAX)
            return 0;
    }
    *skip = len;
    return 0;
}

static bool enqbcc_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    if (len <= HEAD + TAIL || xor_of(frame + HEAD, len - HEAD - TAIL) != frame[len - TAIL])
        return false;
    struct text t = {frame + HEAD, frame + len - TAIL};
    out->stability = text_peek(&t) == 'S' ? SCALE_STABLE : SCALE_MOVING;
    if (!text_take_any(&t, "SU") || !text_take_number(&t, TEXT_SIGN_MAY, TEXT_POINT, out->digits))
        return false;
    text_skip_spaces(&t);
    return text_take_unit(&t, &out->unit) && text_blank(t);
}

const struct scale_family scale_enqbcc = {
    .name = "enq-bcc",
    .frame = enqbcc_frame, /* SOH STX to ETX EOT */
    .decode = enqbcc_decode,
    .ask = "\5",
    .ask_next = "\x11",
    .max_frame = ENQBCC_MAX,
    .seven_bit = true,
};
