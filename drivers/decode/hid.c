/* hid.c - hid: a USB scale's report (USB-IF HID Point of Sale usage tables, usage page 0x8D).
 *
 *   report id 3, status, unit, signed exponent of ten, 16-bit weight, low byte first
 *
 * This order is custom and not guaranteed, so the device's report descriptor is walked item by item, and what it sends
 * is put into this order before it is decoded. It knows nothing of the device: hidraw.c reads it. */
#include "drivers/decode/hid.h"

#include "drivers/decode/text.h"

#include <string.h>

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

/* Never sought: a hid: port is of this family before a byte has come. A report has one length, so nothing ends it. */
const struct scale_family scale_hid = {
    .name = "hid", .frame = hid_frame, .decode = hid_decode, .max_frame = REPORT, .never_sought = true};

/* Usages of page 0x8D (from memory of the USB-IF HID Point of Sale usage tables: collections 0x50 and 0x70 hold the
 * units 0x51 on and the states 0x71 on; 0x40 is the weight, 0x41 its exponent). */
enum {
    PAGE_SCALE = 0x8d,
    WEIGHT = 0x40,
    EXPONENT = 0x41,
    UNITS = 0x50,
    UNIT_LAST = 0x5c,
    STATES = 0x70,
    STATE_LAST = 0x78
};

/* Items of a descriptor (USB device class definition for HID 1.11, 6.2.2): type and tag in one byte, size bits off. */
enum {
    ITEM_INPUT = 0x80,
    ITEM_COLLECTION = 0xa0,
    ITEM_END_COLLECTION = 0xc0,
    ITEM_PAGE = 0x04,
    ITEM_LOGICAL_LEAST = 0x14,
    ITEM_REPORT_SIZE = 0x74,
    ITEM_REPORT_ID = 0x84,
    ITEM_REPORT_COUNT = 0x94,
    ITEM_USAGE = 0x08,
    ITEM_USAGE_LEAST = 0x18,
    ITEM_USAGE_MOST = 0x28
};

/* Flags of an input (6.2.2.5). */
enum { INPUT_CONSTANT = 1, INPUT_VARIABLE = 2 };

enum { DEPTH = 16, REPORTS = 256, REPORT_BITS_MOST = 4096 };

/* What the walk remembers: global items (page, size, count, id, least) hold until they change, local ones (usages)
 * until the next main item. Fields are kept by report id, as a device may interleave its reports. */
struct walk {
    struct hid_layout *out;
    uint32_t page, size, count, id;
    int32_t least;
    uint32_t usages[HID_CODES], usage_count;
    uint32_t usage_least;
    uint32_t collection[DEPTH], depth;
    uint32_t bit[REPORTS]; /* how far each report is laid out */
    bool found[REPORTS];
    struct hid_field status[REPORTS], unit[REPORTS], exponent[REPORTS], weight[REPORTS];
};

/* More fields than usages: the last one holds for the rest (HID 1.11, 6.2.2.8). */
static uint32_t usage_of(const struct walk *w, uint32_t i)
{
    if (w->usage_count == 0)
        return 0;
    return w->usages[i < w->usage_count ? i : w->usage_count - 1];
}

/* The local usages are those of an array whose collection is `group`, or lie within its range. */
static bool belongs(const struct walk *w, uint32_t group, uint32_t last)
{
    uint32_t first = usage_of(w, 0);
    if (w->page == PAGE_SCALE && first > group && first <= last)
        return true;
    return w->usage_count == 0 && w->depth > 0 && w->collection[w->depth - 1] == group;
}

/* An array of codes: its number is an index into the usages, from `least` on. */
static struct hid_field field_at(const struct walk *w, uint32_t bit, uint32_t group)
{
    struct hid_field f = {.bit = bit, .bits = w->size, .least = w->least};
    for (uint32_t i = 0; i < w->usage_count && i < HID_CODES; i++)
        f.codes[f.count++] = (uint8_t)(w->usages[i] - group);
    return f;
}

/* One input item: lays out its bits, and notes the fields that we look for. */
static void input(struct walk *w, uint32_t flags)
{
    bool constant = flags & INPUT_CONSTANT;
    /* A bit for each state or unit would have to be read another way than an array's number. */
    bool is_bitmap = flags & INPUT_VARIABLE && w->count > 1;
    uint32_t *bit = &w->bit[w->id];
    uint64_t end = *bit + (uint64_t)w->size * w->count;
    if (w->size == 0)
        return;
    if (end > REPORT_BITS_MOST) { /* what follows in this report is out of reach, not at a place of its own */
        *bit = REPORT_BITS_MOST;
        return;
    }
    if (!constant && !is_bitmap && belongs(w, STATES, STATE_LAST))
        w->status[w->id] = field_at(w, *bit, STATES);
    else if (!constant && !is_bitmap && belongs(w, UNITS, UNIT_LAST))
        w->unit[w->id] = field_at(w, *bit, UNITS);
    for (uint32_t i = 0; i < w->count && !constant && w->page == PAGE_SCALE; i++) {
        struct hid_field f = {.bit = *bit + i * w->size, .bits = w->size};
        if (usage_of(w, i) == WEIGHT) {
            w->weight[w->id] = f;
            w->found[w->id] = true;
        } else if (usage_of(w, i) == EXPONENT) {
            w->exponent[w->id] = f;
        }
    }
    *bit = (uint32_t)end;
}

/* A range is the same as its usages one by one; beyond the room they are dropped, and the field with them. */
static void add_usages(struct walk *w, uint32_t from, uint32_t to)
{
    for (uint32_t u = from; u <= to && w->usage_count < HID_CODES; u++)
        w->usages[w->usage_count++] = u;
}

/* One item of the descriptor. `value` is its data without sign, `number` with it; what we need not know is skipped. */
static void item(struct walk *w, uint8_t tag, uint32_t value, int32_t number)
{
    switch (tag) {
    case ITEM_PAGE:
        w->page = value;
        break;
    case ITEM_LOGICAL_LEAST:
        w->least = number;
        break;
    case ITEM_REPORT_SIZE:
        w->size = value;
        break;
    case ITEM_REPORT_COUNT:
        w->count = value;
        break;
    case ITEM_REPORT_ID:
        w->id = value & 0xff;
        w->out->numbered = true;
        break;
    case ITEM_USAGE:
        add_usages(w, value & 0xffff, value & 0xffff);
        break;
    case ITEM_USAGE_LEAST:
        w->usage_least = value & 0xffff;
        break;
    case ITEM_USAGE_MOST:
        add_usages(w, w->usage_least, value & 0xffff);
        break;
    case ITEM_COLLECTION:
        if (w->depth < DEPTH)
            w->collection[w->depth++] = usage_of(w, 0);
        break;
    case ITEM_END_COLLECTION:
        w->depth -= w->depth > 0;
        break;
    case ITEM_INPUT:
        input(w, value);
        break;
    default:
        break;
    }
    bool is_main = (tag & 0x0c) == 0;
    if (is_main)
        w->usage_count = 0; /* local items end with each main one */
}

/* The first report that has all three; a scale may have others, of its zero or its limits. */
static bool choose(struct walk *w)
{
    for (uint32_t id = 0; id < REPORTS; id++) {
        if (!w->found[id] || w->status[id].bits == 0 || w->unit[id].bits == 0)
            continue;
        w->out->report = (uint8_t)id;
        w->out->status = w->status[id];
        w->out->unit = w->unit[id];
        w->out->exponent = w->exponent[id];
        w->out->weight = w->weight[id];
        return true;
    }
    return false;
}

/* A descriptor cut short is read as far as it goes: what was found by then decides. */
bool hid_layout_read(const uint8_t *descriptor, size_t len, struct hid_layout *out)
{
    static const size_t sizes[] = {0, 1, 2, 4};
    struct walk w = {.out = out};
    memset(out, 0, sizeof *out);
    for (size_t at = 0; at < len;) {
        uint8_t head = descriptor[at++];
        if (head == 0xfe) { /* a long item: its size, its tag, its data */
            at += at < len ? 2u + descriptor[at] : 1u;
            continue;
        }
        size_t size = sizes[head & 3];
        if (len - at < size)
            break;
        uint32_t value = 0;
        for (size_t i = 0; i < size; i++)
            value |= (uint32_t)descriptor[at + i] << (8 * i);
        int32_t number = size == 1 ? (int8_t)value : size == 2 ? (int16_t)value : (int32_t)value;
        at += size;
        item(&w, head & 0xfc, value, number);
    }
    return choose(&w);
}

/* Little-endian bits. False: outside the report. */
static bool bits_at(const uint8_t *data, size_t len, const struct hid_field *f, uint32_t *out)
{
    if (f->bits == 0 || f->bits > 32 || ((size_t)f->bit + f->bits + 7) / 8 > len)
        return false;
    *out = 0;
    for (uint32_t i = 0; i < f->bits; i++)
        *out |= (uint32_t)(data[(f->bit + i) / 8] >> ((f->bit + i) % 8) & 1) << i;
    return true;
}

/* The usage that a number of an array stands for. */
static bool code_at(const uint8_t *data, size_t len, const struct hid_field *f, uint8_t *out)
{
    uint32_t value;
    if (!bits_at(data, len, f, &value))
        return false;
    if (f->count <= 1) { /* no list: the number is the code itself */
        *out = (uint8_t)value;
        return value < HID_CODES;
    }
    int64_t index = (int64_t)value - f->least;
    if (index < 0 || (uint64_t)index >= f->count)
        return false;
    *out = f->codes[index];
    return true;
}

/* Everything is looked up anew for each report, and checked against its length: a device may lie in each. */
bool hid_layout_apply(const struct hid_layout *layout, const uint8_t *report, size_t len, uint8_t out[HID_CANON])
{
    uint32_t weight, exponent = 0;
    if (layout->numbered) {
        if (len == 0 || report[0] != layout->report)
            return false;
        report++;
        len--;
    }
    out[0] = 3;
    if (!code_at(report, len, &layout->status, &out[1]) || !code_at(report, len, &layout->unit, &out[2]) ||
        !bits_at(report, len, &layout->weight, &weight) || weight > UINT16_MAX)
        return false;
    if (layout->exponent.bits && !bits_at(report, len, &layout->exponent, &exponent))
        return false;
    if (layout->exponent.bits == 4 && exponent & 8)
        exponent |= 0xf0; /* a nibble with a sign */
    out[3] = (uint8_t)exponent;
    out[4] = (uint8_t)(weight & 0xff);
    out[5] = (uint8_t)(weight >> 8);
    return true;
}
