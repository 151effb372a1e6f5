#include "tests/vm/hid_report.h"

#include <stdint.h>
#include <stdio.h>

/* Items of the HID class definition 1.11, 6.2.2. */
static const char usual[] = "05 8d 09 20 a1 01"                            /* a scale */
                            "09 32 a1 02 85 03"                            /* its data report, 3 */
                            "09 70 a1 02 19 71 29 78 15 01 25 08"          /* the eight states */
                            "75 08 95 01 81 00 c0"                         /* in a byte */
                            "09 50 a1 02 19 51 29 5c 15 01 25 0c"          /* all twelve units */
                            "75 08 95 01 81 00 c0"                         /* in a byte */
                            "15 81 25 7f 09 41 75 08 95 01 81 02"          /* exponent */
                            "15 00 27 ff ff 00 00 09 40 75 10 95 01 81 02" /* weight */
                            "c0 c0";
static const char own[] = "05 8d 09 20 a1 01"                               /* a scale */
                          "09 35 a1 02 85 02"                               /* report 2 */
                          "15 00 25 7f 09 60 75 08 95 01 81 02 c0"          /* how often it was calibrated */
                          "09 34 a1 02 85 09"                               /* the most it bears, no input */
                          "15 81 25 7f 09 41 75 08 95 01 b1 02"             /* exponent */
                          "15 00 27 ff ff 00 00 09 40 75 10 95 01 b1 02 c0" /* weight */
                          "09 32 a1 02"                                     /* its data report, 9 */
                          "15 00 27 ff ff 00 00 09 40 75 10 95 01 81 02"    /* weight */
                          "09 70 a1 02 19 71 29 78 15 01 25 08"             /* the eight states */
                          "75 04 95 01 81 00 c0"                            /* in half a byte */
                          "09 50 a1 02 09 5c 09 5b 09 54 09 53 09 52"       /* lb oz carat kg g */
                          "15 01 25 05 75 04 95 01 81 00 c0"                /* in half a byte */
                          "75 08 95 01 81 01"                               /* a byte that means nothing */
                          "15 81 25 7f 09 41 75 08 95 01 81 02"             /* exponent */
                          "c0 c0";

void hid_descriptor(bool own_order, char hex[HID_HEX])
{
    _Static_assert(sizeof own <= HID_HEX && sizeof usual <= HID_HEX, "a descriptor has room");
    snprintf(hex, HID_HEX, "%s", own_order ? own : usual);
}

/* The number that stands for a unit in `own`. */
static unsigned own_unit(enum hid_unit unit)
{
    static const unsigned numbers[] = {[HID_LB] = 1, [HID_OZ] = 2, [HID_CARAT] = 3, [HID_KG] = 4, [HID_G] = 5};
    return (size_t)unit < sizeof numbers / sizeof *numbers ? numbers[unit] : 0;
}

static void write_hex(const uint8_t bytes[6], char hex[HID_HEX])
{
    for (size_t i = 0; i < 6; i++)
        snprintf(hex + 2 * i, 3, "%02x", bytes[i]);
}

void hid_report_write(const struct hid_report *report, bool own_order, char hex[HID_HEX])
{
    uint8_t low = (uint8_t)(report->weight & 0xff), high = (uint8_t)(report->weight >> 8 & 0xff);
    uint8_t exponent = (uint8_t)(report->exponent & 0xff), state = (uint8_t)report->state;
    uint8_t both = (uint8_t)(state | own_unit(report->unit) << 4);
    if (own_order)
        write_hex((const uint8_t[]){9, low, high, both, 0xaa, exponent}, hex);
    else
        write_hex((const uint8_t[]){3, state, (uint8_t)report->unit, exponent, low, high}, hex);
}
