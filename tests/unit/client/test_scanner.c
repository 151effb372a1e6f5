/* A bar-code reader's keys told from a hand's, by their times alone. */
#include "client/screen/scanner.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* What the keys of `typed` come to, so many milliseconds apart; `\r` is Enter. Upper case: a key that was handed on at
 * once, in (): after it was held, [] a code, ! lost. */
static void tell(const char *typed, const int gaps_ms[], const char *field, char out[128])
{
    struct scanner r = {.n = 0};
    struct press keys[SCANNER_ROOM];
    int64_t now = 1000;
    char *at = out;
    for (size_t i = 0; i <= strlen(typed); i++) {
        bool end = typed[i] == '\0', enter = typed[i] == '\r';
        struct press press = {.kind = enter ? PRESS_ENTER : PRESS_CHAR, .c = enter ? 0 : (char32_t)typed[i]};
        now += end ? 1000 : gaps_ms[i];
        if (scanner_is_over(&r, end ? NULL : &press, now)) {
            int n = scanner_let(&r, keys);
            at += n >= SCANNER_LEAST ? (*at = '!', 1) : 0;
            for (int k = 0; k < n; k++)
                at += snprintf(at, 8, "(%c)", (char)keys[k].c);
        }
        if (end)
            break;
        enum scanner_says says = scanner_take(&r, press, now, field);
        if (says == SCANNER_PASSES)
            *at++ = enter ? '\n' : typed[i];
        if (says == SCANNER_SCANNED) {
            char code[SCANNER_ROOM];
            scanner_code(&r, code);
            at += snprintf(at, 64, "[%s]", code);
        }
    }
    *at = '\0';
}

static void keys_are_a_hand_s_or_a_reader_s(void **state)
{
    static const int fast[20] = {5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5}, slow[20] = {120, 120, 120, 120, 120, 120, 120},
                     late_enter[20] = {5, 5, 5, 5, 5, 300}, edge[20] = {34, 34, 34, 34, 34, 34},
                     over_edge[20] = {35, 35, 35, 35, 35, 35};
    static const struct {
        const char *name, *typed;
        const int *gaps_ms;
        const char *field, *told;
    } rows[] = {
        {"a reader", "4012A\r", fast, NULL, "[4012A]"},
        {"a hand", "12\r", slow, NULL, "(1)(2)\n"},
        {"just fast enough", "12345\r", edge, NULL, "[12345]"},
        {"just too slow", "1234\r", over_edge, NULL, "(1)(2)(3)(4)\n"},
        {"three are no code", "123\r", fast, NULL, "(1)(2)(3)\n"},
        {"four are", "1234\r", fast, NULL, "[1234]"},
        {"no Enter", "12345", fast, NULL, "!(1)(2)(3)(4)(5)"},
        {"an Enter that comes later is a hand's", "12345\r", late_enter, NULL, "!(1)(2)(3)(4)(5)\n"},
        {"Enter alone", "\r", fast, NULL, "\n"},
        {"two codes in one breath", "1234\r5678\r", fast, NULL, "[1234][5678]"},
        {"find's key goes at once", "/1", fast, NULL, "/(1)"},
        {"in a field all is written at once, and told as a code as well", "TI-207\r", fast, "", "TI-207[TI-207]"},
        {"a hand in a field", "TI-207\r", slow, "", "TI-207\n"},
        {"an amount in a field is no code", "276.75\r", fast, "", "276.75\n"},
        {"but on the bench it is", "276.75\r", fast, NULL, "[276.75]"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char out[128];
        tell(rows[i].typed, rows[i].gaps_ms, rows[i].field, out);
        if (strcmp(out, rows[i].told) != 0)
            fail_msg("%s: %s, want %s", rows[i].name, out, rows[i].told);
    }
}

/* What the field held before goes with the code, for the page to put back. */
static void a_field_is_remembered_as_it_was(void **state)
{
    struct scanner r = {.n = 0};
    struct press one = {.kind = PRESS_CHAR, .c = 'A'};
    (void)state;
    assert_int_equal(scanner_take(&r, one, 1000, "four"), SCANNER_PASSES);
    assert_int_equal(scanner_take(&r, one, 1005, "fourA"), SCANNER_PASSES);
    assert_true(r.in_field);
    assert_string_equal(r.before, "four");
}

/* The page of the field has gone in the middle of the code: the rest of it is no key there. */
static void a_field_that_goes_takes_no_more_of_a_code(void **state)
{
    struct scanner r = {.n = 0};
    struct press keys[SCANNER_ROOM], one = {.kind = PRESS_CHAR, .c = 'A'}, enter = {.kind = PRESS_ENTER};
    char code[SCANNER_ROOM];
    (void)state;
    assert_int_equal(scanner_take(&r, one, 1000, ""), SCANNER_PASSES);
    for (int64_t ms = 1005; ms < 1020; ms += 5)
        assert_int_equal(scanner_take(&r, one, ms, NULL), SCANNER_HOLDS);
    assert_false(scanner_is_over(&r, &enter, 1020));
    assert_int_equal(scanner_take(&r, enter, 1020, NULL), SCANNER_SCANNED);
    scanner_code(&r, code);
    assert_string_equal(code, "AAAA");
    assert_int_equal(scanner_take(&r, one, 2000, ""), SCANNER_PASSES);
    assert_int_equal(scanner_take(&r, one, 2005, NULL), SCANNER_HOLDS);
    assert_int_equal(scanner_let(&r, keys), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_are_a_hand_s_or_a_reader_s),
        cmocka_unit_test(a_field_is_remembered_as_it_was),
        cmocka_unit_test(a_field_that_goes_takes_no_more_of_a_code),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
