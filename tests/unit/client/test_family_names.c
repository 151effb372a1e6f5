/* What each family of a tie makes of the same bytes. */
#include "client/family_names.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Lines as in tests/data/streams.tsv; the first one is dropped where it could be a tail. */
static const struct {
    const char *family, *came, *reads;
} rows[] = {
    {"eq-rev", "=4.321000=4.321000=4.321000=4.3", "123.4"},
    {"eq-fwd", "=4.321000=4.321000=4.321000=4.3", "4.321000"},
    {"plain", "+000123.4\\x0d\\x0a+000123.5\\x0d\\x0a+0001", "123.5"},
    {"plain-u", "    123.4 g  \\x0d\\x0a    123.4 g  \\x0d\\x0a", "123.4 g"},
    {"hdr2", "OL,+999999.9  g\\x0d\\x0aOL,+999999.9  g\\x0d\\x0a", ""},
    {"hdr2", "", ""},
    {"no-such-family", "=4.321000=4.321000", ""},
    {"eq-fwd", "=4.32\\x", ""}, /* cut within an escape */
};

static void each_family_reads_its_own_weight(void **state)
{
    (void)state;
    char reads[64];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        family_reads(rows[i].family, rows[i].came, reads, sizeof reads);
        assert_string_equal(reads, rows[i].reads);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_family_reads_its_own_weight)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
