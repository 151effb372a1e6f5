/* hid.h - where a USB scale puts the fields of its report, read from its report descriptor.
 *
 * The order of the fields is the maker's choice; the usual one is only custom. From the descriptor's items this finds
 * the input report that holds the weight (usage page 0x8D, USB-IF HID Point of Sale usage tables), and turns such a
 * report into the six bytes that decode/hid.c reads. Errors  A descriptor that names no weight is refused. Nothing
 * outside the bytes given is touched.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { HID_CODES = 32, HID_CANON = 6 };

/* Where in the report a number lies, and what its values stand for. */
struct hid_field {
    uint32_t bit;  /* from the start of the report's data, report id not counted */
    uint32_t bits; /* 0: the report has no such field */
    int32_t least; /* the number that stands for codes[0] */
    size_t count;
    uint8_t codes[HID_CODES]; /* usages of an array, in order */
};

struct hid_layout {
    bool numbered; /* reports begin with their id */
    uint8_t report;
    struct hid_field status, unit, exponent, weight;
};

/* False: no scale. */
bool hid_layout_read(const uint8_t *descriptor, size_t len, struct hid_layout *out);
/* One input report to the usual order. False: another report, or a field lies outside it or does not fit. */
bool hid_layout_apply(const struct hid_layout *layout, const uint8_t *report, size_t len, uint8_t out[HID_CANON]);
