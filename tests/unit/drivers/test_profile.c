/* Declared families: the profiles in the tree read their lines, and a profile with an error changes nothing. */
#include "tests/unit/drivers/rows.h"

#include "drivers/decode/profile.h"

static struct scale_profile profile;
static struct profile_fault fault;

/* The fault in English: why, or what fixes it. */
static const char *why(void)
{
    static char text[SAID_TEXT_MAX];
    return said_text(&fault.said, WORDS_EN, NULL, text, sizeof text);
}

static const char *help(void)
{
    static char text[SAID_TEXT_MAX];
    return said_part(&fault.said, "help", WORDS_EN, NULL, text, sizeof text);
}
static struct framer framer;

static void load(const char *name)
{
    char path[100];
    snprintf(path, sizeof path, "drivers/profiles/%s.ini", name);
    if (!profile_load(path, NULL, &profile, &fault))
        fail_msg("%s:%d: %s: %s", path, fault.line, fault.field, why());
    assert_string_equal(profile.family.name, name);
}

static const struct {
    const char *profile, *line, *reading; /* reading: `value unit stable kind status`, NULL: refused */
} lines[] = {
    {"star", "*S*  0012,50 GRM N\r\n", "12.50 g 1 net ok"},
    {"star", "*M* -0012,50 GRM B\r\n", "-12.50 g 0 gross ok"},
    {"star", "*S*     1,2 KGM B\r\n", "1.2 kg 1 gross ok"},
    {"star", "*S*  0012,50 kg N\r\n", "12.50 kg 1 net ok"},
    {"star", "*M* --HI-- GRM B\r\n", "- g 0 gross over"},
    {"star", "*M* --LO--     B\r\n", "- - 0 gross under"},
    {"star", "*S*  0012,50 GRM\r\n", NULL},
    {"star", "*X*  0012,50 GRM N\r\n", NULL},
    {"star", "*S*  0012,50 GRM N 5\r\n", NULL},
    {"star", "*S*  0012,50 N\r\n", NULL},
    {"star", "*S*  0012.50 GRM N\r\n", NULL},
    {"star", "*S*  0012,50 GRM N\r", NULL},
    {"tail-sign", "[12.50-]g\003", "-12.50 g ? unknown ok"},
    {"tail-sign", "[12.50 ]kg\003", "12.50 kg ? unknown ok"},
    {"tail-sign", "[0.00-]g\003", "0.00 g ? unknown ok"},
    {"tail-sign", "[^^^^ ]g\003", "- g 0 unknown over"},
    {"tail-sign", "xx[9[12.50]g\003", NULL},
    {"tail-sign", "[-12.50-]g\003", NULL},
    {"tail-sign", "12.50 ]g\003", NULL},
};

static void want(const char *text, struct row *row)
{
    char value[SCALE_DIGITS], unit[8], stable, kind[16], status[8];
    assert_int_equal(sscanf(text, "%23s %7s %c %15s %7s", value, unit, &stable, kind, status), 5);
    row_value(&row->want[0], value, unit, stable);
    row_kind_status(&row->want[0], kind, status);
    row->wanted = 1;
}

static void profiles_in_the_tree_read_their_lines(void **state)
{
    (void)state;
    static const size_t chunks[] = {1, 7, 300};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        load(lines[i].profile);
        for (size_t c = 0; c < 3; c++) {
            struct row row = {.line = (int)i};
            struct seen seen = {0};
            snprintf(row.family, sizeof row.family, "%s", lines[i].profile);
            if (lines[i].reading)
                want(lines[i].reading, &row);
            framer_init(&framer, &profile.family, SCALE_UNIT_G, false);
            for (size_t at = 0, len = strlen(lines[i].line); at < len; at += chunks[c])
                framer_push(&framer, (const uint8_t *)lines[i].line + at, len - at < chunks[c] ? len - at : chunks[c],
                            seen_add, &seen);
            framer_finish(&framer, seen_add, &seen);
            row_check(&row, &seen, 1, "chunks of", chunks[c]);
        }
    }
}

static void a_fragment_is_dropped_at_the_profiles_own_end(void **state)
{
    (void)state;
    struct seen seen = {0};
    const char *text = "[profile tail]\ndelimiter = \\x03\norder = value unit\n";
    assert_true(profile_parse(text, strlen(text), NULL, &profile, &fault));
    framer_init(&framer, &profile.family, SCALE_UNIT_G, true);
    framer_push(&framer, (const uint8_t *)"2.5 g\0031002.5 g\003", 15, seen_add, &seen);
    assert_int_equal(seen.count, 1);
    assert_string_equal(seen.reading[0].digits, "1002.5");
}

static void a_unit_left_out_while_moving_is_the_last_one(void **state)
{
    (void)state;
    struct seen seen = {0};
    const char *text = "[profile b]\ndelimiter = \\r\\n\norder = value unit\nunit = blank_moving\nover = OL\n";
    const char *stream = "  1.5 kg\r\n  1.6\r\n  OL\r\n";
    assert_true(profile_parse(text, strlen(text), "b", &profile, &fault));
    framer_init(&framer, &profile.family, SCALE_UNIT_G, false);
    framer_push(&framer, (const uint8_t *)stream, strlen(stream), seen_add, &seen);
    framer_finish(&framer, seen_add, &seen);
    assert_int_equal(seen.count, 3);
    assert_true(seen.reading[1].weight_ug == 1600000000);
    assert_int_equal(seen.reading[1].stability, SCALE_MOVING);
    assert_int_equal(seen.reading[2].status, SCALE_OVER);
}

/* One line through a profile of its own. */
static const struct {
    const char *profile, *line, *reading;
} own[] = {
    {"order = skip value unit\n", "No.7 12.5 g\n", "12.5 g ? unknown ok"},
    {"order = value\nunit = kg\n", "12.5\n", "12.5 kg ? unknown ok"},
    {"order = value\nunit = kg\n", "12.5 g\n", NULL},
    {"order = mark value unit\nstable = S\nmoving = blank\n", "12.5 g\n", "12.5 g 0 unknown ok"},
    {"order = mark value unit\nstable = blank\nmoving = ?\n", "12.5 g\n", "12.5 g 1 unknown ok"},
    {"order = mark value unit\nstable = blank\nmoving = ?\n", "? 12.5 g\n", "12.5 g 0 unknown ok"},
    {"order = mark value unit\nstable = S SD\nmoving = M\n", "SD12.5 g\n", "12.5 g 1 unknown ok"},
    {"order = mark value unit\nstable = S\n", "12.5 g\n", NULL},
    {"order = mark value unit\nstable = S\nerror = E\n", "E 12.5 g\n", "- g 0 unknown error"},
    {"order = mark value unit\nstable = S\nunder = U\n", "U\n", "- - 0 unknown under"},
    {"order = kind value unit\nnet = N\ntare = T\ngross = blank\n", "T 2 g\n", "2 g ? tare ok"},
    {"order = kind value unit\nnet = N\ngross = blank\n", "2 g\n", "2 g ? unknown ok"},
    {"order = kind value unit\nnet = N\n", "2 g\n", NULL},
    {"order = value unit\nunit_pcs = St\n", "12 St\n", "12 pcs ? unknown ok"},
    {"order = value unit\nseparators = ,:\n", ",12.5,:,g,\n", "12.5 g ? unknown ok"},
    {"order = sign value unit\n", "- 12.5 g\n", "-12.5 g ? unknown ok"},
    {"order = value unit\n", "\n\n12.5 g\n", "12.5 g ? unknown ok"},
    {"order = value unit\nover = \\x4f\\x4C \\x5c\\\\\n", "OL g\n", "- g 0 unknown over"},
    {"order = value unit\nover = \\x4f\\x4C \\x5c\\\\\n", "\\\\\n", "- - 0 unknown over"},
    {"order = value unit\nover = a\\sb\n", "a b g\n", "- g 0 unknown over"},
    {"order = mark value unit\nmoving = M\n", "M 12.5 g\n", "12.5 g 0 unknown ok"},
    {"order = mark value unit\nmoving = M\n", "12.5 g\n", NULL},
    {"order = kind value unit\ntare = T\n", "T 12.5 g\n", "12.5 g ? tare ok"},
    {"order = kind value unit\ngross = B BB\nnet = blank\n", "BB 12.5 g\n", "12.5 g ? gross ok"},
    {"order = kind value unit\ngross = B\ntare = blank\n", "12.5 g\n", "12.5 g ? unknown ok"},
    {"order = sign value unit\n", "+ 12.5 g\n", "12.5 g ? unknown ok"},
    {"order = value unit sign\n", "12.5 g -\n", "-12.5 g ? unknown ok"},
    {"order = value unit sign\n", "0.00 g -\n", "0.00 g ? unknown ok"},
    {"order = value unit sign\nover = OL\n", "OL g -\n", "- g 0 unknown over"},
    {"order = mark value unit\nstable = S\nerror = E\n", "E g\n", "- g 0 unknown error"},
    {"order = mark value unit\nstable = S\nerror = E\n", "S g\n", NULL},
    {"order = mark value unit\nstable = S\nunit = blank_moving\n", "S 12.5\n", "12.5 - 1 unknown ok"},
    {"order = value skip unit\nseparators = ,\n", "12.5,x7,g\n", "12.5 g ? unknown ok"},
    {"order = value skip\n", "12.5\n", "12.5 - ? unknown ok"},
    {"order = value unit\n", "\r12.5 g\n", "12.5 g ? unknown ok"},
    {"order = value unit\nstart = <\n", "12.5 g\n<13.5 g\n", "13.5 g ? unknown ok"},
    {"order = value unit\nstart = <\\n\n", "<\n", NULL},                        /* the end lies within the start */
    {"order = skip skip value unit\n", "No 7 12.5 g\n", "12.5 g ? unknown ok"}, /* it alone may stand there twice */
};

static void every_word_of_a_profile_does_what_its_page_says(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof own / sizeof *own; i++) {
        struct row row = {.line = (int)i, .family = "own"};
        struct seen seen = {0};
        char text[300];
        int len = snprintf(text, sizeof text, "[profile own]\ndelimiter = \\n\n%s", own[i].profile);
        if (!profile_parse(text, (size_t)len, NULL, &profile, &fault))
            fail_msg("row %zu: %d %s %s", i, fault.line, fault.field, why());
        if (own[i].reading)
            want(own[i].reading, &row);
        framer_init(&framer, &profile.family, SCALE_UNIT_G, false);
        framer_push(&framer, (const uint8_t *)own[i].line, strlen(own[i].line), seen_add, &seen);
        framer_finish(&framer, seen_add, &seen);
        row_check(&row, &seen, 1, "row", i);
    }
}

/* Profiles as a shop would write them from the page alone, over a stream with what a scale really sends: other marks,
 * no weight, a line of another scale, a cut one at the end. Readings as in streams.tsv. */
static const struct {
    const char *profile, *stream, *readings;
} shops[] = {
    {"# W=+  12.50 g  *     a star where the weight stands\n[profile w]\nstart = W=\ndelimiter = \\r\\n\n"
     "order = value unit mark\nstable = *\nmoving = blank\nover = ------\nunder = ______\n",
     "2.50 g  *\r\nW=+  12.50 g  *\r\nW=-   0.05 g   \r\nW= ------   \r\nW=______ g  *\r\nW=+  1W=+  12.51 g  *\r\n"
     "W=+  12.50 g  x\r\nW=+  12.",
     "12.50 g 1; -0.05 g 0; - - 0; - g 1"},
    {"; #0042,000123.4,g,S,N     a running number first\n[profile csv]\nstart = #\ndelimiter = \\r\n"
     "order = skip value unit mark kind\nseparators = ,\nstable = S\nmoving = D\nover = OL\nnet = N\ngross = G\n"
     "tare = T\nunit_pcs = ST\nsettings = 19200 8N1\n",
     "#0042,000123.4,g,S,N\r#0043,-00123.4,kg,D,G\r#0044,OL,g,D,N\r#0045,+    12,ST,S,T\r#0046,,g,S,N\r"
     "#0047,12.3,g,S\r0048,12.3,g,S,N\r#0049,12.3,g,S,N,9\r#0050,12.3",
     "123.4 g 1; -123.4 kg 0; - g 0; 12 pcs 1"},
    {"# STX, ST, the weight with its sign behind, ETX\n[profile stx]\nstart = \\x02\ndelimiter = \\x03\n"
     "order = mark value sign unit\nstable = ST\nmoving = US\nover = OF\nunder = UF\nerror = ER\nunit_g = GRM\n",
     "12.50-GRM\003\002ST  0012.50-GRM\003\002US  0012.50 kg\003\002OF 999999 kg\003\002ER\003\002ST 12.5 ct\003\002ST "
     "12",
     "-12.50 g 1; 12.50 kg 0; - kg 0; - - 0"},
    {"# the unit is left out while the weight moves; decimal comma\n[profile drops]\ndelimiter = \\r\\n\n"
     "order = value unit\nunit = blank_moving\npoint = ,\nover = ^^^^\n",
     "     12,50 g  \r\n     12,51    \r\n     0,013 kg \r\n   ^^^^ \r\n12.50 g\r\n     12,5",
     "12.50 g 1; 12.51 - 0; 0.013 kg 1; - - 0"},
};

static void a_shops_own_profile_reads_its_scale(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof shops / sizeof *shops; i++) {
        for (size_t chunk = 1; chunk < 500; chunk += 499) {
            struct row row = {.line = (int)i, .family = "shop"};
            struct seen seen = {0};
            char text[600], readings[100];
            char *cells[] = {"shop", text, readings};
            snprintf(text, sizeof text, "%s", shops[i].stream);
            snprintf(readings, sizeof readings, "%s", shops[i].readings);
            row_from_stream(&row, cells);
            if (!profile_parse(shops[i].profile, strlen(shops[i].profile), NULL, &profile, &fault))
                fail_msg("row %zu: %d %s %s", i, fault.line, fault.field, why());
            framer_init(&framer, &profile.family, SCALE_UNIT_G, false);
            for (size_t at = 0, len = strlen(text); at < len; at += chunk)
                framer_push(&framer, (const uint8_t *)text + at, len - at < chunk ? len - at : chunk, seen_add, &seen);
            framer_finish(&framer, seen_add, &seen);
            row_check(&row, &seen, 1, "chunks of", chunk);
        }
    }
}

/* A line of 96 bytes and more is noise, and takes no other with it. */
static void an_endless_line_is_dropped_whole(void **state)
{
    (void)state;
    struct seen seen = {0};
    char noise[200];
    const char *text = "[profile s]\nstart = <<\ndelimiter = >>\norder = value unit\n";
    memset(noise, '7', sizeof noise);
    assert_true(profile_parse(text, strlen(text), NULL, &profile, &fault));
    framer_init(&framer, &profile.family, SCALE_UNIT_G, true);
    framer_push(&framer, (const uint8_t *)noise, sizeof noise, seen_add, &seen);
    framer_push(&framer, (const uint8_t *)"<<", 2, seen_add, &seen);
    framer_push(&framer, (const uint8_t *)noise, sizeof noise, seen_add, &seen);
    framer_push(&framer, (const uint8_t *)">>7 g><", 7, seen_add, &seen);
    framer_push(&framer, (const uint8_t *)"<12.5 g>", 8, seen_add, &seen);
    framer_push(&framer, (const uint8_t *)">", 1, seen_add, &seen);
    assert_int_equal(seen.count, 1);
    assert_string_equal(seen.reading[0].digits, "12.5");
}

#define HEAD "[profile x]\ndelimiter = \\r\\n\norder = value unit\n"

static const struct {
    const char *text;
    int line;
    const char *field, *why; /* why: a part of it */
} faults[] = {
    {"", 1, "", "no such profile"},
    {"[profile y]\ndelimiter = \\n\norder = value\n", 4, "", "no such profile"},
    {"delimiter = \\n\n", 1, "", "before any section"},
    {"[profile x]\norder = value\n", 3, "delimiter", "missing"},
    {"[profile x]\ndelimiter = \\n\n", 3, "order", "missing"},
    {HEAD "colour = red\n", 4, "colour", "no such key"},
    {HEAD "order = value\n", 4, "order", "twice"},
    {HEAD "[profile x]\n", 4, "", "twice"},
    {HEAD "stable = S\n", 3, "order", "need a mark"},
    {HEAD "unit = stone\n", 4, "unit", "no such unit"},
    {HEAD "settings = fast\n", 4, "settings", "not such settings"},
    {HEAD "settings = 9600 9N1\n", 4, "settings", "not such settings"},
    {HEAD "settings = 49 8N1\n", 4, "settings", "not such settings"},
    {HEAD "settings = 9600 8X1\n", 4, "settings", "not such settings"},
    {HEAD "settings = 9600 8N3\n", 4, "settings", "not such settings"},
    {HEAD "settings = 9600 8N\n", 4, "settings", "not such settings"},
    {HEAD "settings = 9600 8N1 x\n", 4, "settings", "not such settings"},
    {HEAD "settings = 9600 8N12\n", 4, "settings", "not such settings"},
    {HEAD "start = \\x4\n", 4, "start", "not such bytes"},
    {HEAD "start = \\x4:\n", 4, "start", "not such bytes"},
    {HEAD "start = \\xg4\n", 4, "start", "not such bytes"},
    {HEAD "start = \\x`4\n", 4, "start", "not such bytes"},
    {HEAD "start = \\x/4\n", 4, "start", "not such bytes"},
    {HEAD "start = \\x@4\n", 4, "start", "not such bytes"},
    {HEAD "start = \\xG4\n", 4, "start", "not such bytes"},
    {HEAD "start = a\\\n", 4, "start", "not such bytes"},
    {HEAD "start = 0X02\n", 4, "start", "name of a byte"},
    {"[profile x]\norder = value sign unit mark kind skip skip skip skip\n", 2, "order", "not such an order"},
    {HEAD "bits = 9\n", 4, "bits", "neither 7 nor 8"},
    {HEAD "point = :\n", 4, "point", "neither `.` nor `,`"},
    {HEAD "start = STX\n", 4, "start", "name of a byte"},
    {HEAD "ask = 0x05\n", 4, "ask", "name of a byte"},
    {HEAD "over = blank\n", 4, "over", "`blank` says nothing"},
    {HEAD "unit_kg = K blank\n", 4, "unit_kg", "`blank` says nothing"},
    {HEAD "net = N\n", 3, "order", "need a kind"},
    {HEAD "separators = -,\n", 4, "separators", "would be skipped"},
    {HEAD "separators = ,\npoint = ,\n", 4, "separators", "would be skipped"},
    {HEAD "unit_g = G\nunit_kg = K G\n", 6, "unit", "two units"},
    {HEAD "[profile y]\ncolour = red\n", 5, "colour", "no such key"},
    {"[profile x]\ndelimiter = \\n\norder = value mark\nstable = S\nmoving = M S\n", 4, "stable", "two things"},
    {"[profile x]\ndelimiter = \\n\norder = value mark\nstable = blank\nmoving = blank\n", 4, "stable", "two things"},
    {"[profile x]\ndelimiter = \\n\norder = value mark\nstable = S\nerror = S\n", 4, "stable", "two things"},
    {"[profile x]\ndelimiter = \\n\norder = value kind\nnet = N\ntare = N\n", 4, "net", "two things"},
    {"[profile x]\ndelimiter = \\n\norder = value kind\n", 3, "order", "kind that means nothing"},
    {"[profile x]\ndelimiter = \\n\norder = value\nunit = blank_moving\n", 4, "unit", "needs a unit"},
    {"[profile x]\ndelimiter = \\n\norder = sign value sign\n", 3, "order", "twice"},
    {"[profile x]\ndelimiter = CR LF\norder = value\n", 2, "delimiter", "name of a byte"},
    {HEAD "over = \\q\n", 4, "over", "too many words"},
    {HEAD "over = \\x0\n", 4, "over", "too many words"},
    {HEAD "over = \\x00\n", 4, "over", "too many words"},
    {HEAD "over = a b c d e f g\n", 4, "over", "too many words"},
    {HEAD "over = abcdefghijkl\n", 4, "over", "too many words"},
    {HEAD "over =\n", 4, "over", "no value"},
    {HEAD "over = ;nothing\n", 4, "over", "no value"},
    {HEAD "over\n", 4, "", "not a setting"},
    {HEAD "  over = OL\n", 4, "", "indented"},
    {HEAD "   \n\t\nover = OL\t \ncolour = red\n", 7, "colour", "no such key"}, /* blanks alone are no line */
    {HEAD "\tover = OL\n", 4, "", "indented"},
    {HEAD "= OL\n", 4, "", "not a setting"},
    {HEAD "[profile y]\nover = OL\norder = value\ncolour = red\n", 7, "colour", "no such key"},
    {HEAD "[profile 1234567890123456789012345678901234567890123456789]\n", 4, "", "not such a name"},
    {HEAD "[coat x]\n", 4, "", "not such a section"},
    {HEAD "[profile a b]\n", 4, "", "not such a name"},
    {"[profile x]\ndelimiter = \\r\\n\\r\\n\\r\n", 2, "delimiter", "not such bytes"},
    {"[profile x]\norder = value value\n", 2, "order", "once"},
    {"[profile x]\norder = sign unit\n", 2, "order", "once"},
    {"[profile x]\norder = value colour\n", 2, "order", "not such an order"},
    {"[profile x]\ndelimiter = \\n\norder = mark value\n", 3, "order", "means nothing"},
};

static void errors_name_line_field_and_mend(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        if (profile_parse(faults[i].text, strlen(faults[i].text), "x", &profile, &fault))
            fail_msg("row %zu: taken", i);
        if (fault.line != faults[i].line || strcmp(fault.field, faults[i].field) != 0 ||
            !strstr(why(), faults[i].why) || help()[0] == '\0')
            fail_msg("row %zu: %d `%s` %s", i, fault.line, fault.field, why());
    }
}

static void long_lines_nuls_and_missing_files_are_refused(void **state)
{
    (void)state;
    char text[1200];
    memset(text, 'x', sizeof text);
    assert_false(profile_parse(text, sizeof text, NULL, &profile, &fault));
    assert_non_null(strstr(why(), "too long"));
    assert_false(profile_parse("[profile x]\n\0", 13, NULL, &profile, &fault));
    assert_int_equal(fault.line, 2);
    assert_false(profile_parse("", 0, NULL, &profile, &fault));
    assert_non_null(strstr(help(), "[profile NAME]"));
    assert_false(profile_load("tests/data", NULL, &profile, &fault)); /* a folder */
    assert_int_equal(fault.line, 0);
    assert_false(profile_load("/dev/zero", NULL, &profile, &fault));
    assert_non_null(strstr(help(), "64 KiB"));
    assert_false(profile_load("drivers/profiles/none.ini", NULL, &profile, &fault));
    assert_int_equal(fault.line, 0);
}

static void a_byte_order_mark_is_skipped(void **state)
{
    (void)state;
    const char *text = "\xef\xbb\xbf[profile a]\r\ndelimiter = \\n\r\norder = value unit\r\n";
    assert_true(profile_parse(text, strlen(text), NULL, &profile, &fault));
    assert_string_equal(profile.family.name, "a");
}

static void several_profiles_may_stand_in_a_file(void **state)
{
    (void)state;
    const char *text = "; two\r\n[profile a] ; the first\r\ndelimiter = \\n\r\norder = value unit\r\n\r\n"
                       "[profile b]\r\ndelimiter = \\r\r\norder = unit value\r\nask = W\\r\r\nbits = 8\r\n";
    assert_true(profile_parse(text, strlen(text), NULL, &profile, &fault));
    assert_string_equal(profile.family.name, "a");
    assert_null(profile.family.ask);
    const char *twice = "[profile a]\ndelimiter = \\n\norder = value\n[profile a]\n";
    assert_false(profile_parse(twice, strlen(twice), NULL, &profile, &fault));
    assert_int_equal(fault.line, 4);
    assert_true(profile_parse(text, strlen(text), "b", &profile, &fault));
    assert_string_equal(profile.family.name, "b");
    assert_string_equal(profile.family.ask, "W\r");
    assert_false(profile.family.seven_bit);
    assert_true(profile.family.tail_looks_whole);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(profiles_in_the_tree_read_their_lines),
        cmocka_unit_test(a_fragment_is_dropped_at_the_profiles_own_end),
        cmocka_unit_test(a_unit_left_out_while_moving_is_the_last_one),
        cmocka_unit_test(every_word_of_a_profile_does_what_its_page_says),
        cmocka_unit_test(a_shops_own_profile_reads_its_scale),
        cmocka_unit_test(an_endless_line_is_dropped_whole),
        cmocka_unit_test(errors_name_line_field_and_mend),
        cmocka_unit_test(long_lines_nuls_and_missing_files_are_refused),
        cmocka_unit_test(a_byte_order_mark_is_skipped),
        cmocka_unit_test(several_profiles_may_stand_in_a_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
