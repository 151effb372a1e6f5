/* What is sent to ask a scale, as a person writes it. */
#include "drivers/port.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

static void a_poll_is_read_as_a_person_writes_it(void **state)
{
    (void)state;
    static const struct {
        const char *text, *bytes;
        size_t len;
        enum polltext_fault fault;
    } rows[] = {
        {"W", "W\r\n", 3, POLLTEXT_FINE},
        {"\\nW\\r", "\nW\r", 3, POLLTEXT_FINE},
        {"\\x05", "\5", 1, POLLTEXT_FINE},
        {"\\x1bP", "\033P", 2, POLLTEXT_FINE},
        {"P \\x3B", "P ;", 3, POLLTEXT_FINE},
        {"\\q", NULL, 0, POLLTEXT_BAD_ESCAPE},
        {"\\x5", NULL, 0, POLLTEXT_BAD_ESCAPE},
        {"\\", NULL, 0, POLLTEXT_BAD_ESCAPE},
        {"123456789012345678901234567890123456789012345678901234567890", /* 60, and CR LF */
         "123456789012345678901234567890123456789012345678901234567890\r\n", 62, POLLTEXT_FINE},
        {"123456789012345678901234567890123456789012345678901234567890123", NULL, 0, POLLTEXT_TOO_LONG},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char out[POLLTEXT_ROOM];
        size_t len = 0;
        if (polltext_read(rows[i].text, out, &len) != rows[i].fault)
            fail_msg("row %zu: %s", i, rows[i].text);
        if (rows[i].fault == POLLTEXT_FINE) {
            assert_int_equal(len, rows[i].len);
            assert_memory_equal(out, rows[i].bytes, len);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_poll_is_read_as_a_person_writes_it)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
