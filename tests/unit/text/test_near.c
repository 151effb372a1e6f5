/* near: what is meant by a name typed wrongly, and what is too far to be meant. */
#include "text/near.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Source: worked by hand, letters to change, add or drop. */
static const struct {
    const char *typed;
    const char *names[4];
    const char *meant; /* "": none */
} rows[] = {
    {"TI-27", {"TI-012", "TI-207", "TI-214"}, "TI-207"},
    {"ti-207", {"TI-214", "TI-207"}, "TI-207"}, /* case is no letter */
    {"N1", {"N10", "N15"}, "N10"},              /* of two alike the first */
    {"abc", {"xbz"}, ""},                       /* two of three letters are another word */
    {"frobnicate", {"begin", "status", "find"}, ""},
    {"batch.acept", {"batch.begin", "batch.accept"}, "batch.accept"},
    {"", {"a", "abc"}, "a"},
};

static void the_nearest_is_meant(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct near near = near_to(rows[i].typed);
        for (size_t n = 0; n < 4 && rows[i].names[n]; n++)
            near_take(&near, rows[i].names[n]);
        if (strcmp(near.best, rows[i].meant) != 0)
            fail_msg("%s: \"%s\", not \"%s\"", rows[i].typed, near.best, rows[i].meant);
    }
}

static void long_names_are_never_near(void **state)
{
    char longest[200];
    (void)state;
    memset(longest, 'x', sizeof longest);
    longest[sizeof longest - 1] = '\0';
    struct near near = near_to(longest);
    near_take(&near, longest);
    assert_string_equal(near.best, "");
    near = near_to("x");
    near_take(&near, longest);
    assert_string_equal(near.best, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_nearest_is_meant),
        cmocka_unit_test(long_names_are_never_near),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
