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
    /* A decimal comma is a setting of such scales (the `;` dialect of the frames page; elsewhere common practice). */
    {"sics", "S S     100,00 g\r\n", "100.00 g 1 net ok"},
    {"sics", "S S     1,000,5 g\r\n", NULL},
    {"sics", "S S     123456789012345678901234 g\r\n", NULL}, /* more than a reading holds */
    {"sics", "S S     12345678901234567890123456 g\r\n", NULL},
    {"sics", "S S     1.000,5 g\r\n", NULL},
    {"sics", "S S     100, g\r\n", NULL},
    {"sics-b", "SI ?       18,5 kg \r\n", "18.5 kg 0 unknown ok"},
    {"hdr2", "ST,+00123,45  g\r\n", "123.45 g 1 unknown ok"},
    {"hdr2", "ST,+00123,45,kg\r\n", "123.45 kg 1 unknown ok"},
    {"hdr2", "ST;+00123.45;  g\r\n", NULL},
    {"hdr2g", "ST,NT,+  0,168   g\n\r", "0.168 g 1 net ok"},
    {"fix16", "+   1255,7 g  \r\n", "1255.7 g 1 unknown ok"},
    {"fix16", "+ 123,5[6] g  \r\n", "123.56 g 1 unknown ok"},
    {"fix16n", "+   20,758g  \r\n", "20.758 g ? unknown ok"},
    {"plain", "     192,21 g\r\n", "192.21 g 1 unknown ok"},
    {"plain-u", "     -29,186 g  \r\n", "-29.186 g 1 unknown ok"},
    {"plain-14", "-0000,50 G U\r\n", "-0.50 g 0 unknown ok"},
    {"nu", "+00123,45\r\n", "123.45 - ? unknown ok"},
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
    {"fix22", "N           High    \r\n", "- - 0 net over"}, /* the id stays where the weight is gone */
    {"fix22", "G        Err 054    \r\n", "- - 0 gross error"},
    {"fix22", "X     +   1255.7 g  \r\n", NULL},
    {"fix22", "Stat  +   1255.7 g  \r\n", NULL},
    {"fix16n", "-   20.758kg \r\n", "-20.758 kg ? unknown ok"},
    {"fix16n", "      High   \r\n", "- - 0 unknown over"},
    {"fix16n", "    20.758g  \r\n", NULL}, /* no sign: the tail of another */
    {"sics-b", "S          18.5 kg \r\n", "18.5 kg 1 unknown ok"},
    {"sics-b", "SUI? -     18.5 lb \r\n", "-18.5 lb 0 unknown ok"},
    {"sics-b", "SI ^    99999.9 kg \r\n", "- kg 0 unknown over"},
    {"sics-b", "SI v\r\n", "- - 0 unknown under"},
    {"sics-b", "S A\r\n", NULL},
    {"sics-b", "SI ?       18.5 kg\r\n", NULL},
    {"sics-b", "SIX?       18.5 kg \r\n", NULL},
    {"stx18", "\002-8!  1234     0\r", "1.234 g 0 gross ok"},
    {"stx18", "\002/8!     5     0\r", "0.00005 g 0 gross ok"},
    {"stx18", "\002-4!  1234     0\r", "- g 1 gross over"},
    {"stx18", "\002-0!123456     0\r", "123.456 g 1 gross ok"},
    {"stx18", "\002-0$123456     0\r", NULL},  /* a unit of another kind */
    {"stx18", "\002;1! 75000   250\rR", NULL}, /* the check byte is Q */
    {"stx18", "\002-0!      \x20    0\r", NULL},
    {"stx11", "\002-1\"  1234\r", "1.234 t 1 net ok"},
    {"scp", "\n------g\r\n00\r\003", "- g 1 unknown error"},
    {"scp", "\n 12.34lb\r\n10\r\003", "12.34 lb 0 unknown ok"},
    {"scp", "\n 12.34lb\r\n80\r\003", "- lb 1 unknown error"},
    {"scp", "\n999999lb\r\n02\r\003", "- lb 1 unknown over"},
    {"scp", "\n?\r\003", "- - 0 unknown error"},
    {"scp", "\n?\r\n00\r\003", NULL},
    {"scp", "\nS01\r\003", NULL},
    {"scp", "\n?                                   \r\003", NULL},
    {"scp", "\n 12.34lb\r\n1\xffp\r\003", NULL},
    {"scp", "\n 12.34lb\r\n00\r \003", NULL},
    {"scp", "\n 12.34lb\r\n0p\r\003", NULL}, /* one more byte was promised */
    {"scp-ecr", "\n01.234KG\r\nS10\r\003", "1.234 kg 0 unknown ok"},
    {"scp-ecr", "\nS10\r\003", "- - 0 unknown ok"}, /* a status alone: moving, under */
    {"scp-ecr", "\nS01\r\003", "- - 1 unknown under"},
    {"scp-ecr", "\nS00\r\003", NULL}, /* it says nothing: the end of a frame whose front was lost */
    {"scp-ecr", "\nS0p\r\003", NULL},
    {"scp-ecr", "\nS10 \003", NULL},
    {"scp-ecr", "\nS10\r\r\003", NULL},
    {"scp-ecr", "\n?\r\003", NULL},
    {"retail", "\0021234\r", "1234 - 1 gross ok"},
    {"retail", "\002?B\r", "- - 1 unknown over"},
    {"retail", "\002?\r", NULL},
    {"retail", "\0021234X\r", NULL},
    {"plain", "      192.21 g ?\r\n", "192.21 g 0 unknown ok"},
    {"plain", "     250.4 kg    B/G\r\n", "250.4 kg 1 gross ok"},
    {"plain", "N      -   2.00 kg\r\n", "-2.00 kg ? net ok"},
    {"plain", "+99999999 kg\r\n", "- kg ? unknown over"},
    {"plain", "     192.21 g\rX", "192.21 g 1 unknown ok"}, /* CR alone ends it */
    {"plain", "     192.21 g\r", "192.21 g 1 unknown ok"},  /* at the end of a file no LF follows */
    {"plain", "     192.21 ct\r\n", NULL},
    {"plain", "192.21\r\n", NULL},
    {"plain-u", "       99999999 g  \r\n", "- g 1 unknown over"},
    {"plain-u", "      -12.3 kg \r\n", "-12.3 kg 1 unknown ok"},
    {"plain-su", "S+  186.65kg\r", "186.65 kg 1 unknown ok"},
    {"plain-su", "S+99999999g \r\n", "- g 1 unknown over"},
    {"plain-su", "S   186.65kg\r", "186.65 kg 1 unknown ok"}, /* a plus may be a blank */
    {"plain-su", "U     0.00g \r", "0.00 g 0 unknown ok"},
    {"plain-su", "S 99999999g \r", "- g 1 unknown over"},
    {"plain-su", "S  -186.65g \r", "-186.65 g 1 unknown ok"},
    {"plain-su", "S   186.65 g\r", NULL}, /* the unit apart: a line of sics' older dialect */
    {"plain-su", "S  186.65kg\r", NULL},
    {"plain-su", "X+  186.65kg\r", NULL},
    {"sics", "S   186.65kg\r\n", NULL},
    {"sics", "S   186.65 g\r\n", "186.65 g 1 unknown ok"},
    {"sics", "S        1.50kg\r\n", "1.50 kg 1 unknown ok"},
    {"plain-14", "+0012.50 KG S\r\n", "12.50 kg 1 unknown ok"},
    {"plain-14", "+0012.50 KG X\r\n", NULL},
    {"nu", "+00123.45\r\n", "123.45 - ? unknown ok"},
    {"nu", "-99999999\r\n", "- - ? unknown under"},
    {"nu", "00123.45\r\n", NULL},
    {"sma", "\nO1G  ----------kg \r", "- kg 1 gross over"},
    {"sma", "\nU1N  ----------kg \r", "- kg 1 net under"},
    {"sma", "\nT1G  ----------kg \r", "- kg 1 gross error"},
    {"sma", "\n 1T       0.250kg \r", "0.250 kg 1 tare ok"},
    {"sma", "\n 1n      -0.250g  \r", "-0.250 g 1 net ok"},
    {"sma", "\n 1GX      0.250kg \r", NULL},
    {"sma", "\n 1G  ----------kg \r", NULL},
    {"stx-pol", "\002-   12.5LGO\r\n", "- lb 0 gross under"},
    {"stx-pol", "\002   123.4OG \r\n", "123.4 oz 1 gross ok"},
    {"stx-pol", "\002   123.4XG \r\n", NULL},
    {"stx-pol", "\002   123.4KG \n", NULL},
    {"stx-pol", "\002   123.4KG 7\r\n", NULL},
    {"stx-pol", "\002       KG \r\n", NULL},
    {"stx-pol", "\002   123.4KGI\r\n", "- kg 0 gross error"},
    {"stx-pol", "\002   ------KGU\r\n", "- kg 0 gross under"},
    {"stx-etx", "\002        U\003", "- - 0 unknown under"},
    {"stx-etx", "\002        N\003", NULL},
    {"stx-etx2", "\002-  12.34NM - lb\003", "-12.34 lb 0 net ok"},
    {"stx-etx2", "\002   12.34G Z- ct\003", NULL},
    {"cr-etx", "\r-012.34  kg n  \003", "-12.34 kg 1 net ok"},
    {"cr-etx", "\r+999.99o kg g  \003", "- kg 0 gross over"},
    {"cr-etx", "\r+012.34x kg g  \003", NULL},
    {"stx-xor", "\002+01500001F\003", "15000 - ? unknown ok"},
    {"stx-xor", "\002-00015021C\003", NULL}, /* the check is 1B */
    {"stx-xor", "\002-00015021b\003", "-1.50 - ? unknown ok"},
    {"stx-xor", "\002+150000916\003", NULL}, /* nine decimals, and a check that says so */
    {"stx-xor", "\002+150000619\003", NULL},
    {"stx-xor", "\002+1.5000302\003", NULL},
    {"stx-xor", "\002 015000014\003", NULL},
    {"stx-xor", "\002-00015/06\003", NULL}, /* decimals below 0 */
    {"stx-xor", "\002-00015:13\003", NULL},
    {"stx-xor", "\002-0001502\003", NULL}, /* no check at all */
    {"hid", "\003\001\002\377\001\001", "- g 0 unknown error"},
    {"hid", "\003\004\002\100\001\001", NULL}, /* ten to the 64 */
    {"hid", "\003\004\002\371\001\001", NULL}, /* and to the -7: more decimals than a bench scale has */
    {"wg-xor", "WN004.139kg34\r\n", "4.139 kg ? net ok"},
    {"wg-xor", "         HI21\r\n", "- - 0 unknown over"},
    {"wg-xor", "WG004.139kg3E\r\n", NULL},
    {"enq-bcc", "\001\002U-01.234kgn\003\004", "-1.234 kg 0 unknown ok"},
    {"enq-bcc", "\001\002S 01.234kgf\003\004", NULL},
    /* Found by fuzzing: a head that never ended took the whole frame behind it with it. */
    {"enq-bcc", "\001\002S 01.234kg01.234kg01.2\001\002S 01.234kge\003\004", "1.234 kg 1 unknown ok"},
    {"eq-fwd", "=0001.000=", "1.000 - ? unknown ok"},
    {"eq-rev", "=00.1000-\r\n=", "-1.00 - ? unknown ok"},
    {"eq-rev", "=00.100=", NULL}, /* 8 characters, or it was cut */
    {"eq-fwd", "=99999999=", "- - ? unknown over"},
    {"eq-rev", "=9999999-=", "- - ? unknown under"},
    /* Words in place of a weight, brackets in place of a blank, the unit at the digits: the frames page. */
    {"plain", "      OL\r\n", "- - 0 unknown over"},
    {"plain", "      OL g\r\n", "- g 0 unknown over"},
    {"plain", "~~~~~~~\r\n", "- - 0 unknown over"},
    {"plain", "   UL\r\n", "- - 0 unknown under"},
    {"plain", "  Error\r\n", "- - 0 unknown error"},
    {"plain", "  Err\r\n", "- - 0 unknown error"},
    {"plain", "  OLD\r\n", NULL},
    {"plain", "  ~~ 1.0 g\r\n", NULL},
    {"plain-u", "      OL\r\n", "- - 0 unknown over"},
    {"nu", "UL\r\n", "- - 0 unknown under"},
    {"nu", "ERROR\r\n", "- - 0 unknown error"},
    {"fix16n", "      OL     \r\n", "- - 0 unknown over"},
    {"fix16n", "  ~~~~~~~~g  \r\n", "- g 0 unknown over"},
    {"plain", "12.3g\r\n", "12.3 g ? unknown ok"},
    {"plain", "   12.3kg ?\r\n", "12.3 kg 0 unknown ok"},
    {"plain", "-12.3g\rX", "-12.3 g ? unknown ok"}, /* CR alone ends it */
    {"plain", "-   20.758kg \r\n", NULL},           /* fix16n's */
    {"fix16", "+ 1255.5[6]g  \r\n", "1255.56 g 1 unknown ok"},
    {"fix16", "- 1255.5[6]   \r\n", "-1255.56 - 0 unknown ok"},
    {"fix22", "N     +  123.5[6]kg \r\n", "123.56 kg 1 net ok"},
    {"fix16", "+   1255.56g  \r\n", NULL}, /* no brackets: fix16n's */
    {"wg-xor", "         OL23\r\n", "- - 0 unknown over"},
    {"wg-xor", "         OL33\r\n", NULL},
    {"sma", "\n?\r", "- - 0 unknown error"},
    {"sma", "\n?1\r", NULL},
    {"enq-bcc", "\001\002SF99.999kg\016\003\004", "- kg 0 unknown over"},
    {"stx-etx2", "\002   12.34GMZ-\003", "12.34 - 0 gross ok"},
    {"stx-etx2", "\002   12.34GMZ-   \003", "12.34 - 0 gross ok"},
    {"stx-etx2", "\002   12.34G Z-   \003", NULL}, /* it stands: its unit must be there */
    {"retail", "\002?`\r", NULL},                  /* nothing moves, nothing is wrong: it says nothing */
    {"hid", "\003\003\002\377\220\001", "40.0 g 0 unknown ok"},
    {"hid", "\003\006\013\001\001\001", "- oz 0 unknown over"},
    {"hid", "\003\004\003\002\001\001", "25700 kg 1 unknown ok"},
    {"hid", "\003\004\004\377\001\001", NULL}, /* carat */
    {"hid", "\003\011\002\377\001\001", NULL},
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

/* Grams are no safe guess while a kg scale moves: 0.5 of it would read as half a gram. */
static void a_blank_unit_before_the_first_carries_no_weight(void **state)
{
    (void)state;
    static struct framer framer;
    static const struct {
        const char *family, *text;
    } rows[] = {
        {"fix16", "+   0.5000    \r\n+   0.5000 kg \r\n+   0.6000    \r\n"},
        {"plain-u", "        0.5000\r\n        0.5000 kg\r\n        0.6000\r\n"},
        {"stx-etx2", "\002  0.5000GMZ-   \003\002  0.5000G Z-kg \003\002  0.6000GMZ-   \003"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct seen seen = {0};
        framer_init(&framer, scale_family_find(rows[i].family), SCALE_UNIT_NONE, false);
        framer_push(&framer, (const uint8_t *)rows[i].text, strlen(rows[i].text), seen_add, &seen);
        framer_finish(&framer, seen_add, &seen);
        assert_int_equal(seen.count, 3);
        assert_false(seen.reading[0].has_weight);
        assert_string_equal(seen.reading[0].digits, "0.5000");
        assert_true(seen.reading[1].has_weight && seen.reading[1].weight_ug == 500000000);
        assert_true(seen.reading[2].has_weight && seen.reading[2].weight_ug == 600000000);
    }
    /* Where the section names one, it holds until a frame does; a family that never names one is weighed in it. */
    struct seen seen = {0};
    framer_init(&framer, scale_family_find("fix16"), SCALE_UNIT_KG, false);
    framer_push(&framer, (const uint8_t *)rows[0].text, strlen(rows[0].text), seen_add, &seen);
    assert_true(seen.reading[0].has_weight && seen.reading[0].weight_ug == 500000000);
    framer_init(&framer, scale_family_find("nu"), SCALE_UNIT_NONE, false);
    assert_int_equal(framer.unit, SCALE_UNIT_G);
}

/* A rude line: it never ends. Nothing grows, nothing is believed, and the next whole frame is. */
static void noise_without_end_is_dropped(void **state)
{
    (void)state;
    static struct framer framer;
    struct seen seen = {0};
    const char *frame = "\r\nS S     100.00 g\r\n";
    framer_init(&framer, scale_family_find("sics"), SCALE_UNIT_G, true);
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
        cmocka_unit_test(a_blank_unit_before_the_first_carries_no_weight),
        cmocka_unit_test(a_nul_within_a_frame_is_damage),
        cmocka_unit_test(noise_without_end_is_dropped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
