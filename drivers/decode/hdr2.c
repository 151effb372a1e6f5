/* hdr2, hdr2g, hdr2g22: a two-letter head, then sign, zero-padded digits and unit.
 *
 *   ST,+00123.45  g    ST stable, US moving, WT stable (weight), QT stable (a count), OL no weight: the sign says which
 * end ST,GS   1.234,kg   hdr2g: GS gross, NT net, TR tare after the head US,NT,1L,000002.4 kg   hdr2g22: an id and a
 * lamp byte L of 0x80 or more, 22 bytes with CR LF
 *
 * Dialects: a comma before the unit, `;` with a decimal comma, no comma at all, LF only, LF CR. */
#include "drivers/decode/text.h"

/* HDR2_LINE is longer than a frame: noise may stand before the head in one line. */
enum { HDR2_MAX = 40, HDR2_LINE = 160, HDR2G22_WIDTH = 20 };

static const struct {
    char word[3];
    enum scale_stability stability;
    enum scale_status status;
} heads[] = {
    {"ST", SCALE_STABLE, SCALE_OK}, {"US", SCALE_MOVING, SCALE_OK},   {"WT", SCALE_STABLE, SCALE_OK},
    {"QT", SCALE_STABLE, SCALE_OK}, {"OL", SCALE_MOVING, SCALE_OVER},
};

/* Sets stability and status at once: each head says both. */
static bool take_head(struct text *t, struct scale_reading *out)
{
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
        if (text_take(t, heads[i].word)) {
            out->stability = heads[i].stability;
            out->status = heads[i].status;
            return true;
        }
    }
    return false;
}

/* Capitals alone, so that no word of a print-out passes for one. */
static bool take_kind(struct text *t, struct scale_reading *out)
{
    if (text_take(t, "GS"))
        out->kind = SCALE_KIND_GROSS;
    else if (text_take(t, "NT"))
        out->kind = SCALE_KIND_NET;
    else if (text_take(t, "TR"))
        out->kind = SCALE_KIND_TARE;
    else
        return false;
    return true;
}

/* A line; noise before the last head in it is skipped, so that a scale which restarts within a line loses no frame. */
static size_t hdr2_frame(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    (void)self;
    size_t n = text_long_line(buf, len, HDR2_LINE, skip);
    struct scale_reading unused;
    for (size_t i = n > 3 ? n - 3 : 0; i > 0; i--) {
        uint8_t first = buf[*skip + i];
        if (first < 'A' || first > 'Z')
            continue; /* no head: most bytes are spared the look into the table */
        struct text t = {buf + *skip + i, buf + *skip + n};
        if (take_head(&t, &unused) && text_take_any(&t, ",; +-")) {
            *skip += i;
            return n - i;
        }
    }
    return n;
}

/* What OL carries in place of a weight: nines, an exponent, blanks; and maybe a unit. */
static bool off_scale(struct text t, struct scale_reading *out)
{
    text_skip_spaces(&t);
    out->status = text_take(&t, "-") ? SCALE_UNDER : SCALE_OVER;
    while (text_take_any(&t, "0123456789.,;+-E "))
        ;
    return text_blank(t) || (text_take_unit(&t, &out->unit) && text_blank(t));
}

/* Number, a comma or a semicolon or neither, unit. A line without a unit is not hdr2's but one of another family. */
static bool value(struct text t, struct scale_reading *out, char point)
{
    if (out->status != SCALE_OK)
        return off_scale(t, out);
    if (!text_take_number(&t, TEXT_SIGN_MAY, point, out->digits))
        return false;
    text_take_any(&t, ",;");
    text_skip_spaces(&t);
    return text_take_unit(&t, &out->unit) && text_blank(t);
}

static bool hdr2_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (!take_head(&t, out))
        return false;
    bool comma = text_take(&t, ";");
    if (!comma)
        text_take(&t, ",");
    return value(t, out, comma ? TEXT_COMMA : TEXT_EITHER);
}

/* `;` as the separator means a decimal comma: that is how the setting goes on these scales. */
static bool hdr2g_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (!take_head(&t, out))
        return false;
    bool comma = text_take(&t, ";");
    if (!comma)
        text_take_any(&t, ", ");
    if (!take_kind(&t, out))
        return false;
    if (!comma)
        comma = text_take(&t, ";");
    text_take_any(&t, ",;");
    return value(t, out, comma ? TEXT_COMMA : TEXT_EITHER);
}

static bool hdr2g22_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    struct text t = text_of(frame, len);
    if (text_left(&t) != HDR2G22_WIDTH || !take_head(&t, out) || !text_take(&t, ",") || !take_kind(&t, out) ||
        !text_take(&t, ","))
        return false;
    int id = text_peek(&t);
    if (id < 0x20 || id > 0x7e || t.at[1] < 0x80)
        return false;
    t.at += 2;
    return text_take(&t, ",") && value(t, out, TEXT_POINT);
}

/* a line from its last head on */
const struct scale_family scale_hdr2 = {.name = "hdr2",
                                        .frame = hdr2_frame,
                                        .decode = hdr2_decode,
                                        .ask = "SI\r\n",
                                        .max_frame = HDR2_MAX,
                                        .seven_bit = true};

const struct scale_family scale_hdr2g = {.name = "hdr2g",
                                         .frame = hdr2_frame,
                                         .decode = hdr2g_decode,
                                         .ask = "SI\r\n",
                                         .max_frame = HDR2_MAX,
                                         .seven_bit = true};

/* seven_bit stays false: the lamp byte is not text */
const struct scale_family scale_hdr2g22 = {
    .name = "hdr2g22", .frame = hdr2_frame, .decode = hdr2g22_decode, .ask = "SI\r\n", .max_frame = HDR2_MAX};
