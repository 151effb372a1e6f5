/* hid: a USB scale's report (USB-IF HID Point of Sale usage tables, usage page 0x8D), in the usual order of its fields.
 *
 *   report id 3, status, unit, signed exponent of ten, 16-bit weight, low byte first
 *
 * The order is custom and not guaranteed, so hidraw.c reads the device's report descriptor and puts the fields into
 * this order before they come here. */
#include "drivers/decode/text.h"

enum { REPORT = 6, REPORT_ID = 3 };

/* Status 1 to 8 of the usage tables. */
enum { FAULT = 1, ZERO, MOTION, STABLE, UNDER, OVER, CALIBRATE, REZERO };

/* Units 1 to 12 of the usage tables; carat, tael, pennyweight, short ton and troy ounce are none that we weigh in. */
static const enum scale_unit units[] = {
    [1] = SCALE_UNIT_MG, [2] = SCALE_UNIT_G,   [3] = SCALE_UNIT_KG,  [6] = SCALE_UNIT_GR,
    [8] = SCALE_UNIT_T,  [11] = SCALE_UNIT_OZ, [12] = SCALE_UNIT_LB,
};

static bool begins(const uint8_t *at, size_t len)
{
    return at[0] == REPORT_ID && (len < 2 || (at[1] >= FAULT && at[1] <= REZERO)) &&
           (len < 3 || (at[2] < sizeof units / sizeof *units && units[at[2]] != SCALE_UNIT_NONE));
}

static size_t hid_frame(const struct scale_family *self, const uint8_t *buf, size_t len, size_t *skip)
{
    (void)self;
    size_t from = 0;
    while (from < len && !begins(buf + from, len - from))
        from++;
    *skip = from;
    return len - from < REPORT ? 0 : REPORT;
}

static bool hid_decode(const uint8_t *frame, size_t len, struct scale_reading *out)
{
    if (len != REPORT || !begins(frame, len))
        return false;
    out->unit = units[frame[2]];
    out->stability = frame[1] == STABLE || frame[1] == ZERO ? SCALE_STABLE : SCALE_MOVING;
    switch (frame[1]) {
    case ZERO:
    case MOTION:
    case STABLE:
        return text_write_scaled(false, (uint32_t)(frame[4] | frame[5] << 8), (int8_t)frame[3], out->digits);
    case UNDER:
        return text_no_weight(out, SCALE_UNDER);
    case OVER:
        return text_no_weight(out, SCALE_OVER);
    default:
        return text_no_weight(out, SCALE_ERROR);
    }
}

/* 6 bytes */
/* its port says what it is */
const struct scale_family scale_hid = {
    .name = "hid", .frame = hid_frame, .decode = hid_decode, .max_frame = REPORT, .never_sought = true};
