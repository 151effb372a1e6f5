/* Request ids: they rise, they differ, they are what the protocol allows. */
#include "client/ask.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void ids_rise_within_a_process(void **state)
{
    char last[REQUEST_SIZE] = "", id[REQUEST_SIZE];
    (void)state;
    for (int i = 0; i < 5000; i++) {
        assert_true(request_make(id, last));
        assert_true(strcmp(id, last) > 0);
        memcpy(last, id, sizeof last);
    }
}

static void ids_rise_though_the_clock_is_set_back(void **state)
{
    /* an id of the year 2255: the next one is still greater */
    const char *last = "7d00000000000000-0123456789abcdef";
    char id[REQUEST_SIZE];
    (void)state;
    assert_true(request_make(id, last));
    assert_true(strncmp(id, "7d00000000000001-", 17) == 0);
}

static void two_made_at_once_differ(void **state)
{
    char a[REQUEST_SIZE], b[REQUEST_SIZE];
    (void)state;
    assert_true(request_make(a, ""));
    assert_true(request_make(b, ""));
    assert_string_not_equal(a + 17, b + 17); /* the random half: 64 bits */
}

static void an_id_is_short_and_printable(void **state)
{
    char id[REQUEST_SIZE];
    (void)state;
    assert_true(request_make(id, ""));
    assert_int_equal(strlen(id), 33); /* 64 at most, says the protocol */
    assert_int_equal(strspn(id, "0123456789abcdef-"), 33);
    assert_true(id[0] >= '1'); /* nanoseconds since 1970 fill all 16 digits: text order is time order */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ids_rise_within_a_process),
        cmocka_unit_test(ids_rise_though_the_clock_is_set_back),
        cmocka_unit_test(two_made_at_once_differ),
        cmocka_unit_test(an_id_is_short_and_printable),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
