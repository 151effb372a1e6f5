/* The reader of USB report descriptors, and reports through what it found. The first byte is the report's length. */
#include "drivers/decode/hid.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct hid_layout layout;
    uint8_t frame[HID_CANON];
    size_t report = size ? data[0] % 16u : 0;
    if (size < 1 + report || !hid_layout_read(data + 1 + report, size - 1 - report, &layout))
        return 0;
    hid_layout_apply(&layout, data + 1, report, frame);
    return 0;
}
