/* scp.c - what counter scales answer to a W: scp, scp-ecr, retail.
 *
 *   LF weight unit CR LF h h [h] CR ETX    scp. h1: bit 0 motion, 1 at zero, 3 memory failed; h2: bit 0 under, 1 over,
 *                                          6 one more byte follows; h3: bit 2 net
 *   STX digits [N] CR                      retail: no unit and no sign. In place of a weight STX ? status CR: bit 0
 *                                          motion, 1 over, 2 under, 3 outside the range of zero; bit 5 differs
 *
 * In place of scp's weight: ^ all over is over, _ under, - an error at zero. scp-ecr writes an S before h1, and where
 * it has no weight to tell, LF S h h CR ETX alone (from memory). LF ? CR ETX: scp did not understand what it was asked.
 * Every byte sent to a retail scale is a command, so its question is one letter without a line end. */
#include "drivers/decode/text.h"

#include <string.h>

enum { LF = '\n', CR = '\r', STX = 0x02, ETX = 0x03, SCP_MAX = 32, RETAIL_MAX = 12 };

/* Where the frame begins that ends at `etx`: at the last but one LF, since CR LF stands within it as well, or at the
 * last one where an answer without a weight follows it. SIZE_MAX: no such place. */
static size_t begin_of(const uint8_t *buf, size_t etx, size_t before, size_t last, size_t max)
{
    bool alone = last != SIZE_MAX && etx + 1 - last <= max && (buf[last + 1] == '?' || buf[last + 1] == 'S');
    if (before != SIZE_MAX && etx + 1 - before <= max && (!alone || buf[last - 1] == CR))
        return before;
    return alone ? last : SIZE_MAX;
}

/* Looks back from ETX, since the frame's own LF cannot be told from the one within it until the end has come. */
static size_t scp_frame(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    size_t last = SIZE_MAX;
    size_t before = SIZE_MAX;
    for (size_t i = 0; i < len; i++) {
        if (buf[i] == LF) {
            before = last;
            last = i;
        } else if (buf[i] == ETX) {
            *skip = begin_of(buf, i, before, last, self->max_frame);
            if (*skip != SIZE_MAX)
                return i + 1 - *skip;
            before = last = SIZE_MAX;
        }
    }
    /* What is farther back than a frame is long can begin none. */
    *skip = before != SIZE_MAX && len - before < self->max_frame ? before
            : last != SIZE_MAX && len - last < self->max_frame   ? last
                                                                 : len;
    return 0;
}

/* h h [h]: false where they are not such. */
static bool take_status(struct text *t, struct scale_reading *out)
{
    uint8_t h[3] = {0};
    size_t n = 0;
    while (n < 3 && text_peek(t) >= 0x30 && text_peek(t) <= 0x7f && (text_peek(t) & 0x30) == 0x30)
        h[n++] = *t->at++;
    if (n < 2 || (n == 3) != ((h[1] & 0x40) != 0))
        return false;
    out->stability = h[0] & 0x01 ? SCALE_MOVING : SCALE_STABLE;
    if (n == 3)
        out->kind = h[2] & 0x04 ? SCALE_KIND_NET : SCALE_KIND_GROSS;
    if (h[1] & 0x02)
        out->status = SCALE_OVER;
    else if (h[1] & 0x01)
        out->status = SCALE_UNDER;
    else if (h[0] & 0x08)
        out->status = SCALE_ERROR;
    return true;
}

/* A weight, or a filling that stands for none. */
static bool take_value(struct text *t, struct scale_reading *out, enum scale_status *filling)
{
    static const struct {
        const char *byte;
        enum scale_status status;
    } fillings[] = {{"^", SCALE_OVER}, {"_", SCALE_UNDER}, {"-", SCALE_ERROR}};
    for (size_t i = 0; i < sizeof fillings / sizeof *fillings; i++) {
        struct text run = *t;
        size_t n = 0;
        text_skip_spaces(&run);
        while (text_take(&run, fillings[i].byte))
            n++;
        if (n >= 3) {
            *t = run;
            *filling = fillings[i].status;
            return true;
        }
    }
    return text_take_number(t, TEXT_SIGN_MAY, TEXT_POINT, out->digits);
}

/* No weight, and the reason. */
static bool alone(struct text t, bool ecr, struct scale_reading *out)
{
    if (!ecr)
        return text_take(&t, "?\r\3") && text_left(&t) == 0 && text_no_weight(out, SCALE_ERROR);
    return text_take(&t, "S") && take_status(&t, out) && text_take(&t, "\r\3") && text_left(&t) == 0 &&
           (out->status != SCALE_OK || out->stability == SCALE_MOVING);
}

/* The status bytes rule: digits beside over, under or an error are no weight. */
static bool decode(const uint8_t *frame, size_t len, bool ecr, struct scale_reading *out)
{
    struct text t = {frame, frame + len};
    enum scale_status filling = SCALE_OK;
    if (!memchr(frame + 1, LF, len - 1))
        return alone((struct text){frame + 1, frame + len}, ecr, out);
    if (!text_take(&t, "\n") || !take_value(&t, out, &filling))
        return false;
    text_skip_spaces(&t);
    if (!text_take_unit(&t, &out->unit))
        return false;
    text_skip_spaces(&t);
    if (!text_take(&t, "\r\n") || text_take(&t, "S") != ecr || !take_status(&t, out) || !text_take(&t, "\r\3"))
        return false;
    if (out->status == SCALE_OK)
        out->status = filling;
    if (out->status != SCALE_OK)
        out->digits[0] = '\0';
    return text_left(&t) == 0;
}

static bool scp_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    return decode(frame, len, false, out);
}

static bool scp_ecr_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    return decode(frame, len, true, out);
}

/* A frame runs from LF to ETX and holds a line end within. The question is one of few that a counter scale takes. */
const struct scale_family scale_scp = {
    .name = "scp", .frame = scp_frame, .decode = scp_decode, .ask = "W\r", .max_frame = SCP_MAX, .seven_bit = true};

const struct scale_family scale_scp_ecr = {.name = "scp-ecr",
                                           .frame = scp_frame,
                                           .decode = scp_ecr_decode,
                                           .ask = "W\r",
                                           .max_frame = SCP_MAX,
                                           .seven_bit = true};

static bool retail_status(struct text t, struct scale_reading *out)
{
    if (text_left(&t) != 1 || !(*t.at & 0x40))
        return false;
    uint8_t bits = *t.at;
    out->stability = bits & 0x01 ? SCALE_MOVING : SCALE_STABLE;
    /* Nothing moves and nothing is wrong: no word of why there is no weight is no reading. */
    if ((bits & 0x0f) == 0)
        return false;
    out->status = bits & 0x02 ? SCALE_OVER : bits & 0x04 ? SCALE_UNDER : bits & 0x08 ? SCALE_ERROR : SCALE_OK;
    return true;
}

/* A weight is sent only at rest, so a frame without `?` is stable. */
static bool retail_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = {frame + 1, frame + len - 1};
    if (text_take(&t, "?"))
        return retail_status(t, out);
    if (text_peek(&t) == ' ' || !text_take_number(&t, TEXT_SIGN_NONE, TEXT_POINT, out->digits))
        return false;
    out->kind = text_take(&t, "N") ? SCALE_KIND_NET : SCALE_KIND_GROSS;
    out->stability = SCALE_STABLE; /* it sends a weight only when it stands */
    return text_left(&t) == 0;
}

const struct scale_family scale_retail = {.name = "retail",
                                          .frame = text_between,
                                          .first = STX,
                                          .last = CR,
                                          .decode = retail_decode,
                                          .ask = "W",
                                          .max_frame = RETAIL_MAX,
                                          .seven_bit = true};
