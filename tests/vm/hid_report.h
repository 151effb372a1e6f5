/* hid_report.h - what a USB scale of the HID class says of itself and of a weight, in one of two orders of its fields.
 *
 * The usual order is the custom one: report 3 with state, unit, exponent, weight. The scale of the station has an order
 * of its own, as the tables allow: report 9 with weight, then state and unit in half a byte each, a byte that means
 * nothing, and the exponent; its units are counted in its own order too, and it has a report of another kind. Both are
 * written as hexadecimal digits, with or without spaces, as usb_scale.c in the guest takes them.
 * Source of all usages: USB-IF HID Point of Sale usage tables, usage page 0x8D (from memory).
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

enum hid_state { HID_FAULT = 1, HID_ZERO, HID_MOTION, HID_STABLE, HID_UNDER, HID_OVER, HID_CALIBRATE, HID_REZERO };
enum hid_unit { HID_MG = 1, HID_G, HID_KG, HID_CARAT, HID_OZ = 11, HID_LB };

struct hid_report {
    enum hid_state state;
    enum hid_unit unit;
    int exponent;    /* of ten, -128 to 127 */
    unsigned weight; /* 0 to 65535 */
};

enum { HID_HEX = 800 };

/* The report descriptor. */
void hid_descriptor(bool own_order, char hex[HID_HEX]);
/* One input report. */
void hid_report_write(const struct hid_report *report, bool own_order, char hex[HID_HEX]);
