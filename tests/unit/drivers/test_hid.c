/* Report descriptors in the usual order and in others, and reports through them to readings. */
#include "tests/unit/drivers/rows.h"

#include "drivers/decode/hid.h"

/* Built from the items of the HID class definition 1.11, 6.2.2; no captured device. */
#define STATES                                                                                                         \
    0x09, 0x70, 0xa1, 0x02,     /* the states, a collection */                                                         \
        0x19, 0x71, 0x29, 0x78, /* usages 0x71 to 0x78 */                                                              \
        0x15, 0x01, 0x25, 0x08, /* numbered 1 to 8 */                                                                  \
        0x75, 0x08, 0x95, 0x01, 0x81, 0x00, 0xc0
#define UNITS                                                                                                          \
    0x09, 0x50, 0xa1, 0x02, 0x19, 0x51, 0x29, 0x5c, 0x15, 0x01, 0x25, 0x0c, 0x75, 0x08, 0x95, 0x01, 0x81, 0x00, 0xc0
#define EXPONENT 0x09, 0x41, 0x15, 0x81, 0x25, 0x7f, 0x75, 0x08, 0x95, 0x01, 0x81, 0x02
#define WEIGHT   0x09, 0x40, 0x15, 0x00, 0x27, 0xff, 0xff, 0x00, 0x00, 0x75, 0x10, 0x95, 0x01, 0x81, 0x02
#define BEGIN    0x05, 0x8d, 0x09, 0x20, 0xa1, 0x01
#define END      0xc0

static const uint8_t usual[] = {BEGIN, 0x85, 0x03, STATES, UNITS, EXPONENT, WEIGHT, END};
static const uint8_t turned[] = {BEGIN,    0x85,  0x07,   WEIGHT, 0x75, 0x08, 0x95, 0x02, 0x81, 0x01 /* padding */,
                                 EXPONENT, UNITS, STATES, END};
static const uint8_t unnumbered[] = {BEGIN, STATES, UNITS, EXPONENT, WEIGHT, END};
/* Only gram and pound, in an order of its own: 1 is pound, 2 gram. */
static const uint8_t own_units[] = {BEGIN, 0x85, 0x03, STATES, 0x09, 0x50,     0xa1,   0x02, 0x09,
                                    0x5c,  0x09, 0x52, 0x15,   0x01, 0x25,     0x02,   0x75, 0x08,
                                    0x95,  0x01, 0x81, 0x00,   0xc0, EXPONENT, WEIGHT, END};
/* 64 bits of the maker's own stand in front: they were not counted, and each field was read 8 bytes too early. */
static const uint8_t wide[] = {BEGIN, 0x85, 0x03, 0x09,   0x01,  0x75,     0x40,   0x95,
                               0x01,  0x81, 0x02, STATES, UNITS, EXPONENT, WEIGHT, END};
/* As wide, but without an end that a report could have. */
static const uint8_t endless[] = {BEGIN, 0x09, 0x01,   0x75,  0x08,     0x96,   0xff, 0xff,
                                  0x81,  0x02, STATES, UNITS, EXPONENT, WEIGHT, END};
/* Each state is a bit of its own: an array's number would be something else. */
static const uint8_t state_bits[] = {BEGIN, 0x09, 0x70, 0xa1, 0x02, 0x19, 0x71,  0x29,     0x78,   0x75,
                                     0x01,  0x95, 0x08, 0x81, 0x02, 0xc0, UNITS, EXPONENT, WEIGHT, END};
/* The exponent in four bits with a sign, as compact ones write it. */
static const uint8_t nibble[] = {BEGIN, 0x85, 0x03, STATES, UNITS, 0x09, 0x41, 0x15, 0xf8, 0x25, 0x07,   0x75, 0x04,
                                 0x95,  0x01, 0x81, 0x02,   0x75,  0x04, 0x95, 0x01, 0x81, 0x01, WEIGHT, END};
static const uint8_t no_exponent[] = {BEGIN, 0x85, 0x03, STATES, UNITS, WEIGHT, END};
static const uint8_t no_units[] = {BEGIN, 0x85, 0x03, STATES, EXPONENT, WEIGHT, END};
static const uint8_t no_states[] = {BEGIN, 0x85, 0x03, UNITS, EXPONENT, WEIGHT, END};
/* The states' collection names none of them: the number is the state itself. */
static const uint8_t bare_states[] = {BEGIN, 0x85, 0x03, 0x09, 0x70, 0xa1, 0x02, 0x15,  0x01,     0x25,   0x08,
                                      0x75,  0x08, 0x95, 0x01, 0x81, 0x00, 0xc0, UNITS, EXPONENT, WEIGHT, END};
/* A weight of 32 bits. */
static const uint8_t long_weight[] = {BEGIN, 0x85, 0x03, STATES, UNITS, EXPONENT, 0x09, 0x40,
                                      0x75,  0x20, 0x95, 0x01,   0x81,  0x02,     END};
/* More collections in one another than are remembered, and more of them closed than opened. */
#define FOUR_OPEN 0xa1, 0x02, 0xa1, 0x02, 0xa1, 0x02, 0xa1, 0x02
#define FOUR_SHUT 0xc0, 0xc0, 0xc0, 0xc0
static const uint8_t deep[] = {BEGIN,     FOUR_OPEN, FOUR_OPEN, FOUR_OPEN, FOUR_OPEN, FOUR_OPEN, 0x85,
                               0x03,      STATES,    UNITS,     EXPONENT,  WEIGHT,    FOUR_SHUT, FOUR_SHUT,
                               FOUR_SHUT, FOUR_SHUT, FOUR_SHUT, END,       END};
static const uint8_t mouse[] = {0x05, 0x01, 0x09, 0x02, 0xa1, 0x01, 0x09, 0x30, 0x09,
                                0x31, 0x75, 0x08, 0x95, 0x02, 0x81, 0x06, 0xc0};

static const struct {
    const char *name;
    const uint8_t *descriptor;
    size_t descriptor_len;
    uint8_t report[16];
    size_t len;
    const char *digits; /* NULL: no reading */
    enum scale_unit unit;
} reports[] = {
    {"usual order", usual, sizeof usual, {3, 4, 2, 0, 0x90, 0}, 6, "144", SCALE_UNIT_G},
    {"usual, with an exponent", usual, sizeof usual, {3, 4, 11, 0xff, 0x34, 0x19}, 6, "645.2", SCALE_UNIT_OZ},
    {"another report", usual, sizeof usual, {4, 4, 2, 0, 0x90, 0}, 6, NULL, 0},
    {"a report too short", usual, sizeof usual, {3, 4, 2, 0, 0x90}, 5, NULL, 0},
    {"a state that is none", usual, sizeof usual, {3, 9, 2, 0, 0x90, 0}, 6, NULL, 0},
    {"turned order", turned, sizeof turned, {7, 0x39, 0x30, 0, 0, 0xfd, 3, 4}, 8, "12.345", SCALE_UNIT_KG},
    {"no report id", unnumbered, sizeof unnumbered, {4, 2, 0xff, 0x90, 0}, 5, "14.4", SCALE_UNIT_G},
    {"units of its own order", own_units, sizeof own_units, {3, 4, 2, 0, 5, 0}, 6, "5", SCALE_UNIT_G},
    {"a wide field in front",
     wide,
     sizeof wide,
     {3, 4, 2, 0, 9, 9, 4, 2, 0, 4, 2, 0xff, 0x90, 0},
     14,
     "14.4",
     SCALE_UNIT_G},
    {"units of its own order", own_units, sizeof own_units, {3, 4, 1, 0, 5, 0}, 6, "5", SCALE_UNIT_LB},
    {"a unit beyond its order", own_units, sizeof own_units, {3, 4, 3, 0, 5, 0}, 6, NULL, 0},
    {"a state below the first", usual, sizeof usual, {3, 0, 2, 0, 0x90, 0}, 6, NULL, 0},
    {"an empty report", usual, sizeof usual, {0}, 0, NULL, 0},
    {"the id alone", usual, sizeof usual, {3}, 1, NULL, 0},
    {"cut behind the state", usual, sizeof usual, {3, 4}, 2, NULL, 0},
    {"cut within the weight", turned, sizeof turned, {7, 0x39, 0x30, 0, 0, 0xfd}, 6, NULL, 0},
    {"an exponent of four bits", nibble, sizeof nibble, {3, 4, 2, 0x0f, 0x90, 0}, 6, "14.4", SCALE_UNIT_G},
    {"and one above 0", nibble, sizeof nibble, {3, 4, 2, 0x02, 0x90, 0}, 6, "14400", SCALE_UNIT_G},
    {"no exponent", no_exponent, sizeof no_exponent, {3, 4, 2, 0x90, 0}, 5, "144", SCALE_UNIT_G},
    {"states without a list", bare_states, sizeof bare_states, {3, 4, 2, 0, 0x90, 0}, 6, "144", SCALE_UNIT_G},
    {"a state of another table", bare_states, sizeof bare_states, {3, 40, 2, 0, 0x90, 0}, 6, NULL, 0},
    {"a long weight", long_weight, sizeof long_weight, {3, 4, 2, 0, 0x90, 0, 0, 0}, 8, "144", SCALE_UNIT_G},
    {"too long a weight", long_weight, sizeof long_weight, {3, 4, 2, 0, 0x90, 0, 1, 0}, 8, NULL, 0},
    {"many collections", deep, sizeof deep, {3, 4, 2, 0, 0x90, 0}, 6, "144", SCALE_UNIT_G},
};

static void reports_are_read_by_their_descriptor(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof reports / sizeof *reports; i++) {
        struct hid_layout layout;
        struct scale_reading reading = {0};
        uint8_t frame[HID_CANON];
        if (!hid_layout_read(reports[i].descriptor, reports[i].descriptor_len, &layout))
            fail_msg("%s: no scale", reports[i].name);
        bool read = hid_layout_apply(&layout, reports[i].report, reports[i].len, frame) &&
                    scale_family_find("hid")->decode(frame, sizeof frame, &reading);
        if (read != (reports[i].digits != NULL) ||
            (read && (strcmp(reading.digits, reports[i].digits) != 0 || reading.unit != reports[i].unit)))
            fail_msg("%s: got `%s` %s", reports[i].name, reading.digits, scale_unit_name(reading.unit));
    }
}

static void what_is_no_scale_is_refused(void **state)
{
    (void)state;
    struct hid_layout layout;
    assert_false(hid_layout_read(mouse, sizeof mouse, &layout));
    assert_false(hid_layout_read(NULL, 0, &layout));
    assert_false(hid_layout_read(no_units, sizeof no_units, &layout));
    assert_false(hid_layout_read(no_states, sizeof no_states, &layout));
    assert_false(hid_layout_read(endless, sizeof endless, &layout));
    assert_false(hid_layout_read(state_bits, sizeof state_bits, &layout));
    for (size_t cut = 0; cut + sizeof(uint8_t[]){WEIGHT} < sizeof usual; cut++)
        assert_false(hid_layout_read(usual, cut, &layout)); /* the weight is its last field */
}

static void a_descriptor_full_of_rubbish_harms_nothing(void **state)
{
    (void)state;
    uint8_t rubbish[512];
    uint8_t frame[HID_CANON];
    uint32_t seed = 1;
    struct hid_layout layout;
    for (int round = 0; round < 2000; round++) {
        for (size_t i = 0; i < sizeof rubbish; i++) {
            seed = seed * 1664525u + 1013904223u;
            rubbish[i] = (uint8_t)(seed >> 24);
        }
        memcpy(rubbish + 200, usual, sizeof usual);
        if (hid_layout_read(rubbish, sizeof rubbish, &layout))
            hid_layout_apply(&layout, rubbish, 6, frame);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reports_are_read_by_their_descriptor),
        cmocka_unit_test(what_is_no_scale_is_refused),
        cmocka_unit_test(a_descriptor_full_of_rubbish_harms_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
