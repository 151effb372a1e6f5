/* A said: what is put in comes out, in either language, through JSON and back, whatever a stranger wrote into a slot.
 */
#include "text/said.h"
#include "text/utf8.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define WIDE10                                                                                                         \
    "\xE8\x89\xB2\xE8\x89\xB2\xE8\x89\xB2\xE8\x89\xB2\xE8\x89\xB2\xE8\x89\xB2\xE8\x89\xB2\xE8\x89\xB2\xE8\x89\xB2\xE8" \
    "\x89\xB2"
#define WIDE60 WIDE10 WIDE10 WIDE10 WIDE10 WIDE10 WIDE10

static void slots_come_out_as_they_went_in(void **state)
{
    (void)state;
    struct said s = say("test total_g=%f toner=%s count=%d rows=%zu big=%lld unknown_g=%f", 306.3, "N10", 3, (size_t)7,
                        -9000000000LL, (double)NAN);
    assert_true(said_is(&s, "test"));
    assert_float_equal(said_number(&s, "total_g"), 306.3, 0);
    assert_string_equal(said_word(&s, "toner"), "N10");
    assert_float_equal(said_number(&s, "count"), 3, 0);
    assert_float_equal(said_number(&s, "rows"), 7, 0);
    assert_float_equal(said_number(&s, "big"), -9e9, 0);
    assert_true(isnan(said_number(&s, "unknown_g")) && isnan(said_number(&s, "toner")));
    assert_null(said_word(&s, "total_g"));
    assert_null(said_word(&s, "tone"));
}

static void json_and_back_is_the_same(void **state)
{
    (void)state;
    struct said s =
        say("test total_g=%f toner=%s count=%d tiny_g=%f whole_g=%f", 306.3, "H\xC3\xA4rter \"2\"", 1, 0.000001, 250.0);
    struct said back;
    json_t *bare = said_bare_json(&s), *full = said_json(&s, NULL);
    assert_true(said_read(&back, bare) && said_same(&s, &back));
    assert_true(said_read(&back, full) && said_same(&s, &back));
    assert_string_equal(json_string_value(json_object_get(full, "text")),
                        "test"); /* a code without words shows itself */
    json_decref(bare);
    json_decref(full);
    s = say("huge total_g=%f", 1e308);
    bare = said_bare_json(&s);
    assert_true(said_read(&back, bare) && said_same(&s, &back));
    json_decref(bare);
    s = (struct said){.used = 0};
    bare = said_bare_json(&s);
    assert_true(json_is_null(bare) && !said_read(&back, bare) && !back.code[0]);
    json_decref(bare);
}

/* 0.1 + 0.2 + 0.005 lies above 0.305, and a journal keeps 0.305: what is shown to d must not differ after a restart. */
static void a_sentence_reads_the_same_once_it_was_kept(void **state)
{
    (void)state;
    const double edges[] = {0.1 + 0.2 + 0.005, 307.12499999999994, 1.0049999999999999, -2.675000000000001};
    for (size_t i = 0; i < sizeof edges / sizeof *edges; i++) {
        char before[SAID_TEXT_MAX], after[SAID_TEXT_MAX];
        struct said s = say("batch_becomes total_g=%f", edges[i]), back;
        const struct number_style style = {.point = '.', .d_g = 0.01};
        json_t *kept = said_bare_json(&s);
        assert_true(said_read(&back, kept) && said_same(&s, &back));
        assert_string_equal(said_text(&s, WORDS_EN, &style, before, sizeof before),
                            said_text(&back, WORDS_EN, &style, after, sizeof after));
        json_decref(kept);
    }
}

static void nonsense_is_no_said(void **state)
{
    static const char *const rows[] = {"null",
                                       "5",
                                       "{}",
                                       "{\"code\":5}",
                                       "{\"code\":\"\"}",
                                       "{\"code\":\"a_code_that_is_longer_than_any_code_of_ours_may_ever_be\"}"};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct said s;
        json_t *o = json_loads(rows[i], JSON_DECODE_ANY, NULL);
        assert_false(said_read(&s, o));
        assert_string_equal(s.code, "");
        json_decref(o);
    }
}

/* month.3 has words in both languages and no slot: enough to see that the language decides. */
static void the_language_chooses_the_words(void **state)
{
    char text[64];
    (void)state;
    struct said s = say("month.3");
    assert_string_equal(said_text(&s, WORDS_EN, NULL, text, sizeof text), "Mar");
    assert_string_equal(said_text(&s, WORDS_DE, NULL, text, sizeof text), "M\xC3\xA4rz");
    assert_string_equal(said_text(&s, WORDS_DE, NULL, text, 3), "M"); /* cut between letters */
    assert_string_equal(said_part(&s, "help", WORDS_DE, NULL, text, sizeof text), "");
}

/* A weight is shown to the scale's interval, and only the interval itself as it is: `poured_g` ends in d_g as well. */
static void weights_are_shown_to_the_interval(void **state)
{
    const struct number_style style = {.point = '.', .d_g = 0.1};
    char text[128];
    (void)state;
    struct said foreign = say("fact_foreign toner=%s poured_g=%f", "K05", 1.538462);
    assert_string_equal(said_text(&foreign, WORDS_EN, &style, text, sizeof text), "not in the formula: K05 1.5 g");
    struct said load = say("over_capacity load_g=%f capacity_g=%f", 41696.969697, 7500.0);
    assert_non_null(strstr(said_text(&load, WORDS_EN, &style, text, sizeof text), "41697.0 g"));
}

static void a_wide_name_of_60_passes_unharmed(void **state)
{
    (void)state;
    struct said s = say("test name=%s total_g=%f", WIDE60, 1.5);
    assert_string_equal(said_word(&s, "name"), WIDE60);
    assert_float_equal(said_number(&s, "total_g"), 1.5, 0);
    json_t *args = said_args_json(&s);
    assert_string_equal(json_string_value(json_object_get(args, "name")), WIDE60);
    json_decref(args);
}

static void hostile_text_reaches_no_reader(void **state)
{
    (void)state;
    struct said s = say("test name=%s", "a\x1b[2J\n\xE2\x80\xAE"
                                        "b\xFF");
    assert_string_equal(said_word(&s, "name"), "a?[2J??b?");
}

/* What finds no more room is left out or cut, the slots before it stay whole, and nothing is written beyond. */
static void more_than_fits_does_no_harm(void **state)
{
    char wide[4096];
    (void)state;
    srand(20261129);
    for (int round = 0; round < 5000; round++) {
        size_t n = 0, most = (size_t)(rand() % 700);
        static const char *const pieces[] = {"a",    "\xC3\xA4", "\xE8\x89\xB2", "e\xCC\x81",
                                             "\xFF", "\x1b",     "\xE2\x80\xAE", "{x}"};
        for (wide[0] = '\0'; n < most; n = strlen(wide))
            strcpy(wide + n, pieces[rand() % 8]);
        struct said s = say("test first_g=%f name=%s other=%s last=%d", 1.0, wide, wide, 5), back;
        char text[128];
        size_t size = 1 + (size_t)(rand() % 127);
        memset(text, '#', sizeof text);
        assert_true(s.used <= sizeof s.room);
        assert_float_equal(said_number(&s, "first_g"), 1, 0);
        assert_true(utf8_is_clean(said_word(&s, "name")));
        said_text(&s, WORDS_EN, NULL, text, size);
        assert_true(memchr(text, '\0', size) && utf8_is_clean(text));
        for (size_t i = size; i < sizeof text; i++)
            assert_int_equal(text[i], '#');
        json_t *o = said_bare_json(&s);
        assert_true(said_read(&back, o) && said_same(&s, &back));
        json_decref(o);
    }
}

static void languages_are_read_from_the_environment(void **state)
{
    static const struct {
        const char *all, *messages, *lang;
        enum words_language is;
    } rows[] = {
        {NULL, NULL, NULL, WORDS_EN},   {NULL, NULL, "de_DE.UTF-8", WORDS_DE}, {"", "", "de", WORDS_DE},
        {"C", "de_AT", "de", WORDS_EN}, {NULL, "de_CH", "en_US", WORDS_DE},    {"fr_FR", NULL, "de", WORDS_EN},
        {NULL, NULL, "d", WORDS_EN},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *const values[] = {rows[i].all, rows[i].messages, rows[i].lang};
        static const char *const names[] = {"LC_ALL", "LC_MESSAGES", "LANG"};
        for (size_t v = 0; v < 3; v++)
            values[v] ? setenv(names[v], values[v], 1) : unsetenv(names[v]);
        if (words_language_of_environment() != rows[i].is)
            fail_msg("row %zu", i);
    }
    enum words_language l;
    assert_true(words_language_of("de", &l) && l == WORDS_DE);
    assert_false(words_language_of("fr", &l) || words_language_of("", &l) || words_language_of(NULL, &l));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slots_come_out_as_they_went_in),
        cmocka_unit_test(json_and_back_is_the_same),
        cmocka_unit_test(a_sentence_reads_the_same_once_it_was_kept),
        cmocka_unit_test(nonsense_is_no_said),
        cmocka_unit_test(the_language_chooses_the_words),
        cmocka_unit_test(weights_are_shown_to_the_interval),
        cmocka_unit_test(a_wide_name_of_60_passes_unharmed),
        cmocka_unit_test(hostile_text_reaches_no_reader),
        cmocka_unit_test(more_than_fits_does_no_harm),
        cmocka_unit_test(languages_are_read_from_the_environment),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
