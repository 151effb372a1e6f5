/* The text type: cut between characters only, measured as a terminal shows it, and clean whatever came. */
#include "text/utf8.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define ACUTE "e\xCC\x81"    /* e and a combining acute: one character of 3 bytes */
#define WIDE  "\xE8\x89\xB2" /* a CJK letter: 3 bytes, 2 columns */
#define FAMILY                                                                                                         \
    "\xF0\x9F\x91\xA9\xE2\x80\x8D"                                                                                     \
    "\xF0\x9F\x94\xA7" /* two signs joined by U+200D */

/* Source of the hostile rows: RFC 3629 sections 3, 4 and 10 (overlong forms, surrogates, above U+10FFFF). */
static const struct {
    const char *name, *text;
    bool valid;
    size_t characters, columns; /* what a reader takes for one, and terminal columns */
    const char *clean;
} rows[] = {
    {"nothing", "", true, 0, 0, ""},
    {"plain", "Copperwing", true, 10, 10, "Copperwing"},
    {"umlaut", "H\xC3\xA4rter", true, 6, 6, "H\xC3\xA4rter"},
    {"combining mark", "caf" ACUTE, true, 4, 4, "caf" ACUTE},
    {"CJK is two columns", WIDE WIDE, true, 2, 4, WIDE WIDE},
    {"joiners stay", "a\xE2\x80\x8C\xE2\x80\x8D", true, 1, 1, "a\xE2\x80\x8C\xE2\x80\x8D"},
    {"escape", "a\x1b[2Jb", true, 6, 6, "a?[2Jb"},
    {"line end and tab", "a\nb\tc", true, 5, 5, "a?b?c"},
    {"DEL", "a\x7f", true, 2, 2, "a?"},
    {"C1",
     "a\xC2\x9B"
     "b",
     true, 3, 3, "a?b"},
    {"zero width space",
     "a\xE2\x80\x8B"
     "b",
     true, 3, 2, "a?b"},
    {"marks of direction", "\xE2\x80\x8E\xE2\x80\x8F", true, 2, 0, "??"},
    {"bidi embedding",
     "a\xE2\x80\xAA\xE2\x80\xAE"
     "b",
     true, 4, 2, "a??b"},
    {"bidi isolate", "\xE2\x81\xA6x\xE2\x81\xA9", true, 3, 1, "?x?"},
    {"a byte alone",
     "a\xFF"
     "b",
     false, 3, 3, "a?b"},
    {"continuation alone", "\x80", false, 1, 1, "?"},
    {"cut short", "a\xE2\x82", false, 3, 3, "a??"},
    {"overlong slash", "\xC0\xAF", false, 2, 2, "??"},
    {"overlong NUL", "\xC0\x80", false, 2, 2, "??"},
    {"surrogate", "\xED\xA0\x80", false, 3, 3, "???"},
    {"above U+10FFFF", "\xF4\x90\x80\x80", false, 4, 4, "????"},
    {"a true U+FFFD", "\xEF\xBF\xBD", true, 1, 1, "\xEF\xBF\xBD"},
};

/* Source: Unicode 15.0, table 3-7, its nine rows as they are printed: from and to of each byte. */
static const unsigned char well_formed[][8] = {
    {0x01, 0x7F}, /* from 00; a text of ours ends there */
    {0xC2, 0xDF, 0x80, 0xBF},
    {0xE0, 0xE0, 0xA0, 0xBF, 0x80, 0xBF},
    {0xE1, 0xEC, 0x80, 0xBF, 0x80, 0xBF},
    {0xED, 0xED, 0x80, 0x9F, 0x80, 0xBF},
    {0xEE, 0xEF, 0x80, 0xBF, 0x80, 0xBF},
    {0xF0, 0xF0, 0x90, 0xBF, 0x80, 0xBF, 0x80, 0xBF},
    {0xF1, 0xF3, 0x80, 0xBF, 0x80, 0xBF, 0x80, 0xBF},
    {0xF4, 0xF4, 0x80, 0x8F, 0x80, 0xBF, 0x80, 0xBF},
};

/* Bytes of the well formed sequence that a text begins with; 0: none. */
static size_t by_the_table(const unsigned char *text)
{
    for (size_t r = 0; r < sizeof well_formed / sizeof *well_formed; r++) {
        size_t n = 0;
        while (n < 4 && well_formed[r][2 * n] && text[n] >= well_formed[r][2 * n] &&
               text[n] <= well_formed[r][2 * n + 1])
            n++;
        if (n == 4 || !well_formed[r][2 * n])
            return n;
    }
    return 0;
}

/* Every first and second byte, with the third and fourth at and beside the edges of what may stand there. */
static void table_3_7_row_by_row(void **state)
{
    static const unsigned char edges[] = {0x00, 0x7F, 0x80, 0x8F, 0x90, 0x9F, 0xA0, 0xBF, 0xC0, 0xFF};
    (void)state;
    for (unsigned first = 1; first < 256; first++)
        for (unsigned second = 0; second < 256; second++)
            for (size_t e = 0; e < sizeof edges * sizeof edges; e++) {
                unsigned char text[5] = {(unsigned char)first, (unsigned char)second, edges[e / sizeof edges],
                                         edges[e % sizeof edges]};
                size_t at = 0, bytes, size;
                while (text[at] && (size = by_the_table(text + at)) > 0)
                    at += size;
                uint32_t c = utf8_next((const char *)text, &bytes);
                size = by_the_table(text);
                if (utf8_valid((const char *)text) != (text[at] == 0) || bytes != (size ? size : 1) ||
                    (size == 0) != (c == 0xFFFD && bytes == 1))
                    fail_msg("%02x %02x %02x %02x: U+%04X, %zu bytes", text[0], text[1], text[2], text[3], c, bytes);
            }
}

static void text_is_measured_and_cleaned(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char clean[64];
        if (utf8_valid(rows[i].text) != rows[i].valid)
            fail_msg("%s: valid is %d", rows[i].name, !rows[i].valid);
        if (utf8_count(rows[i].text) != rows[i].characters || utf8_columns(rows[i].text) != rows[i].columns)
            fail_msg("%s: %zu characters, %zu columns", rows[i].name, utf8_count(rows[i].text),
                     utf8_columns(rows[i].text));
        if (strcmp(utf8_clean(clean, sizeof clean, rows[i].text), rows[i].clean) != 0)
            fail_msg("%s: clean is \"%s\"", rows[i].name, clean);
        if (utf8_is_clean(rows[i].text) != (strcmp(rows[i].clean, rows[i].text) == 0))
            fail_msg("%s: is clean?", rows[i].name);
    }
}

/* Which need it: Unicode Standard, chapters 9 (Arabic, Hebrew), 12 (India), 16 (Khmer, Myanmar) and 18 (Hangul). */
static void scripts_that_need_shaping_are_known(void **state)
{
    static const struct {
        const char *text;
        uint32_t first;
    } shaped[] = {
        {"Copperwing", 0},
        {"H\xC3\xA4rter caf" ACUTE, 0},
        {WIDE WIDE, 0},
        {"\xEC\x83\x89", 0},                     /* a whole Hangul syllable */
        {"\xD0\xBC\xD0\xB5\xD0\xB4\xD1\x8C", 0}, /* Cyrillic */
        {"a \xD7\x90", 0x05D0},                  /* Hebrew */
        {"\xD9\xA1", 0x0661},                    /* an Arabic figure */
        {"\xF0\x9E\xA4\x80", 0x1E900},           /* Adlam */
        {"\xE0\xA4\x95", 0x0915},                /* Devanagari */
        {"\xE1\x9E\x80", 0x1780},                /* Khmer */
        {"\xE1\x84\x80\xE1\x85\xA1", 0x1100},    /* Hangul in parts */
    };
    (void)state;
    for (size_t i = 0; i < sizeof shaped / sizeof *shaped; i++)
        if (utf8_first_shaped(shaped[i].text) != shaped[i].first)
            fail_msg("%s: U+%04X", shaped[i].text, (unsigned)utf8_first_shaped(shaped[i].text));
}

static const struct {
    const char *text;
    size_t size;
    const char *out;
} cuts[] = {
    {"abc", 4, "abc"},
    {"abc", 3, "ab"},
    {"abc", 1, ""},
    {"gr\xC3\xBC", 4, "gr"}, /* never half a letter */
    {"caf" ACUTE, 6, "caf"}, /* nor a letter without its mark */
    {"caf" ACUTE, 7, "caf" ACUTE},
    {WIDE WIDE, 6, WIDE},
    {"x" FAMILY, 8, "x"},
};

static void a_copy_is_cut_between_characters(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof cuts / sizeof *cuts; i++) {
        char out[32];
        bool whole = utf8_copy(out, cuts[i].size, cuts[i].text);
        if (strcmp(out, cuts[i].out) != 0 || whole != (strcmp(cuts[i].out, cuts[i].text) == 0))
            fail_msg("%s in %zu: \"%s\"", cuts[i].text, cuts[i].size, out);
    }
    char untouched = 'x';
    assert_false(utf8_copy(&untouched, 0, "a"));
    assert_int_equal(untouched, 'x');
}

static void a_copy_onto_itself_is_allowed(void **state)
{
    char text[16] = "Klarlack";
    (void)state;
    assert_true(utf8_copy(text, sizeof text, text + 4));
    assert_string_equal(text, "lack");
}

static void columns_limit_what_fits(void **state)
{
    (void)state;
    assert_int_equal(utf8_fit(WIDE WIDE, 100, 3), 3); /* half of a wide letter is none */
    assert_int_equal(utf8_fit("ab" ACUTE "d", 100, 3), 5);
    assert_int_equal(utf8_fit("abc", 2, 100), 2);
    assert_int_equal(utf8_fit("abc", 0, 100), 0);
}

/* Bytes and pieces that meet each other badly. The seed is fixed: a failure can be told again. */
static size_t random_text(char *out, size_t most, bool valid)
{
    static const char *const pieces[] = {"a", " ", "\xC3\xA4", WIDE, "\xCC\x81", "\xE2\x80\x8D", "\xF0\x9F\x94\xA7",
                                         "z"};
    static const char *const bad[] = {"\x1b", "\n", "\xC2\x9B", "\xE2\x80\xAE", "\xFF", "\xE2\x82", "\xC0", "\xF4\x90"};
    size_t n = 0, count = (size_t)(rand() % 60);
    for (size_t i = 0; i < count; i++) {
        const char *piece = !valid && rand() % 3 == 0 ? bad[rand() % 8] : pieces[rand() % 8];
        if (n + strlen(piece) >= most)
            break;
        memcpy(out + n, piece, strlen(piece));
        n += strlen(piece);
    }
    out[n] = '\0';
    return n;
}

static void whatever_comes_stays_within_its_room(void **state)
{
    enum { ROOM = 80 };
    (void)state;
    srand(20261129);
    for (int round = 0; round < 20000; round++) {
        char text[256], out[ROOM + 1];
        bool valid = round % 2 == 0;
        size_t size = (size_t)(rand() % ROOM);
        random_text(text, sizeof text, valid);
        memset(out, '#', sizeof out);
        utf8_clean(out, size, text);
        for (size_t i = size; i <= ROOM; i++)
            assert_int_equal(out[i], '#');
        if (size > 0 && (!memchr(out, '\0', size) || !utf8_valid(out) || !utf8_is_clean(out)))
            fail_msg("round %d: not clean", round);
        memset(out, '#', sizeof out);
        bool whole = utf8_copy(out, size, text);
        for (size_t i = size; i <= ROOM; i++)
            assert_int_equal(out[i], '#');
        if (size > 0 && (!memchr(out, '\0', size) || (valid && !utf8_valid(out)) ||
                         strncmp(out, text, strlen(out)) != 0 || whole != (strlen(out) == strlen(text))))
            fail_msg("round %d: a copy of another text", round);
    }
}

/* The escapes are those of `poll` in poised.ini, so that a line seen can be pasted there. */
static void bytes_are_escaped_and_none_is_halved(void **state)
{
    static const uint8_t frame[] = "ST,\x02 1\\\xb0\0\r\n";
    char out[64], small[10];
    (void)state;
    assert_string_equal(utf8_escape(out, sizeof out, frame, sizeof frame - 1), "ST,\\x02 1\\x5c\\xb0\\x00\\r\\n");
    assert_string_equal(utf8_escape(small, sizeof small, frame, sizeof frame - 1), "ST,\\x02 1");
    assert_string_equal(utf8_escape(small, 4, frame, sizeof frame - 1), "ST,");
    assert_string_equal(utf8_escape(small, sizeof small, frame, 0), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bytes_are_escaped_and_none_is_halved),
        cmocka_unit_test(table_3_7_row_by_row),
        cmocka_unit_test(text_is_measured_and_cleaned),
        cmocka_unit_test(scripts_that_need_shaping_are_known),
        cmocka_unit_test(a_copy_is_cut_between_characters),
        cmocka_unit_test(a_copy_onto_itself_is_allowed),
        cmocka_unit_test(columns_limit_what_fits),
        cmocka_unit_test(whatever_comes_stays_within_its_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
