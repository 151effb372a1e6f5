/* Which texts are JSON and what they read as. Source: RFC 8259, the section beside each; where it leaves the choice to
 * whoever reads (sections 4, 6, 8.2, 9), the contract's section 2. Ill-formed UTF-8 after Unicode 15, table 3-7, and
 * RFC 3629 section 10. */
#include "text/json_read.h"
#include "text/json_write.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* `reads` is the value as jansson writes it again; NULL: refused. */
static const struct {
    const char *section, *text, *reads;
} rows[] = {
    /* 2: structure and white space */
    {"2", "[]", "[]"},
    {"2", " \t\r\n[ \t\r\n] \t\r\n", "[]"},
    {"2", "{ \"a\" : 1 , \"b\" : 2 }", "{\"a\": 1, \"b\": 2}"},
    {"2", "7", "7"},
    {"2", "\"a\"", "\"a\""},
    {"2", "null", "null"},
    {"2", "", NULL},
    {"2", "   ", NULL},
    {"2", "\f[]", NULL},
    {"2", "\v[]", NULL},
    {"2", "\xc2\xa0[]", NULL}, /* NBSP is no white space */
    {"2", "\xe2\x80\xa8[]", NULL},
    {"2", "[] []", NULL},
    {"2", "[]x", NULL},
    {"2", "[]]", NULL},
    {"2", "1 2", NULL},
    {"2", "\"a\" 1", NULL},
    {"2", "// a\n[]", NULL},
    {"2", "[]/**/", NULL},
    {"2", "#[]", NULL},
    /* 3: the three words */
    {"3", "[true,false,null]", "[true, false, null]"},
    {"3", "[True]", NULL},
    {"3", "[TRUE]", NULL},
    {"3", "[tru]", NULL},
    {"3", "[truee]", NULL},
    {"3", "[nul", NULL},
    {"3", "t", NULL},
    {"3", "[undefined]", NULL},
    {"3", "[nulltrue]", NULL},
    {"3", "*", NULL},
    {"3", "<null>", NULL},
    /* 4: objects */
    {"4", "{}", "{}"},
    {"4", "{\"\":0}", "{\"\": 0}"},
    {"4", "{\"a\":{\"a\":{\"a\":[]}}}", "{\"a\": {\"a\": {\"a\": []}}}"},
    {"4", "{\"a\":1,\"A\":2}", "{\"a\": 1, \"A\": 2}"},
    {"4, the contract's choice", "{\"a\":1,\"a\":1}", NULL},
    {"4, the contract's choice", "{\"a\":1,\"\\u0061\":2}", NULL},
    {"4", "{\"a\":{\"b\":1},\"b\":2}", "{\"a\": {\"b\": 1}, \"b\": 2}"},
    {"4", "{", NULL},
    {"4", "{\"a\"", NULL},
    {"4", "{\"a\":", NULL},
    {"4", "{\"a\":1", NULL},
    {"4", "{\"a\":1,", NULL},
    {"4", "{\"a\":1,}", NULL},
    {"4", "{,\"a\":1}", NULL},
    {"4", "{\"a\":1,,\"b\":2}", NULL},
    {"4", "{\"a\" 1}", NULL},
    {"4", "{\"a\"::1}", NULL},
    {"4", "{\"a\":1 \"b\":2}", NULL},
    {"4", "{a:1}", NULL},
    {"4", "{'a':1}", NULL},
    {"4", "{1:1}", NULL},
    {"4", "{null:1}", NULL},
    {"4", "{[]:1}", NULL},
    {"4", "{\"a\"}", NULL},
    {"4", "{:1}", NULL},
    {"4", "{\"a\":1]", NULL},
    {"4", "{\"a\":1}}", NULL},
    /* 5: arrays */
    {"5", "[1,\"a\",[],{},null]", "[1, \"a\", [], {}, null]"},
    {"5", "[[[[]]]]", "[[[[]]]]"},
    {"5", "[", NULL},
    {"5", "[1", NULL},
    {"5", "[1,", NULL},
    {"5", "[1,]", NULL},
    {"5", "[,1]", NULL},
    {"5", "[,]", NULL},
    {"5", "[1,,2]", NULL},
    {"5", "[1 2]", NULL},
    {"5", "[1}", NULL},
    {"5", "[1:2]", NULL},
    {"5", "[\"a\":1]", NULL},
    {"5", "]", NULL},
    /* 6: numbers */
    {"6", "[0,-0,1,-1,10]", "[0, 0, 1, -1, 10]"},
    {"6", "0.5", "0.5"},
    {"6", "-0.0", "-0.0"},
    {"6", "1.50", "1.5"},
    {"6", "1e2", "100.0"},
    {"6", "1E+2", "100.0"},
    {"6", "125e-3", "0.125"},
    {"6", "0e1", "0.0"},
    {"6", "0E-0", "0.0"},
    {"6", "9223372036854775807", "9223372036854775807"},
    {"6", "-9223372036854775808", "-9223372036854775808"},
    {"6, beyond 64 bits", "9223372036854775808", "9.223372036854775808e18"},
    {"6, beyond 64 bits", "-9223372036854775809", "-9.223372036854775808e18"},
    {"6, beyond a double", "1e999", "1e308"},
    {"6, beyond a double", "-1e999", "-1e308"},
    {"6, beyond a double", "1e-999", "0.0"},
    {"6", "0.30000000000000004", "0.30000000000000004"},
    {"6", "00", NULL},
    {"6", "01", NULL},
    {"6", "-01", NULL},
    {"6", "-", NULL},
    {"6", "+1", NULL},
    {"6", "--1", NULL},
    {"6", "- 1", NULL},
    {"6", ".5", NULL},
    {"6", "-.5", NULL},
    {"6", "1.", NULL},
    {"6", "1.e1", NULL},
    {"6", "1e", NULL},
    {"6", "1e+", NULL},
    {"6", "1e1.5", NULL},
    {"6", "1ee1", NULL},
    {"6", "1e+-1", NULL},
    {"6", "1.2.3", NULL},
    {"6", "0x10", NULL},
    {"6", "1_000", NULL},
    {"6", "1,5", NULL},
    {"6", "1a", NULL},
    {"6", "NaN", NULL},
    {"6", "-NaN", NULL},
    {"6", "Infinity", NULL},
    {"6", "-Infinity", NULL},
    {"6", "inf", NULL},
    {"6", "\xef\xbc\x91", NULL}, /* a full width 1 */
    /* 7: strings */
    {"7", "\"\"", "\"\""},
    {"7", "\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"", "\"\\\"\\\\/\\b\\f\\n\\r\\t\""},
    {"7", "\"\\u0041\\u00e9\\u20AC\\u20ac\"", "\"A\xc3\xa9\xe2\x82\xac\xe2\x82\xac\""},
    {"7", "\"\\uD834\\uDD1E\"", "\"\xf0\x9d\x84\x9e\""}, /* the example of section 7, the G clef */
    {"7", "\"\\udbff\\udfff\"", "\"\xf4\x8f\xbf\xbf\""},
    {"7", "\"\\uFFFE\\uFFFF\"", "\"\xef\xbf\xbe\xef\xbf\xbf\""},
    {"7", "\"\\u0001\\u001f\\u007f\"", "\"\\u0001\\u001F\x7f\""},
    {"7", "\"\x7f\"", "\"\x7f\""},
    {"7", "\"\xe2\x80\xa8\"", "\"\xe2\x80\xa8\""}, /* U+2028 needs no escape */
    {"7", "\"a/b\"", "\"a/b\""},
    {"7", "\"\\\\u0041\"", "\"\\\\u0041\""},
    {"7", "\"\\\\\"", "\"\\\\\""},
    {"7", "\"", NULL},
    {"7", "\"a", NULL},
    {"7", "\"\\\"", NULL},
    {"7", "\"\\", NULL},
    {"7", "'a'", NULL},
    {"7", "a", NULL},
    {"7", "\"\n\"", NULL},
    {"7", "\"\t\"", NULL},
    {"7", "\"\x01\"", NULL},
    {"7", "\"\x1f\"", NULL},
    {"7", "\"\\a\"", NULL},
    {"7", "\"\\x41\"", NULL},
    {"7", "\"\\'\"", NULL},
    {"7", "\"\\0\"", NULL},
    {"7", "\"\\U0041\"", NULL},
    {"7", "\"\\u\"", NULL},
    {"7", "\"\\u004\"", NULL},
    {"7", "\"\\u00g1\"", NULL},
    {"7", "\"\\u 041\"", NULL},
    {"7", "\"\\u+041\"", NULL},
    {"7", "\"\\\xc3\xa9\"", NULL},
    {"7, the contract's choice", "\"\\u0000\"", NULL},
    {"7, the contract's choice", "{\"\\u0000\":1}", NULL},
    {"8.2, lone surrogates", "\"\\uD800\"", NULL},
    {"8.2, lone surrogates", "\"\\uDC00\"", NULL},
    {"8.2, lone surrogates", "\"\\uD800\\uD800\"", NULL},
    {"8.2, lone surrogates", "\"\\uDD1E\\uD834\"", NULL},
    {"8.2, lone surrogates", "\"\\uD834x\"", NULL},
    {"8.2, lone surrogates", "\"\\uD834\\n\"", NULL},
    {"8.2, lone surrogates", "\"\\uD834\\u0041\"", NULL},
    {"8.2, lone surrogates", "\"\\uD834\\u\"", NULL},
    /* 8.1: UTF-8 and no byte order mark. Table 3-7: the first and last of each row that is well formed, and what lies
     * just outside. */
    {"8.1", "\xef\xbb\xbf[]", NULL},
    {"8.1, UTF-16", "\xff\xfe[", NULL},
    {"table 3-7", "\"\xc2\x80\xdf\xbf\"", "\"\xc2\x80\xdf\xbf\""},
    {"table 3-7", "\"\xe0\xa0\x80\xe0\xbf\xbf\"", "\"\xe0\xa0\x80\xe0\xbf\xbf\""},
    {"table 3-7", "\"\xe1\x80\x80\xec\xbf\xbf\"", "\"\xe1\x80\x80\xec\xbf\xbf\""},
    {"table 3-7", "\"\xed\x80\x80\xed\x9f\xbf\"", "\"\xed\x80\x80\xed\x9f\xbf\""},
    {"table 3-7", "\"\xee\x80\x80\xef\xbf\xbf\"", "\"\xee\x80\x80\xef\xbf\xbf\""},
    {"table 3-7", "\"\xf0\x90\x80\x80\xf0\xbf\xbf\xbf\"", "\"\xf0\x90\x80\x80\xf0\xbf\xbf\xbf\""},
    {"table 3-7", "\"\xf1\x80\x80\x80\xf3\xbf\xbf\xbf\"", "\"\xf1\x80\x80\x80\xf3\xbf\xbf\xbf\""},
    {"table 3-7", "\"\xf4\x80\x80\x80\xf4\x8f\xbf\xbf\"", "\"\xf4\x80\x80\x80\xf4\x8f\xbf\xbf\""},
    {"table 3-7", "\"\x80\"", NULL},
    {"table 3-7", "\"\xbf\"", NULL},
    {"RFC 3629, section 10", "\"\xc0\x80\"", NULL},
    {"RFC 3629, section 10", "\"/\xc0\xae./\"", NULL},
    {"table 3-7", "\"\xc1\xbf\"", NULL},
    {"table 3-7", "\"\xc2\"", NULL},
    {"table 3-7", "\"\xc2\x7f\"", NULL},
    {"table 3-7", "\"\xc2\xc0\"", NULL},
    {"table 3-7", "\"\xe0\x80\xaf\"", NULL},
    {"table 3-7", "\"\xe0\x9f\xbf\"", NULL},
    {"table 3-7", "\"\xe1\x80\"", NULL},
    {"table 3-7", "\"\xed\xa0\x80\"", NULL},
    {"table 3-7", "\"\xed\xbf\xbf\"", NULL},
    {"table 3-7", "\"\xf0\x80\x80\xaf\"", NULL},
    {"table 3-7", "\"\xf0\x8f\xbf\xbf\"", NULL},
    {"table 3-7", "\"\xf1\x80\x80\"", NULL},
    {"table 3-7", "\"\xf4\x90\x80\x80\"", NULL},
    {"table 3-7", "\"\xf5\x80\x80\x80\"", NULL},
    {"table 3-7", "\"\xfe\"", NULL},
    {"table 3-7", "\"\xff\"", NULL},
    {"table 3-7", "{\"\xff\":1}", NULL},
};

static void each_text_reads_as_the_standard_says(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct json_wrong wrong;
        json_t *value = json_read(rows[i].text, strlen(rows[i].text), JSON_READ_DEPTH, &wrong);
        json_t *expected = rows[i].reads ? json_loads(rows[i].reads, JSON_DECODE_ANY, NULL) : NULL;
        assert_true(!rows[i].reads == !expected); /* the row itself */
        bool same = value && expected ? json_equal(value, expected) && json_typeof(value) == json_typeof(expected)
                                      : !value && !expected;
        if (!same || (wrong.what == JSON_WRONG_NOTHING) != (value != NULL))
            fail_msg("section %s: %s reads as %s", rows[i].section, rows[i].text,
                     value ? json_dumps(value, JSON_ENCODE_ANY) : "nothing");
        json_decref(value);
        json_decref(expected);
    }
}

/* A text ends where its bytes do: each beginning of a value is refused, whatever stands behind it in memory. */
static void no_beginning_of_a_value_is_one(void **state)
{
    (void)state;
    static const char text[] = "{\"a\":[1.5e+3,\"\\uD834\\uDD1E\\n\xe2\x82\xac\",true,null],\"b\":{\"c\":-0.25}}";
    for (size_t bytes = 0; bytes < sizeof text - 1; bytes++)
        assert_null(json_read(text, bytes, JSON_READ_DEPTH, NULL));
    json_t *whole = json_read(text, sizeof text - 1, JSON_READ_DEPTH, NULL);
    assert_int_equal(json_object_size(whole), 2);
    json_decref(whole);
}

/* Contract section 2: a NUL byte is no JSON, wherever it stands. */
static void a_nul_byte_is_refused(void **state)
{
    (void)state;
    static const char at_end[] = "[1]\0", within[] = "[1,\0 2]", in_text[] = "\"a\0b\"";
    assert_null(json_read(at_end, sizeof at_end, JSON_READ_DEPTH, NULL));
    assert_null(json_read(within, sizeof within - 1, JSON_READ_DEPTH, NULL));
    assert_null(json_read(in_text, sizeof in_text - 1, JSON_READ_DEPTH, NULL));
}

/* RFC 8259 section 9: a reader may set limits on depth. What is too deep is told apart from what is no JSON. */
static void levels_are_counted(void **state)
{
    (void)state;
    struct json_wrong wrong;
    json_t *value = json_read("[[{\"a\":[]}]]", 12, 4, &wrong);
    assert_non_null(value);
    json_decref(value);
    assert_null(json_read("[[{\"a\":[]}]]", 12, 3, &wrong));
    assert_int_equal(wrong.what, JSON_WRONG_DEEP);
    assert_null(json_read("[[\"[[[[\"", 8, 4, &wrong));
    assert_int_equal(wrong.what, JSON_WRONG_TEXT);
    static char deep[200000];
    memset(deep, '[', sizeof deep);
    assert_null(json_read(deep, sizeof deep, JSON_READ_DEPTH, &wrong));
    assert_int_equal(wrong.what, JSON_WRONG_DEEP);
}

static void the_byte_that_does_not_fit_is_named(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        size_t at;
    } wrongs[] = {{"", 1}, {"[1,]", 4}, {"{\"a\":1,\"b\";2}", 11}, {"[\"a\xff\"]", 4}, {"[1] 2", 5}};
    for (size_t i = 0; i < sizeof wrongs / sizeof *wrongs; i++) {
        struct json_wrong wrong;
        assert_null(json_read(wrongs[i].text, strlen(wrongs[i].text), JSON_READ_DEPTH, &wrong));
        assert_int_equal(wrong.at, wrongs[i].at);
    }
}

/* ---- memory that fails ---- */

static size_t made_so_far, fails_at; /* allocations of jansson's values; the one that fails, 0: none */

static void *make(size_t size)
{
    return ++made_so_far == fails_at ? NULL : malloc(size);
}

/* Whichever allocation fails: nothing is read half, nothing is kept. A lost letter or digit would be another weight. */
static void without_memory_nothing_is_read_half(void **state)
{
    (void)state;
    static const char text[] = "{\"a long name of a member of this object\":[123456.789012345,12345678901234567,"
                               "\"a text that is longer than any first piece of memory that a parser would take\","
                               "true],\"b\":{\"c\":{},\"d\":[]},\"e\":1,\"f\":2,\"g\":3,\"h\":4,\"i\":5,\"j\":6}";
    json_t *whole = json_read_text(text);
    assert_non_null(whole);
    json_set_alloc_funcs(make, free);
    size_t refused = 0;
    for (fails_at = 1;; fails_at++) {
        struct json_wrong wrong;
        made_so_far = 0;
        json_t *value = json_read(text, sizeof text - 1, JSON_READ_DEPTH, &wrong);
        if (value) {
            assert_true(made_so_far < fails_at && json_equal(value, whole));
            json_decref(value);
            break;
        }
        assert_int_equal(wrong.what, JSON_WRONG_MEMORY);
        refused++;
    }
    json_set_alloc_funcs(malloc, free);
    json_decref(whole);
    assert_true(refused > 20);
}

/* The same of what is written, short and long: a text that lacks a piece was sent as if it were whole. */
static void without_memory_nothing_is_written_half(void **state)
{
    (void)state;
    json_t *list = json_array();
    for (size_t items = 0; items < 400; items += 399) {
        while (json_array_size(list) <= items)
            json_array_append_new(list, json_pack("{s:i,s:[s,n]}", "a name of some length", 7, "list", "a text"));
        char *whole = json_dumps(list, JSON_COMPACT), *text;
        json_set_alloc_funcs(make, free);
        made_so_far = 0;
        for (fails_at = 1; !(text = json_write(list, JSON_COMPACT)); fails_at++)
            made_so_far = 0;
        json_set_alloc_funcs(malloc, free);
        assert_string_equal(text, whole);
        free(text);
        free(whole);
    }
    json_decref(list);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_text_reads_as_the_standard_says),
        cmocka_unit_test(no_beginning_of_a_value_is_one),
        cmocka_unit_test(a_nul_byte_is_refused),
        cmocka_unit_test(levels_are_counted),
        cmocka_unit_test(the_byte_that_does_not_fit_is_named),
        cmocka_unit_test(without_memory_nothing_is_read_half),
        cmocka_unit_test(without_memory_nothing_is_written_half),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
