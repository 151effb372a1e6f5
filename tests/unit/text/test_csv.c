/* Records of RFC 4180. */
#include "text/number.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Source: RFC 4180 section 2, rules 1 and 4 to 7; the examples are its own. */
static const struct {
    const char *fields[4];
    size_t count;
    const char *record;
} rows[] = {
    {{"aaa", "bbb", "ccc"}, 3, "aaa,bbb,ccc\r\n"},
    {{"aaa", "b\r\nbb", "ccc"}, 3, "aaa,\"b\r\nbb\",ccc\r\n"},
    {{"aaa", "b\"bb", "ccc"}, 3, "aaa,\"b\"\"bb\",ccc\r\n"},
    {{" spaces stay ", "1,5", ""}, 3, " spaces stay ,\"1,5\",\r\n"},
    {{NULL, "x", NULL}, 3, ",x,\r\n"},
    {{"\""}, 1, "\"\"\"\"\r\n"},
    {{"H\xC3\xA4rter", "-1.5"}, 2, "H\xC3\xA4rter,-1.5\r\n"},
};

static void records_are_those_of_the_rfc(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *text = NULL;
        size_t size = 0;
        FILE *to = open_memstream(&text, &size);
        assert_non_null(to);
        assert_true(csv_record(to, rows[i].fields, rows[i].count));
        fclose(to);
        assert_string_equal(text, rows[i].record);
        free(text);
    }
}

static void a_full_disk_is_told(void **state)
{
    static const char *const field = "a";
    FILE *full = fopen("/dev/full", "w");
    (void)state;
    if (!full)
        skip();
    setvbuf(full, NULL, _IONBF, 0);
    assert_false(csv_record(full, &field, 1));
    fclose(full);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(records_are_those_of_the_rfc),
        cmocka_unit_test(a_full_disk_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
