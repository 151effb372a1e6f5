/* `poise decode`: a line a frame, the family named or found out. */
#include "client/commands.h"
#include "client/options.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

struct heard {
    int code;
    char out[4096], err[1024];
};

/* `poise decode [--profile NAME] < bytes`, or with a recording in place of the bytes, in this process. */
static struct heard decode_of(const char *profile, const char *recording, const void *bytes, size_t len)
{
    char *argv[] = {"poise", "decode", "--profile", (char *)(uintptr_t)(profile ? profile : "auto"),
                    (char *)(uintptr_t)recording};
    FILE *file[3] = {tmpfile(), tmpfile(), tmpfile()};
    int kept[3] = {-1, -1, -1};
    struct poise_options opt;
    struct heard h = {0};
    fflush(stdout);
    fflush(stderr);
    for (int i = 0; i < 3; i++)
        assert_true(file[i] && (kept[i] = dup(i)) >= 0);
    assert_int_equal(fwrite(bytes, 1, len, file[0]), len);
    rewind(file[0]);
    for (int i = 0; i < 3; i++)
        dup2(fileno(file[i]), i);
    h.code = options_parse(&opt, commands, recording ? 5 : profile ? 4 : 2, argv);
    h.code = h.code ? h.code : opt.command->run(&opt);
    fflush(stdout);
    fflush(stderr);
    for (int i = 0; i < 3; i++) {
        dup2(kept[i], i);
        close(kept[i]);
        rewind(file[i]);
    }
    h.out[fread(h.out, 1, sizeof h.out - 1, file[1])] = '\0';
    h.err[fread(h.err, 1, sizeof h.err - 1, file[2])] = '\0';
    for (int i = 0; i < 3; i++)
        fclose(file[i]);
    return h;
}

static struct heard decode(const char *profile, const void *bytes, size_t len)
{
    return decode_of(profile, NULL, bytes, len);
}

#define HDR2_LINE                                                                                                      \
    "{\"family\":\"hdr2\",\"value\":\"123.45\",\"unit\":\"g\",\"stable\":true,\"kind\":\"unknown\",\"status\":\"ok\"}" \
    "\n"

static const struct {
    const char *name, *profile, *bytes;
    int code;
    const char *out;
} rows[] = {
    {"as the protocol shows it", "hdr2", "ST,+00123.45  g\r\n", 0, HDR2_LINE},
    {"moving, below zero", "sics", "S D     -8.20 g\r\n", 0,
     "{\"family\":\"sics\",\"value\":\"-8.20\",\"unit\":\"g\",\"stable\":false,\"kind\":\"net\",\"status\":\"ok\"}"
     "\n"},
    {"over carries no weight", "sics", "S +\r\n", 0,
     "{\"family\":\"sics\",\"value\":null,\"unit\":null,\"stable\":false,\"kind\":\"unknown\",\"status\":\"over\"}\n"},
    {"half a frame is nothing", "hdr2", "ST,+00123.4", 0, ""},
    {"a head's fragment is nothing", "hdr2", "23.45  g\r\nST,+00123.45  g\r\n", 0, HDR2_LINE},
    {"another family's frames are nothing", "fix16", "ST,+00123.45  g\r\n", 0, ""},
    {"nothing is nothing", "hdr2", "", 0, ""},
    {"nothing is nothing, whoever it may be", NULL, "", 0, ""},
    {"found by one frame, where only one family reads it", NULL, "ST,+00123.45  g\r\n", 0, HDR2_LINE},
    {"found by three in a row after a fragment", NULL,
     "45  g\r\nST,+00123.45  g\r\nST,+00123.45  g\r\nST,+00123.45  g\r\n", 0, HDR2_LINE HDR2_LINE HDR2_LINE},
    {"found though lines end with LF CR", NULL, "ST,+00123.45  g\n\rST,+00123.45  g\n\rST,+00123.45  g\n\r", 0,
     HDR2_LINE HDR2_LINE HDR2_LINE},
    {"two frames among noise are not believed", NULL, "ST,+00123.45  g\r\nnoise\r\nST,+00123.45  g\r\n", 65, ""},
    {"noise is nobody", NULL, "what is this\r\nand this\r\n", 65, ""},
    {"a family that a shop declared", "drivers/profiles/star.ini", "*S*  0012,50 GRM N\r\n", 0,
     "{\"family\":\"star\",\"value\":\"12.50\",\"unit\":\"g\",\"stable\":true,\"kind\":\"net\",\"status\":\"ok\"}\n"},
    {"a profile that is not there", "drivers/profiles/none.ini", "", 66, ""},
    {"a file that is no profile", "./Makefile", "", 65, ""},
    {"two families read it alike: a person decides", NULL, "+00123.45\r\n+00123.45\r\n", 65, ""},
    {"no such family", "bogus", "ST,+00123.45  g\r\n", 64, ""},
};

static void frames_become_lines(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct heard h = decode(rows[i].profile, rows[i].bytes, strlen(rows[i].bytes));
        if (h.code != rows[i].code || strcmp(h.out, rows[i].out) != 0)
            fail_msg("%s: %d\n%s%s", rows[i].name, h.code, h.out, h.err);
        if (h.code != 0 && strncmp(h.err, "poise: ", 7) != 0)
            fail_msg("%s: said \"%s\"", rows[i].name, h.err);
    }
}

static void a_recording_is_read_as_its_bytes(void **state)
{
    (void)state;
    char path[] = "/tmp/poise-recording-XXXXXX";
    FILE *file = fdopen(mkstemp(path), "w");
    assert_non_null(file);
    fputs("# family: hdr2\n# what: a cup\n0 53542c2b30303132332e34352020670d0a\n100 53542c2b\n\n", file);
    fputs("103 30303132332e3435 20 20 67 0d 0a\n", file); /* the second frame, in two chunks */
    fflush(file);
    struct heard h = decode_of("hdr2", path, "", 0);
    assert_int_equal(h.code, 0);
    assert_string_equal(h.out, HDR2_LINE HDR2_LINE);
    assert_string_equal(h.err, "");
    fputs("ST,+00123.45  g\n", file);
    fclose(file);
    h = decode_of(NULL, path, "", 0);
    assert_int_equal(h.code, 65);
    assert_non_null(strstr(h.err, ":7: not a line of a recording. Give one made by poise record"));
    unlink(path);
    h = decode_of(NULL, path, "", 0);
    assert_int_equal(h.code, 66);
}

static void a_long_stream_is_decoded_from_its_beginning(void **state)
{
    enum { FRAMES = 9000 }; /* more than is kept while finding out: 153,000 bytes */
    static char bytes[FRAMES * 17 + 1];
    char *at = bytes;
    (void)state;
    for (int i = 0; i < FRAMES; i++)
        at += sprintf(at, "ST,+%08.2f  g\r\n", i / 100.0);
    struct heard h = decode(NULL, bytes, (size_t)(at - bytes));
    assert_int_equal(h.code, 0);
    assert_string_equal(h.err, "");
    assert_int_equal(strncmp(h.out, "{\"family\":\"hdr2\",\"value\":\"0.00\"", 31), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frames_become_lines),
        cmocka_unit_test(a_recording_is_read_as_its_bytes),
        cmocka_unit_test(a_long_stream_is_decoded_from_its_beginning),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
