/* The program: what it refuses, with which exit and words, and that a file is whole or not there. */
#include "drawn.h"
#include "text/version.h"

#include <sys/stat.h>

static void bad_data_is_refused_in_one_line(void **state)
{
    (void)state;
    static const struct {
        const char *old, *new, *what;
    } rows[] = {
        {"\"62x29\"", "\"62\"", "size_mm: "},
        {"\"62x29\"", "\"62x29x4\"", "size_mm: "},
        {"\"62x29\"", "\"20x10\"", "size_mm: "},
        {"\"62x29\"", "\"nanx29\"", "size_mm: "},
        {"\"62x29\"", "\"1e9x29\"", "size_mm: "},
        {"\"62x29\"", "62", "size_mm: "},
        {"\"1042\"", "1042", "batch: "},
        {"\"1042\"", "\"\"", "batch: "},
        {"\"1042\"", "\"10-42\"", "batch: "},
        {"\"1042\"", "\"1234567890123\"", "batch: "},
        {"\"TI-207\"", "null", "code: "},
        {"\"Copperwing\"", "[]", "name: "},
        {"\"copies\":1", "\"copies\":0", "copies: "},
        {"\"copies\":1", "\"copies\":101", "copies: "},
        {"\"copies\":1", "\"copies\":1.5", "copies: "},
        {"\"copies\":1", "\"copies\":\"1\"", "copies: "},
        {"\"lid\":false", "\"lid\":1", "lid: "},
        {"\"with\":[]", "\"with\":\"1031\"", "with: "},
        {"\"with\":[]", "\"with\":[1031]", "with: "},
        {"\"with\":[]", "\"with\":[],\"with\":[]", "standard input: "},
        {"\"mid\"", "\"m\\u0000d\"", "standard input: "},
        {"\"mid\"", "\"\xff\"", "standard input: "},
        {"}", "", "standard input: "},
        {"}", "} x", "standard input: "},
    };
    char *path = in_folder("refused.pdf");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char complaint[512];
        char *json = with(roomy, rows[i].old, rows[i].new);
        int code = run(json, path, complaint);
        if (code != 65 || strncmp(complaint, "poise-label: ", 13) != 0 ||
            strncmp(complaint + 13, rows[i].what, strlen(rows[i].what)) != 0 ||
            strchr(complaint, '\n') != complaint + strlen(complaint) - 1)
            fail_msg("%s: exit %d, %s", rows[i].new, code, complaint);
        assert_int_equal(access(path, F_OK), -1);
        free(json);
    }
    char complaint[512];
    assert_int_equal(run("[]", path, complaint), 65);
    assert_int_equal(run("\n", path, complaint), 65);
    char *large = calloc(1, 70000);
    assert_non_null(large);
    memset(large, ' ', 69999);
    assert_int_equal(run(large, path, complaint), 65);
    holds(complaint, "64 KiB");
    free(large);
    free(path);
}

static void a_file_is_whole_or_not_there(void **state)
{
    (void)state;
    char complaint[512];
    char *nowhere = in_folder("nowhere/label.pdf");
    assert_int_equal(run(roomy, nowhere, complaint), 74);
    holds(complaint, "nowhere/label.pdf: no such file. ");
    char full[] = "/dev/full";
    assert_int_equal(run(roomy, full, complaint), 74);
    holds(complaint, "/dev/full: ");
    /* A folder of that name cannot be replaced: the part beside it must go again. */
    char *taken = in_folder("taken.pdf");
    assert_int_equal(mkdir(taken, 0700), 0);
    assert_int_equal(run(roomy, taken, complaint), 74);
    char *left = tool("ls -A", folder, "");
    holds_not(left, ".part");
    free(left);
    assert_int_equal(rmdir(taken), 0);
    free(taken);
    free(nowhere);
    /* An old label is replaced by a whole new one. */
    free(drawn(roomy));
    char *text = text_of(compact);
    holds(text, "1043");
    holds_not(text, "1042");
    free(text);
}

static int plain(const char *called, int argc, const char *first, const char *second, char **out, char **err)
{
    char *argv[] = {(char *)(uintptr_t)called, (char *)(uintptr_t)first, (char *)(uintptr_t)second, NULL};
    size_t out_size = 0;
    size_t err_size = 0;
    FILE *in = fmemopen((void *)(uintptr_t)roomy, strlen(roomy), "r");
    FILE *to = open_memstream(out, &out_size);
    FILE *complaints = open_memstream(err, &err_size);
    if (!in || !to || !complaints)
        fail_msg("no memory");
    int code = label_program(argc, argv, in, to, complaints);
    (void)fclose(in);
    (void)fclose(to);
    (void)fclose(complaints);
    return code;
}

static void options(void **state)
{
    (void)state;
    static const struct {
        const char *called;
        int argc;
        const char *first, *second;
        int code;
        const char *out, *err;
    } rows[] = {
        {"poise-label", 2, "--help", NULL, 0, "poise-label OUT.pdf", ""},
        {"poise-label", 2, "--version", NULL, 0, "poise-label " POISE_VERSION "\n", ""},
        {"poise-label", 3, "x.pdf", "--help", 0, "poise-label OUT.pdf", ""},
        {"poise-label", 2, "--frobnicate", NULL, 64, "", "poise-label: --frobnicate: not an option. "},
        {"poise-label", 1, NULL, NULL, 64, "", "poise-label: OUT.pdf: not given. "},
        {"poise-label", 3, "a.pdf", "b.pdf", 64, "", "poise-label: b.pdf: one file too many. "},
        {"poise-label", 2, "-", NULL, 0, "%PDF-", ""},
        {"poise", 2, "--frobnicate", NULL, 64, "", "poise: --frobnicate: not an option. "},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *out = NULL;
        char *err = NULL;
        int code = plain(rows[i].called, rows[i].argc, rows[i].first, rows[i].second, &out, &err);
        assert_int_equal(code, rows[i].code);
        assert_int_equal(strncmp(out, rows[i].out, strlen(rows[i].out)), 0);
        assert_int_equal(strncmp(err, rows[i].err, strlen(rows[i].err)), 0);
        free(out);
        free(err);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_data_is_refused_in_one_line),
        cmocka_unit_test(a_file_is_whole_or_not_there),
        cmocka_unit_test(options),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
