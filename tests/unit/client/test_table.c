/* Columns, leaders and clean text. */
#include "client/table.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static char *printed(const struct table *t)
{
    char *text = NULL;
    size_t size;
    FILE *f = open_memstream(&text, &size);
    assert_non_null(f);
    table_print(t, "", f);
    fclose(f);
    return text;
}

static void leaders_lead_to_the_figure(void **state)
{
    struct table t;
    (void)state;
    table_init(&t, "l.rl", (struct output_style){.utf8 = false});
    table_row(&t, (const char *const[]){"", "", "aim", ""});
    table_row(&t, (const char *const[]){"P12", "gold pearl", "26.4 g", ""});
    table_row(&t, (const char *const[]){"R17", "quinacridone violet", "112.8 g", "now"});
    char *text = printed(&t);
    assert_string_equal(text, "                                 aim\n"
                              "P12  gold pearl ............  26.4 g\n"
                              "R17  quinacridone violet ... 112.8 g  now\n");
    free(text);
    table_finish(&t);
}

static void wide_letters_take_their_columns(void **state)
{
    struct table t;
    (void)state;
    table_init(&t, "lr", (struct output_style){.utf8 = true});
    table_row(&t, (const char *const[]){"\xc3\xb8l", "1"}); /* 3 bytes, 2 columns */
    table_row(&t, (const char *const[]){"abc", "22"});
    char *text = printed(&t);
    assert_string_equal(text, "\xc3\xb8l    1\nabc  22\n");
    free(text);
    table_finish(&t);
}

static const struct {
    const char *name, *text;
    bool utf8;
    const char *clean;
} texts[] = {
    {"plain", "Copperwing 2", true, "Copperwing 2"},
    {"an escape cannot reach the terminal", "a\x1b[2Jb", true, "a?[2Jb"},
    {"nor can a line end", "a\nb\tc\x7f", true, "a?b?c?"},
    {"a letter stays where it can be shown", "gr\xc3\xb8n", true, "gr\xc3\xb8n"},
    {"one ? for one letter where it cannot", "gr\xc3\xb8n \xe2\x82\xac", false, "gr?n ?"},
    {"German as it is written without umlauts",
     "H\xc3\xa4rter, Ma\xc3\x9f \xe2\x88\x92"
     "1",
     false, "Haerter, Mass -1"},
    {"a mark of direction cannot turn a line round",
     "a\xe2\x80\xae"
     "b\xe2\x81\xa6",
     true, "a?b?"},
    {"a byte that is no letter",
     "a\xff"
     "b\x80",
     true, "a?b?"},
    {"a letter cut short", "a\xe2\x82", true, "a??"},
    {"control characters beyond ASCII",
     "a\xc2\x9b"
     "b",
     true, "a?b"},
};

static void text_is_cleaned_for_the_terminal(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        char *clean = output_clean(texts[i].text, texts[i].utf8);
        if (strcmp(clean, texts[i].clean) != 0)
            fail_msg("%s: \"%s\"", texts[i].name, clean);
        free(clean);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(leaders_lead_to_the_figure),
        cmocka_unit_test(wide_letters_take_their_columns),
        cmocka_unit_test(text_is_cleaned_for_the_terminal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
