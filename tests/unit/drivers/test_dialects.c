/* Frames that the printed layouts imply beside those printed: other widths, units, marks, and what must be refused. */
#include "tests/unit/drivers/rows.h"

/* reading: `value unit stable kind status` as in frames.tsv; NULL: refused. Built from the layouts of the frames page.
 */
static const struct {
    const char *family, *frame, *reading;
} frames[] = {
    {"sics", "S D     100.00 g\r\n", "100.00 g 0 net ok"},
    {"sics", "S S     100.00 g\n", "100.00 g 1 net ok"},
    {"sics", "S S    0.12345 lb\r\n", "0.12345 lb 1 net ok"},
    {"sics", "S S         12 PCS\r\n", "12 pcs 1 net ok"},
    {"sics", "S I\r\n", "- - 0 unknown error"},
    {"sics", "S -\r\n", "- - 0 unknown under"},
    {"sics", "EL\r\n", "- - 0 unknown error"},
    {"sics", "SI-\r\n", "- - 0 unknown under"},
    {"sics", "S    -183.69 g\r\n", "-183.69 g 1 unknown ok"},
    {"sics", "SI\r\n", NULL},
    {"sics", "S\r\n", NULL},
    {"sics", "S S     100.00\r\n", NULL},
    {"sics", "S S     100.00 ct\r\n", NULL},
    {"sics", "S S     1 0.00 g\r\n", NULL},
    {"sics", "EX\r\n", NULL},
    {"sics", "ZA\r\n", NULL},
    {"sics", "I4 A \"0123456789\"\r\n", NULL},
    {"hdr2", "ST,+00123.45  g\r", NULL},
    {"hdr2", "QT,+00000012 PC\r\n", "12 pcs 1 unknown ok"},
    {"hdr2", "ST,+00123.45, g\r\n", "123.45 g 1 unknown ok"},
    {"hdr2", "ST+00123.45 g\r\n", "123.45 g 1 unknown ok"},
    {"hdr2", "ST;-00123,45;kg\r\n", "-123.45 kg 1 unknown ok"},
    {"hdr2", "OL,+9999999E+19\r\n", "- - 0 unknown over"},
    {"hdr2", "OL,        \r\n", "- - 0 unknown over"},
    {"hdr2", "ST,+00001.2ST,+00123.45  g\r\n", "123.45 g 1 unknown ok"},
    {"hdr2", "ST,+00123.45\r\n", NULL},
    {"hdr2", "ST,+00123.45  %\r\n", NULL},
    {"hdr2", "XX,+00123.45  g\r\n", NULL},
    {"hdr2", "OL,oh\r\n", NULL},
    {"hdr2g", "ST,TR,+00012.3  g\r\n", "12.3 g 1 tare ok"},
    {"hdr2g", "OL,NT,-       kg\r\n", "- kg 0 net under"},
    {"hdr2g", "ST;NT;+0012,3; g\r\n", "12.3 g 1 net ok"},
    {"hdr2g", "ST,NT,+  0.168   g\r\n", "0.168 g 1 net ok"},
    {"hdr2g", "ST,XX,+00012.3  g\r\n", NULL},
    {"hdr2g22", "ST,GS,0\xff,-00002.4 kg\r\n", "-2.4 kg 1 gross ok"},
    {"hdr2g22", "OL,GS,0\x80,         kg\r\n", "- kg 0 gross over"},
    {"hdr2g22", "ST,GS,0A,-00002.4 kg\r\n", NULL},
    {"hdr2g22", "ST,GS,0\xff,-00002.4  kg\r\n", NULL},
    {"fix16", "+   123.56 g  \r\n", "123.56 g 1 unknown ok"},
    {"fix16", "+ 123.5[6] g  \r\n", "123.56 g 1 unknown ok"},
    {"fix16", "-   123.5[6] kg \r\n", "-123.56 kg 1 unknown ok"},
    {"fix16", "+   1255.7    \r\n", "1255.7 - 0 unknown ok"},
    {"fix16", "    1255.7 g  \r\n", "1255.7 g 1 unknown ok"},
    {"fix16", "+  255.7 g  \r\n", NULL},
    {"fix16", "+   1255.7 ct \r\n", NULL},
    {"fix16", "+  1[2]55[.7 g\r\n", NULL},
    {"fix16", "      Hello   \r\n", NULL},
    {"fix22", "N     +   1255.7 mg \r\n", "1255.7 mg 1 net ok"},
    {"fix22", "G     + 1255.[7] g  \r\n", "1255.7 g 1 gross ok"},
    {"fix22", "Stat        High    \r\n", "- - 0 unknown over"},
    {"fix22", "Stat        Low     \r\n", "- - 0 unknown under"},
    {"fix22", "X     +   1255.7 g  \r\n", NULL},
    {"fix22", "Stat  +   1255.7 g  \r\n", NULL},
};

static void want(const char *text, struct row *row)
{
    char value[SCALE_DIGITS], unit[8], stable, kind[16], status[8];
    assert_int_equal(sscanf(text, "%23s %7s %c %15s %7s", value, unit, &stable, kind, status), 5);
    row_value(&row->want[0], value, unit, stable);
    row_kind_status(&row->want[0], kind, status);
    row->wanted = 1;
}

static void layouts_are_read_beyond_their_samples(void **state)
{
    (void)state;
    static struct framer framer;
    for (size_t i = 0; i < sizeof frames / sizeof *frames; i++) {
        struct row row = {.line = (int)i};
        struct seen seen = {0};
        snprintf(row.family, sizeof row.family, "%s", frames[i].family);
        if (frames[i].reading)
            want(frames[i].reading, &row);
        framer_init(&framer, scale_family_find(frames[i].family), SCALE_UNIT_G, false);
        framer_push(&framer, (const uint8_t *)frames[i].frame, strlen(frames[i].frame), seen_add, &seen);
        framer_finish(&framer, seen_add, &seen);
        if (seen.count != row.wanted)
            fail_msg("%s `%s`: %zu readings", frames[i].family, frames[i].frame, seen.count);
        row_check(&row, &seen, 1, "built frame", i);
    }
}

/* fix16 and its kin drop the unit while the weight moves: the last one named holds, not the configured one. */
static void a_blank_unit_is_the_last_one_named(void **state)
{
    (void)state;
    static struct framer framer;
    struct seen seen = {0};
    const char *text = "+   1255.7    \r\n+  1.25571 kg \r\n+  1.25672    \r\n";
    framer_init(&framer, scale_family_find("fix16"), SCALE_UNIT_G, false);
    framer_push(&framer, (const uint8_t *)text, strlen(text), seen_add, &seen);
    assert_int_equal(seen.count, 3);
    assert_true(seen.reading[0].weight_ug == 1255700000);
    assert_true(seen.reading[1].weight_ug == 1255710000);
    assert_int_equal(seen.reading[2].unit, SCALE_UNIT_NONE);
    assert_true(seen.reading[2].weight_ug == 1256720000);
}

/* A rude line: it never ends. Nothing grows, nothing is believed, and the next whole frame is. */
static void noise_without_end_is_dropped(void **state)
{
    (void)state;
    static struct framer framer;
    struct seen seen = {0};
    const char *frame = "\r\nS S     100.00 g\r\n";
    framer_init(&framer, scale_family_find("sics"), SCALE_UNIT_G, false);
    for (int i = 0; i < 100000; i++)
        framer_push(&framer, (const uint8_t *)"S 12.3 g", 8, seen_add, &seen);
    assert_int_equal(seen.count, 0);
    assert_true(framer.len <= FRAMER_ROOM);
    framer_push(&framer, (const uint8_t *)frame, strlen(frame), seen_add, &seen);
    assert_int_equal(seen.count, 1);
    assert_true(framer.skipped + framer.len + 18 >= 800000);
}

/* A NUL within a frame may stand where a digit was: filler is only what stands between frames. */
static void a_nul_within_a_frame_is_damage(void **state)
{
    (void)state;
    static struct framer framer;
    struct seen seen = {0};
    static const uint8_t bytes[] = "ST,+001\x00"
                                   "3.45  g\r\n";
    framer_init(&framer, scale_family_find("hdr2"), SCALE_UNIT_G, false);
    framer_push(&framer, bytes, sizeof bytes - 1, seen_add, &seen);
    assert_int_equal(seen.count, 0);
    assert_true(framer.refused == 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(layouts_are_read_beyond_their_samples),
        cmocka_unit_test(a_blank_unit_is_the_last_one_named),
        cmocka_unit_test(a_nul_within_a_frame_is_damage),
        cmocka_unit_test(noise_without_end_is_dropped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
