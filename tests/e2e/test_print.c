/* A print command that counts, and that fails when told to: one request prints once, a print that fails is said and
 * undoes nothing. */
#include "tests/e2e/story.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

/* What the shop's printer is: it writes a line for each label, or says why not. */
static char printer[64];

static void printer_path(char out[128], const char *name)
{
    snprintf(out, 128, "%s/%s", printer, name);
}

static void write_text(const char *name, const char *text)
{
    char path[128];
    printer_path(path, name);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(text, f);
    fclose(f);
}

static void set_jammed(bool jammed)
{
    char path[128];
    printer_path(path, "jam");
    if (jammed)
        write_text("jam", "");
    else
        unlink(path);
}

static int prints(void)
{
    char path[128];
    int lines = 0;
    printer_path(path, "count");
    FILE *f = fopen(path, "r");
    for (int c; f && (c = fgetc(f)) != EOF;)
        lines += c == '\n';
    if (f)
        fclose(f);
    return lines;
}

static int begin(void **state)
{
    static char lines[256];
    char script[512];
    snprintf(printer, sizeof printer, "/tmp/poise-printer-XXXXXX");
    assert_non_null(mkdtemp(printer));
    snprintf(script, sizeof script,
             "if [ -e %s/jam ]; then echo out of paper >&2; exit 1; fi\n[ -s \"$1\" ] && echo label >> %s/count\n"
             "[ -e %s/stuck ] && sleep 1000\nexit 0\n",
             printer, printer, printer);
    write_text("printer", script);
    snprintf(lines, sizeof lines, "[print]\ncommand = sh %s/printer\nsize_mm = 62x29\n", printer);
    static const struct harness_setup setup = {.data = "tests/data/story", .config_lines = lines};
    return harness_begin(state, &setup);
}

static int end(void **state)
{
    static const char *const files[] = {"jam", "stuck", "count", "printer"};
    char path[128];
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        printer_path(path, files[i]);
        unlink(path);
    }
    rmdir(printer);
    return harness_end(state);
}

static void poured(struct harness *h, char id[16])
{
    story_cup(h, "{'formula':'TS-1','grams':100,'reduce_pct':0}");
    story_batch(h, id);
    story_pour(h, 50);
    story_pour(h, 30);
    story_pour(h, 20);
    story_is(h, "state", "done");
}

static void one_request_prints_once(void **state)
{
    struct harness *h = *state;
    char id[16];
    poured(h, id);
    json_t *first = json_deep_copy(story_call(h, "batch.label", "{'batch':'%s','copies':1,'request':'l-1'}", id));
    story_number(first, "printed", 1);
    assert_int_equal(1, prints());
    assert_true(json_equal(first, story_call(h, "batch.label", "{'batch':'%s','copies':1,'request':'l-1'}", id)));
    assert_int_equal(1, prints());
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    harness_start(h);
    assert_true(json_equal(first, story_call(h, "batch.label", "{'batch':'%s','copies':1,'request':'l-1'}", id)));
    assert_int_equal(1, prints());
    story_call(h, "batch.label", "{'batch':'%s','copies':1,'request':'l-2'}", id);
    assert_int_equal(2, prints());
    story_text(story_fault(h, "toner.put", -32602, "{'id':'A','request':'l-1'}"), "field", "request");
    json_decref(first);
}

static void two_at_once_print_once(void **state)
{
    struct harness *h = *state;
    char id[16];
    poured(h, id);
    json_t *params = json_pack("{s:s,s:i,s:s}", "batch", id, "copies", 1, "request", "l-1");
    int one = harness_send(h, "batch.label", json_incref(params)), two = harness_send(h, "batch.label", params);
    assert_non_null(json_object_get(harness_answer(h, one), "result"));
    assert_non_null(json_object_get(harness_answer(h, two), "result"));
    assert_int_equal(1, prints());
}

static void a_print_that_failed_may_be_asked_for_again(void **state)
{
    struct harness *h = *state;
    char id[16];
    poured(h, id);
    set_jammed(true);
    for (int i = 0; i < 2; i++) {
        json_t *data = story_fault(h, "batch.label", -32009, "{'batch':'%s','copies':1,'request':'l-1'}", id);
        story_text(data, "why", "printer");
        assert_non_null(strstr(json_string_value(story_at(data, "args.why")), "out of paper"));
    }
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    harness_start(h);
    story_fault(h, "batch.label", -32009, "{'batch':'%s','copies':1,'request':'l-1'}", id);
    assert_int_equal(0, prints());
    set_jammed(false);
    for (int i = 0; i < 2; i++)
        story_number(story_call(h, "batch.label", "{'batch':'%s','copies':1,'request':'l-1'}", id), "printed", 1);
    assert_int_equal(1, prints());
}

/* It ended with a signal, 30 s later: the label came back to a store that was closed. What it may not know it asks
 * again. */
static void the_end_comes_while_a_printer_is_stuck(void **state)
{
    struct harness *h = *state;
    char id[16], path[128];
    poured(h, id);
    write_text("stuck", "");
    harness_send(h, "batch.label", json_pack("{s:s,s:i,s:s}", "batch", id, "copies", 1, "request", "l-1"));
    for (int64_t deadline = harness_deadline(); prints() == 0;)
        harness_step(h, deadline, "the printer");
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    harness_start(h);
    printer_path(path, "stuck");
    unlink(path);
    story_number(story_call(h, "batch.label", "{'batch':'%s','copies':1,'request':'l-1'}", id), "printed", 1);
    assert_int_equal(2, prints());
}

static bool is_in_trouble(json_t *screen, const void *with)
{
    (void)with;
    return json_is_object(json_object_get(screen, "trouble"));
}

static void a_finish_stands_whose_print_fails(void **state)
{
    struct harness *h = *state;
    char id[16];
    poured(h, id);
    set_jammed(true);
    json_t *params = json_pack("{s:i,s:s}", "label", 1, "request", "f-1");
    harness_act(h, "bench", "batch.finish", json_incref(params));
    story_is(h, "state", "idle");
    json_t *screen = harness_wait_screen(h, "bench", is_in_trouble, NULL);
    story_text(screen, "trouble.said.code", "not_printed");
    assert_non_null(strstr(json_string_value(story_at(screen, "trouble.said.args.why")), "out of paper"));
    story_text(story_call(h, "batch.get", "{'batch':'%s'}", id), "state", "finished");
    set_jammed(false);
    json_decref(params);
    story_call(h, "batch.label", "{'batch':'%s','copies':1}", id);
    assert_int_equal(1, prints());
}

static void a_finish_repeated_prints_once(void **state)
{
    struct harness *h = *state;
    char id[16];
    poured(h, id);
    json_int_t revision = json_integer_value(json_object_get(harness_screen(h, "bench"), "revision"));
    for (int i = 0; i < 2; i++)
        story_call(h, "batch.finish", "{'station':'bench','revision':%d,'label':1,'request':'f-1'}", (int)revision);
    story_call(h, "batch.label", "{'batch':'%s','copies':1,'request':'l-1'}", id);
    int64_t deadline = harness_deadline();
    while (prints() < 2)
        harness_step(h, deadline, "the finish's label and the one asked for");
    assert_int_equal(harness_stop(h, SIGTERM), 0); /* whatever was still to be printed is */
    assert_int_equal(2, prints());
}

/* `poise label --out` to a pipe that somebody reads at the other end: it is written to, not replaced by a file. */
static void a_fifo_gets_its_label(void **state)
{
    struct harness *h = *state;
    char id[16], fifo[128], pdf[16] = "", out[256], err[256];
    struct stat st;
    poured(h, id);
    printer_path(fifo, "count");
    assert_int_equal(mkfifo(fifo, 0600), 0);
    pid_t reader = fork();
    assert_true(reader >= 0);
    if (reader == 0) { /* to the end, else the writer hears that nobody reads */
        int fd = open(fifo, O_RDONLY);
        char rest[4096];
        bool good = read(fd, pdf, 5) == 5 && memcmp(pdf, "%PDF-", 5) == 0;
        while (read(fd, rest, sizeof rest) > 0)
            ;
        _exit(good ? 0 : 1);
    }
    const char *const argv[] = {"poise", "label", id, "--out", fifo, NULL};
    assert_int_equal(harness_run(h, argv, NULL, out, sizeof out, err, sizeof err), 0);
    int status = -1;
    assert_int_equal(waitpid(reader, &status, 0), reader);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    assert_true(stat(fifo, &st) == 0 && S_ISFIFO(st.st_mode));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(one_request_prints_once, begin, end),
        cmocka_unit_test_setup_teardown(two_at_once_print_once, begin, end),
        cmocka_unit_test_setup_teardown(a_print_that_failed_may_be_asked_for_again, begin, end),
        cmocka_unit_test_setup_teardown(the_end_comes_while_a_printer_is_stuck, begin, end),
        cmocka_unit_test_setup_teardown(a_finish_stands_whose_print_fails, begin, end),
        cmocka_unit_test_setup_teardown(a_finish_repeated_prints_once, begin, end),
        cmocka_unit_test_setup_teardown(a_fifo_gets_its_label, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
