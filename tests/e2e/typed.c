/* typed.c - see typed.h. */
#include "tests/e2e/typed.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum { WORDS = 31 };

struct typed typed;

int typed_run(struct harness *h, const char *line)
{
    char text[512];
    const char *argv[WORDS + 1] = {NULL};
    size_t n = 0;
    assert_true(strlen(line) < sizeof text);
    snprintf(text, sizeof text, "%s", line);
    for (char *word = strtok(text, " "); word; word = strtok(NULL, " ")) {
        assert_true(n < WORDS);
        for (char *c = word; *c; c++)
            *c = *c == '~' ? ' ' : *c;
        argv[n++] = word;
    }
    return harness_run(h, argv, NULL, typed.out, sizeof typed.out, typed.err, sizeof typed.err);
}

void typed_says_at(struct harness *h, const char *line, const char *says, const char *file, int at)
{
    char whole[512];
    snprintf(whole, sizeof whole, "poise %s", line);
    int code = typed_run(h, whole);
    if (code != 0 || !strstr(typed.out, says)) {
        print_error("%s:%d: %s: exit %d, no \"%s\" in\n%s%s", file, at, whole, code, says, typed.out, typed.err);
        _fail(file, at);
    }
}
