#include "catalogue/catalogue.h"
#include "catalogue/hazards.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* Codes and their sense: Regulation (EC) No 1272/2008, Annexes II and III (from memory). */
static const struct {
    const char *code, *word; /* word NULL: none on a label */
} code_words[] = {
    {"H224", "flammable"},
    {"H225", "flammable"},
    {"H226", "flammable"},
    {"H220", "flammable gas"},
    {"H222", "flammable spray can"},
    {"H332", "harmful vapour"},
    {"H330", "toxic vapour"},
    {"H331", "toxic vapour"},
    {"H317", "skin allergy"},
    {"H318", "damages eyes"},
    {"H319", "irritates eyes"},
    {"H334", "asthma by breathing"},
    {"H336", "drowsiness"},
    {"H360", "may harm the unborn"},
    {"H360D", "may harm the unborn"},
    {"H361fd", "may harm the unborn"},
    {"H350i", "may cause cancer"},
    {"H411", "harms water life"},
    {"EUH066", "dries skin"},
    {"EUH204", "isocyanates"},
    {"EUH205", "epoxy"},
    {"EUH208", "may cause allergy"},
    {"H999", NULL},
    {"H320", NULL},
    {"EUH401", NULL},
};

static struct toner toner_of(const char *code)
{
    struct toner t = {.hazard_count = 1};
    snprintf(t.hazards[0], sizeof t.hazards[0], "%s", code);
    return t;
}

static void a_statement_s_word_follows_its_code(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof code_words / sizeof *code_words; i++) {
        const char *words[4] = {NULL};
        struct toner t = toner_of(code_words[i].code);
        size_t n = hazard_words(&t, words, 0, 4);
        if (n != (code_words[i].word ? 1 : 0) || (n == 1 && strcmp(words[0], code_words[i].word) != 0))
            fail_msg("%s: got %s", code_words[i].code, n ? words[0] : "(none)");
    }
}

/* The label's example: flammable, harmful vapour. */
static void words_are_gathered_once_over_a_cup(void **state)
{
    (void)state;
    const char *words[8] = {NULL};
    struct toner a = toner_of("H226"), b = toner_of("H225");
    strcpy(b.hazards[1], "H332");
    b.hazard_count = 2;
    size_t n = hazard_words(&a, words, 0, 8);
    n = hazard_words(&b, words, n, 8);
    assert_int_equal(n, 2);
    assert_string_equal(words[0], "flammable");
    assert_string_equal(words[1], "harmful vapour");
    struct toner none = {0};
    assert_int_equal(hazard_words(&none, words, n, 8), 2);
}

static void no_more_words_than_there_is_room_for(void **state)
{
    (void)state;
    static const char *const codes[] = {"H226", "H317", "H332", "H411"};
    const char *words[3] = {NULL, NULL, "kept"};
    struct toner t = {.hazard_count = 4};
    for (size_t i = 0; i < 4; i++)
        strcpy(t.hazards[i], codes[i]);
    assert_int_equal(hazard_words(&t, words, 0, 2), 2);
    assert_string_equal(words[2], "kept");
}

static const struct {
    const char *code;
    bool fits;
} codes[] = {
    {"H226", true},  {"H360FD", true}, {"EUH066", true}, {"EUH201A", true},  {"H22", false},     {"H2266", false},
    {"h226", false}, {"P210", false},  {"EUH66", false}, {"EUH0661", false}, {"H360FDX", false}, {"H", false},
    {"", false},     {"EUH", false},   {"226", false},   {"H226-", false},
};

static void codes_are_h_or_euh_with_three_figures(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++)
        if (hazard_code_fits(codes[i].code, strlen(codes[i].code)) != codes[i].fits)
            fail_msg("%s is %s", codes[i].code, codes[i].fits ? "refused" : "taken");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_statement_s_word_follows_its_code),
        cmocka_unit_test(words_are_gathered_once_over_a_cup),
        cmocka_unit_test(no_more_words_than_there_is_room_for),
        cmocka_unit_test(codes_are_h_or_euh_with_three_figures),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
