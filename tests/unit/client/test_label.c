/* `poise label`: where the PDF goes, what is drawn, and who prints. poise-label is played by a script in PATH that
 * writes what it is given into the file it is told. */
#include "tests/unit/client/played.h"

#include <errno.h>
#include <sys/stat.h>

static char dir[64];

static int with_a_drawing_program(void **state)
{
    char script[96], path[160];
    (void)state;
    snprintf(dir, sizeof dir, "/tmp/poise-XXXXXX");
    if (!mkdtemp(dir) || chdir(dir) != 0)
        return -1;
    snprintf(script, sizeof script, "%s/poise-label", dir);
    FILE *f = fopen(script, "w");
    if (!f)
        return -1;
    fputs("#!/bin/sh\nread -r label\ncase $1 in *refuse*) echo 'poise-label: no' >&2; exit 65 ;; esac\n"
          "if [ \"$1\" = - ]; then echo \"drawn: $label\"; else echo \"$label\" > \"$1\"; fi\n",
          f);
    fclose(f);
    snprintf(path, sizeof path, "%s:/usr/bin:/bin", dir);
    return chmod(script, 0700) != 0 || setenv("PATH", path, 1) != 0 ? -1 : 0;
}

static int remove_it(void **state)
{
    static const char *const files[] = {"poise-label", "label-1042.pdf", "van.pdf", "-odd.pdf"};
    (void)state;
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        if (unlink(files[i]) != 0 && errno != ENOENT)
            return -1;
    return chdir("/") != 0 || rmdir(dir) != 0 ? -1 : 0;
}

static const char drawn[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"label\":{\"batch\":\"1042\",\"copies\":0}}}";
static const char printed[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"printed\":2}}";
static const char jammed[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"error\":{\"code\":-32007,\"message\":\"lp ended with 1\","
                             "\"data\":{\"why\":\"io\",\"help\":\"Look at the printer.\"}}}";

static const struct {
    const char *line;
    const char *answers[2];
    int code;
    size_t calls;
    const char *out;     /* stdout */
    const char *file;    /* NULL: none written */
    const char *content; /* of the file */
} rows[] = {
    {"label 1042", {drawn}, 0, 1, "label-1042.pdf\n", "label-1042.pdf", "{\"batch\":\"1042\",\"copies\":1}\n"},
    {"label #1042", {drawn}, 0, 1, "label-1042.pdf\n", "label-1042.pdf", NULL},
    {"label POISE:1042", {drawn}, 0, 1, "label-1042.pdf\n", "label-1042.pdf", NULL},
    {"label 1042 --out van.pdf --size 62x29",
     {drawn},
     0,
     1,
     "van.pdf\n",
     "van.pdf",
     "{\"batch\":\"1042\",\"copies\":1,\"size_mm\":\"62x29\"}\n"},
    {"label 1042 --out -odd.pdf", {drawn}, 0, 1, "-odd.pdf\n", "-odd.pdf", NULL},
    {"label 1042 --out -", {drawn}, 0, 1, "drawn: {\"batch\":\"1042\",\"copies\":1}\n", NULL, NULL},
    {"label 1042 --json", {drawn}, 0, 1, "{\"batch\":\"1042\",\"out\":\"label-1042.pdf\"}\n", "label-1042.pdf", NULL},
    {"label 1042 --copies 2", {printed}, 0, 1, "2 labels of batch 1042 handed to the printer\n", NULL, NULL},
    {"label 1042 --copies 2 --out van.pdf",
     {drawn, printed},
     0,
     2,
     "van.pdf\n2 labels of batch 1042 handed to the printer\n",
     "van.pdf",
     NULL},
    {"label 1042 --copies 1", {jammed}, 74, 1, "", NULL, NULL},
    {"label 1042 --out refuse.pdf", {drawn}, 65, 1, "", NULL, NULL}, /* the program's own code */
};

static void check_file(size_t row)
{
    char text[512] = "";
    FILE *f = fopen(rows[row].file ? rows[row].file : "label-1042.pdf", "r");
    if (!rows[row].file && f)
        fail_msg("%s: wrote a file", rows[row].line);
    if (!rows[row].file)
        return;
    if (!f)
        fail_msg("%s: no %s", rows[row].line, rows[row].file);
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    fclose(f);
    unlink(rows[row].file);
    if (rows[row].content && strcmp(text, rows[row].content) != 0)
        fail_msg("%s: drew %s", rows[row].line, text);
}

static void a_label_is_drawn_or_printed(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct played p = {.answers = {rows[i].answers[0], rows[i].answers[1]}};
        play_begin(&p);
        struct heard h = run(&p, rows[i].line);
        size_t calls = p.count;
        play_end(&p);
        if (h.code != rows[i].code || calls != rows[i].calls || strcmp(h.out, rows[i].out) != 0)
            fail_msg("%s: %d, %zu calls, \"%s\" %s", rows[i].line, h.code, calls, h.out, h.err);
        check_file(i);
    }
}

static void the_daemon_draws_nothing_and_prints_as_many(void **state)
{
    struct played p = {.answers = {drawn, printed}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "label 1042 --copies 2 --out van.pdf");
    assert_int_equal(h.code, 0);
    expect(&p, 0, "copies", "0");
    expect(&p, 1, "copies", "2");
    expect(&p, 1, "batch", "\"1042\"");
    char *request = member(&p, 1, "request"); /* printing twice would waste paper */
    assert_int_equal(strlen(request), 33 + 2);
    free(request);
    play_end(&p);
}

static void what_cannot_be_is_refused_before_the_daemon_is_asked(void **state)
{
    static const struct {
        const char *line;
        int code;
    } bad[] = {{"label ../../etc", 65},
               {"label 10x", 65},
               {"label #", 65},
               {"label 1042 --size 20x20", 64},
               {"label 1042 --size 62x29x1", 64},
               {"label 1042 --copies 0", 64},
               {"label 1042 --copies 1.5", 64},
               {"label 1042 --copies two", 64},
               {"label 1042 --copies 101", 64}};
    struct played p = {.path = "/nowhere/poised.sock"}; /* asked, it would be 69 */
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct heard h = run(&p, bad[i].line);
        if (h.code != bad[i].code)
            fail_msg("%s: %d %s", bad[i].line, h.code, h.err);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_label_is_drawn_or_printed),
        cmocka_unit_test(the_daemon_draws_nothing_and_prints_as_many),
        cmocka_unit_test(what_cannot_be_is_refused_before_the_daemon_is_asked),
    };
    return cmocka_run_group_tests(tests, with_a_drawing_program, remove_it);
}
