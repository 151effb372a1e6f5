/* Exit codes, from the table of the protocol's errors, and the one line on stderr. */
#include "client/output.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

/* Source: the protocol's table of errors, section 3 of the contract. */
static const struct {
    int code, exit;
} rows[] = {
    {-32700, 70}, {-32600, 70}, {-32601, 64}, {-32602, 65}, {-32603, 70}, {-32001, 65},
    {-32002, 75}, {-32003, 75}, {-32004, 65}, {-32005, 65}, {-32006, 77}, {-32007, 74},
    {-32008, 65}, {-32009, 74}, {-32099, 70}, {0, 70},      {1, 70},
};

static void each_error_has_its_exit_code(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (failure_exit(rows[i].code) != rows[i].exit)
            fail_msg("%d: exit %d, want %d", rows[i].code, failure_exit(rows[i].code), rows[i].exit);
}

static int kept;
static FILE *heard;

static void listen_to_stderr(void)
{
    fflush(stderr);
    heard = tmpfile();
    kept = dup(STDERR_FILENO);
    assert_true(heard && kept >= 0 && dup2(fileno(heard), STDERR_FILENO) >= 0);
}

static void heard_on_stderr(char *text, size_t size)
{
    fflush(stderr);
    dup2(kept, STDERR_FILENO);
    close(kept);
    rewind(heard);
    text[fread(text, 1, size - 1, heard)] = '\0';
    fclose(heard);
}

static const struct {
    const char *json, *line;
    int exit;
} errors[] = {
    {"{\"code\":-32005,\"message\":\"grams is negative.\",\"data\":{\"field\":\"grams\",\"why\":\"negative\","
     "\"help\":\"Give a weight above 0 g.\"}}",
     "poise: begin: grams is negative. Give a weight above 0 g.\n", 65},
    {"{\"code\":-32003,\"message\":\"moved on\",\"data\":{\"help\":\"Look again\",\"revision\":7}}",
     "poise: begin: moved on. Look again.\n", 75},
    {"{\"code\":-32002,\"message\":\"it is absent: is it on?\",\"data\":{\"help\":\"Is it plugged in?\"}}",
     "poise: begin: it is absent: is it on? Is it plugged in?\n", 75},
    {"{\"code\":-32601,\"message\":\"no such method\"}", "poise: begin: no such method.\n", 64},
    {"{\"code\":-32007,\"message\":\"\"}", "poise: begin: poised gave no reason. See its log.\n", 74},
    {"{}", "poise: begin: poised gave no reason. See its log.\n", 70},
    {"{\"code\":-32001,\"message\":\"no formula X\\nY\",\"data\":{\"help\":\"a\\u001b[2J\"}}",
     "poise: begin: no formula X?Y. a?[2J.\n", 65}, /* never more than one line, never a control character */
};

static void an_error_is_one_line(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof errors / sizeof *errors; i++) {
        char text[512];
        json_t *error = json_loads(errors[i].json, 0, NULL);
        assert_non_null(error);
        listen_to_stderr();
        int exit = failure_error((struct output_style){.utf8 = true, .number.point = '.'}, "begin", error);
        heard_on_stderr(text, sizeof text);
        json_decref(error);
        if (exit != errors[i].exit || strcmp(text, errors[i].line) != 0)
            fail_msg("%s: %d \"%s\"", errors[i].json, exit, text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_error_has_its_exit_code),
        cmocka_unit_test(an_error_is_one_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
