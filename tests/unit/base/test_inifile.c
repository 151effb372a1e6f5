#include "inifile.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

static bool read_bytes(const char *bytes, size_t len, struct ini_file *out, struct file_faults *faults)
{
    FILE *in = fmemopen((void *)(uintptr_t)bytes, len, "r");
    assert_non_null(in);
    bool fine = ini_stream_read(in, "a.ini", out, faults);
    fclose(in);
    return fine;
}

/* All sections as one text: [NAME]LINE key=value@LINE ... */
static char *flatten(const struct ini_file *f)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    for (size_t i = 0; i < f->count; i++) {
        const struct ini_section *s = &f->section[i];
        fprintf(out, "[%s]%d ", s->name, s->line);
        for (size_t k = 0; k < s->count; k++)
            fprintf(out, "%s=%s@%d ", s->entry[k].key, s->entry[k].value, s->entry[k].line);
    }
    fclose(out);
    return text;
}

static const struct {
    const char *name, *text, *want;
} good[] = {
    {"a setting", "[a]\nk = v\n", "[a]1 k=v@2 "},
    {"no line end at the end", "[a]\nk = v", "[a]1 k=v@2 "},
    {"CR LF", "[a]\r\nk = v\r\n", "[a]1 k=v@2 "},
    {"a byte order mark", "\xef\xbb\xbf[a]\nk = v\n", "[a]1 k=v@2 "},
    {"empty sections are seen, also at the end", "[a]\n[b]\nk = v\n[c]", "[a]1 [b]2 k=v@3 [c]4 "},
    {"comments at the left edge", "# x\n; y = z\n[a]\n#k = v\nk = v\n", "[a]3 k=v@5 "},
    {"a comment behind a value, space and ;", "[a]\nk = v ; x\nl = w\t;x\n", "[a]1 k=v@2 l=w@3 "},
    {"a ; without a space is the value's, a # always", "[a]\nk = v;x # y\n", "[a]1 k=v;x # y@2 "},
    {"a comment behind a section", "[a] ; x\nk = v\n", "[a]1 k=v@2 "},
    {"spaces around a section's name", "[ a b ]\n", "[a b]1 "},
    {"a : in the value, and a second =", "[a]\nratio = 4:1:1\nport = tcp:h:1=2\n",
     "[a]1 ratio=4:1:1@2 port=tcp:h:1=2@3 "},
    {"no spaces around =", "[a]\nk=v\n", "[a]1 k=v@2 "},
    {"the same key twice is for the caller to judge", "[a]\nN10 = 1\nK01 = 2\nN10 = 3\n",
     "[a]1 N10=1@2 K01=2@3 N10=3@4 "},
    {"UTF-8 of two, three and four bytes", "[a]\nname = M\xc3\xb6we \xe2\x82\xac \xf0\x9f\x8e\xa8\n",
     "[a]1 name=M\xc3\xb6we \xe2\x82\xac \xf0\x9f\x8e\xa8@2 "},
    {"blank lines and lines of spaces", "\n[a]\n \t \n\nk = v\n", "[a]2 k=v@5 "},
    {"48 bytes of a section's name", "[123456789012345678901234567890123456789012345678]\n",
     "[123456789012345678901234567890123456789012345678]1 "},
    {"nothing at all", "\n", ""},
};

static void what_is_well_written_is_read_with_its_lines(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        struct ini_file f;
        struct file_faults faults = {0};
        bool fine = read_bytes(good[i].text, strlen(good[i].text), &f, &faults);
        char *got = flatten(&f);
        if (!fine || strcmp(got, good[i].want) != 0)
            fail_msg("%s: got %s (%zu faults), want %s", good[i].name, got, faults.count, good[i].want);
        free(got);
        ini_file_finish(&f);
        file_faults_finish(&faults);
    }
}

#define BYTES(text) text, sizeof(text) - 1

static const struct {
    const char *name, *text;
    size_t len;
    int line;
    const char *why;
} bad[] = {
    {"an indented line", BYTES("[a]\nk = v\n  w\n"), 3, "the line is indented"},
    {"an indented setting", BYTES("[a]\nk = v\n\tl = w\n"), 3, "the line is indented"},
    {"an indented comment", BYTES("[a]\n # x\n"), 2, "the line is indented"},
    {"a NUL hides the rest of its line", BYTES("[a]\nk = v\0x\n"), 2, "the line holds a NUL byte"},
    {"a NUL in a comment", BYTES("# \0\n[a]\n"), 1, "the line holds a NUL byte"},
    {"another control character", BYTES("[a]\nk = \x1b[1m\n"), 2,
     "the line holds a control character, or one that cannot be seen"},
    {"a space of no width", BYTES("[a]\nk = v\xe2\x80\x8bw\n"), 2,
     "the line holds a control character, or one that cannot be seen"},
    {"a mark of direction", BYTES("[a]\nk = \xe2\x80\xaev\n"), 2,
     "the line holds a control character, or one that cannot be seen"},
    {"a CR in the middle", BYTES("[a]\nk = v\rl = w\n"), 2,
     "the line holds a control character, or one that cannot be seen"},
    {"Latin-1", BYTES("[a]\nname = M\xf6we\n"), 2, "the line is not UTF-8"},
    {"half a character at the end", BYTES("[a]\nname = \xe2\x82\n"), 2, "the line is not UTF-8"},
    {"too long a form", BYTES("[a]\nname = \xc0\xaf\n"), 2, "the line is not UTF-8"},
    {"a surrogate", BYTES("[a]\nname = \xed\xa0\x80\n"), 2, "the line is not UTF-8"},
    {"beyond U+10FFFF", BYTES("[a]\nname = \xf4\x90\x80\x80\n"), 2, "the line is not UTF-8"},
    {": for =", BYTES("[a]\nk : v\n"), 2, "the line is neither setting nor comment"},
    {": before =", BYTES("[a]\nk : v = w\n"), 2, "a : stands where only = separates"},
    {"words alone", BYTES("[a]\nN10\n"), 2, "the line is neither setting nor comment"},
    {"an = in the comment only", BYTES("[a]\nN10 ; = 3\n"), 2, "the line is neither setting nor comment"},
    {"no key", BYTES("[a]\n= v\n"), 2, "nothing stands before the ="},
    {"no value", BYTES("[a]\nk =\n"), 2, "nothing stands behind the ="},
    {"only a comment for a value", BYTES("[a]\nk = ; v\n"), 2, "nothing stands behind the ="},
    {"a setting above every section", BYTES("k = v\n[a]\n"), 1, "the setting belongs to no section"},
    {"a section not closed", BYTES("[a\nk = v\n"), 1, "the section's name is not closed"},
    {"a section closed in a comment", BYTES("[a ;]\n"), 1, "the section's name is not closed"},
    {"a section without a name", BYTES("[]\n"), 1, "the section has no name"},
    {"a section of spaces", BYTES("[  ]\n"), 1, "the section has no name"},
    {"something behind a section", BYTES("[a] k = v\n"), 1, "something stands behind the section's name"},
    {"49 bytes of a section's name", BYTES("[1234567890123456789012345678901234567890123456789]\n"), 1,
     "the section's name is longer than 48 bytes"},
};

static void what_inih_would_misread_is_refused_at_its_line(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct ini_file f;
        struct file_faults faults = {0};
        bool fine = read_bytes(bad[i].text, bad[i].len, &f, &faults);
        if (fine || faults.count != 1)
            fail_msg("%s: %zu faults", bad[i].name, faults.count);
        const struct file_fault *fault = &faults.fault[0];
        if (fault->line != bad[i].line || strcmp(fault->why, bad[i].why) != 0 || strcmp(fault->file, "a.ini") != 0)
            fail_msg("%s: got %s:%d: %s, want line %d: %s", bad[i].name, fault->file, fault->line, fault->why,
                     bad[i].line, bad[i].why);
        if (!fault->help[0])
            fail_msg("%s: no way to mend it", bad[i].name);
        ini_file_finish(&f);
        file_faults_finish(&faults);
    }
}

/* inih as Debian builds it splits a line of 200 bytes and reads its rest as one of its own. */
static void lines_of_a_thousand_bytes_are_whole_and_longer_ones_refused(void **state)
{
    (void)state;
    static const char tail[] = "\nl = w\n";
    for (size_t len = 195; len <= 3000; len = len < 210 ? len + 1 : len < 998 ? 998 : len < 1004 ? len + 1 : len * 2) {
        for (int ends_with_cr = 0; ends_with_cr < 2; ends_with_cr++) {
            char text[7000];
            memcpy(text, "[a]\nk = ", 8);
            memset(text + 8, 'x', len - 4);
            size_t n = 8 + len - 4;
            if (ends_with_cr)
                text[n++] = '\r';
            memcpy(text + n, tail, sizeof tail - 1);
            n += sizeof tail - 1;
            struct ini_file f;
            struct file_faults faults = {0};
            bool fine = read_bytes(text, n, &f, &faults);
            if (fine != (len <= 1000))
                fail_msg("%zu bytes: %s", len, fine ? "taken" : "refused");
            const struct ini_section *s = &f.section[0];
            assert_int_equal(s->count, fine ? 2 : 1);
            assert_string_equal(s->entry[s->count - 1].key, "l");
            assert_int_equal(s->entry[s->count - 1].line, 3);
            if (fine)
                assert_int_equal(strlen(s->entry[0].value), len - 4);
            else
                assert_int_equal(faults.fault[0].line, 2);
            ini_file_finish(&f);
            file_faults_finish(&faults);
        }
    }
}

static void every_fault_is_found_in_one_reading(void **state)
{
    (void)state;
    static const char text[] = "k = v\n[a]\n l = w\nm\nn =\n[b\nx = y\n[c]\nz = \xff\n";
    static const int lines[] = {1, 3, 4, 5, 6, 9}; /* not 7: its section is what is wrong */
    struct ini_file f;
    struct file_faults faults = {0};
    assert_false(read_bytes(text, sizeof text - 1, &f, &faults));
    assert_int_equal(faults.count, sizeof lines / sizeof *lines);
    for (size_t i = 0; i < faults.count; i++)
        assert_int_equal(faults.fault[i].line, lines[i]);
    ini_file_finish(&f);
    file_faults_finish(&faults);
}

static void faults_stop_at_a_hundred(void **state)
{
    (void)state;
    char text[1200] = "[a]\n";
    for (int i = 0; i < 300; i++)
        strcat(text, "x\n");
    struct ini_file f;
    struct file_faults faults = {0};
    assert_false(read_bytes(text, strlen(text), &f, &faults));
    assert_int_equal(faults.count, FILE_FAULTS_MAX);
    ini_file_finish(&f);
    file_faults_finish(&faults);
}

static bool knows(const void *arg, const char *key, char *known, size_t size)
{
    (void)arg;
    snprintf(known, size, "name, colour");
    return strcmp(key, "name") == 0 || strcmp(key, "colour") == 0;
}

static void settings_not_known_and_settings_twice_are_named(void **state)
{
    (void)state;
    static const char text[] = "[a]\nname = x\ncolor = y\nname = z\n";
    struct ini_file f;
    struct file_faults faults = {0};
    assert_true(read_bytes(text, sizeof text - 1, &f, &faults));
    assert_false(ini_section_check(&f, &f.section[0], knows, NULL, &faults));
    assert_int_equal(faults.count, 2);
    assert_int_equal(faults.fault[0].line, 3);
    assert_string_equal(faults.fault[0].field, "color");
    assert_string_equal(faults.fault[0].help, "It may be one of: name, colour.");
    assert_int_equal(faults.fault[1].line, 4);
    assert_string_equal(faults.fault[1].field, "name");
    assert_string_equal(faults.fault[1].why, "it stands in line 2 already");
    ini_file_finish(&f);
    file_faults_finish(&faults);
}

static void a_fault_is_one_line_with_file_line_field_why_and_what_fixes_it(void **state)
{
    (void)state;
    struct file_faults faults = {0};
    char *text = NULL;
    size_t size;
    file_faults_add(&faults, "d/a.ini", 12, "voc_pct",
                    say("member_from_to field=%s least=%d most=%d", "voc_pct", 0, 100));
    file_faults_add(&faults, "d/b.ini", 0, NULL, say("file_unreadable why=%s", "No such file"));
    FILE *out = open_memstream(&text, &size);
    for (int i = 0; i < 2; i++)
        file_fault_print(&faults.fault[i], WORDS_EN, out);
    file_fault_print(&faults.fault[1], WORDS_DE, out);
    fclose(out);
    assert_string_equal(text, "d/a.ini:12: voc_pct: must be from 0 to 100. Give a number from 0 to 100.\n"
                              "d/b.ini: it cannot be read: No such file. Give the path of a file that may be read.\n"
                              "d/b.ini: nicht lesbar: No such file. Den Pfad einer lesbaren Datei angeben.\n");
    free(text);
    file_faults_finish(&faults);
}

/* A field is as long as a line: cut, it must still be UTF-8, since it goes into JSON. */
static void a_long_field_is_cut_between_characters(void **state)
{
    (void)state;
    for (size_t shift = 0; shift < 3; shift++) {
        char field[200] = "xx";
        field[shift] = '\0';
        for (int i = 0; i < 40; i++)
            strcat(field, "\xe2\x82\xac");
        struct file_faults faults = {0};
        file_faults_add(&faults, "a.ini", 1, field, say("ini_no_value"));
        size_t n = strlen(faults.fault[0].field);
        assert_int_equal((n - shift) % 3, 0);
        assert_true(n >= 60);
        assert_memory_equal(faults.fault[0].field, field, n);
        file_faults_finish(&faults);
    }
}

static void a_file_that_is_not_there_is_a_fault_of_the_file(void **state)
{
    (void)state;
    struct ini_file f;
    struct file_faults faults = {0};
    assert_false(ini_file_read("/tmp/no/such/poise.ini", &f, &faults));
    assert_int_equal(faults.fault[0].line, 0);
    assert_string_equal(faults.fault[0].file, "/tmp/no/such/poise.ini");
    ini_file_finish(&f);
    file_faults_finish(&faults);
    assert_false(ini_file_read("/tmp", &f, &faults)); /* a folder opens, but cannot be read */
    assert_non_null(strstr(faults.fault[0].why, "cannot be read"));
    ini_file_finish(&f);
    file_faults_finish(&faults);
}

/* Opening a pipe that nobody writes to would wait for ever: this test would never end. */
static void a_pipe_and_a_folder_are_no_files(void **state)
{
    (void)state;
    char dir[] = "/tmp/poise-ini-XXXXXX", pipe[64];
    assert_non_null(mkdtemp(dir));
    snprintf(pipe, sizeof pipe, "%s/a.ini", dir);
    assert_int_equal(mkfifo(pipe, 0600), 0);
    const char *const paths[] = {pipe, dir};
    for (size_t i = 0; i < 2; i++) {
        struct ini_file f;
        struct file_faults faults = {0};
        assert_false(ini_file_read(paths[i], &f, &faults));
        assert_int_equal(faults.count, 1);
        assert_int_equal(faults.fault[0].line, 0);
        assert_non_null(strstr(faults.fault[0].why, i == 0 ? "not a plain file" : "it is a folder"));
        ini_file_finish(&f);
        file_faults_finish(&faults);
    }
    assert_int_equal(unlink(pipe), 0);
    assert_int_equal(rmdir(dir), 0);
}

static const struct {
    const char *text;
    bool fits;
    double value;
} numbers[] = {
    {"38.50", true, 38.5}, {"0", true, 0},     {"-2.5", true, -2.5}, {"1e3", true, 1000}, {".5", true, 0.5},
    {"12,5", false, 0},    {"0x10", false, 0}, {"inf", false, 0},    {"nan", false, 0},   {"", false, 0},
    {"1e999", false, 0},   {"12 g", false, 0}, {"1.2.3", false, 0},  {"-", false, 0},     {"1e", false, 0},
    {"+3", true, 3},       {" 3", false, 0},   {"1_000", false, 0},
};

static void only_plain_decimal_numbers_are_numbers(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        double value = -1;
        bool fits = ini_number(numbers[i].text, &value);
        if (fits != numbers[i].fits)
            fail_msg("%s: %s", numbers[i].text, fits ? "taken" : "refused");
        if (fits && value != numbers[i].value)
            fail_msg("%s: got %g", numbers[i].text, value);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_well_written_is_read_with_its_lines),
        cmocka_unit_test(what_inih_would_misread_is_refused_at_its_line),
        cmocka_unit_test(lines_of_a_thousand_bytes_are_whole_and_longer_ones_refused),
        cmocka_unit_test(every_fault_is_found_in_one_reading),
        cmocka_unit_test(faults_stop_at_a_hundred),
        cmocka_unit_test(settings_not_known_and_settings_twice_are_named),
        cmocka_unit_test(a_fault_is_one_line_with_file_line_field_why_and_what_fixes_it),
        cmocka_unit_test(a_long_field_is_cut_between_characters),
        cmocka_unit_test(a_file_that_is_not_there_is_a_fault_of_the_file),
        cmocka_unit_test(a_pipe_and_a_folder_are_no_files),
        cmocka_unit_test(only_plain_decimal_numbers_are_numbers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
