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
    {"H302+H312+H332", NULL}, /* three words */
    {"H261", "flammable gas with water"},
};

static const char *first_word(const char *code, enum words_language language)
{
    const char *words[4] = {NULL};
    struct hazards h = {.count = 0};
    size_t gravest;
    hazards_add(&h, code);
    return hazards_words(&h, language, words, 4, &gravest) == 1 ? words[0] : NULL;
}

static void a_statement_s_word_follows_its_code(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof code_words / sizeof *code_words; i++) {
        const char *word = first_word(code_words[i].code, WORDS_EN);
        if ((word == NULL) != (code_words[i].word == NULL) || (word && strcmp(word, code_words[i].word) != 0))
            fail_msg("%s: got %s", code_words[i].code, word ? word : "(none)");
    }
}

/* Every statement in force (Annex III of the regulation, with the classes of 2023; from memory) has a word in both
 * languages. */
static void every_statement_in_force_has_a_word(void **state)
{
    (void)state;
    static const char *const all[] = {
        "H200",   "H201",   "H202",   "H203",   "H204",   "H205",   "H206",   "H207",   "H208",   "H220",   "H221",
        "H222",   "H223",   "H224",   "H225",   "H226",   "H228",   "H229",   "H230",   "H231",   "H232",   "H240",
        "H241",   "H242",   "H250",   "H251",   "H252",   "H260",   "H261",   "H270",   "H271",   "H272",   "H280",
        "H281",   "H282",   "H283",   "H284",   "H290",   "H300",   "H301",   "H302",   "H304",   "H310",   "H311",
        "H312",   "H314",   "H315",   "H317",   "H318",   "H319",   "H330",   "H331",   "H332",   "H334",   "H335",
        "H336",   "H340",   "H341",   "H350",   "H351",   "H360",   "H361",   "H362",   "H370",   "H371",   "H372",
        "H373",   "H400",   "H410",   "H411",   "H412",   "H413",   "H420",   "EUH001", "EUH014", "EUH018", "EUH019",
        "EUH029", "EUH031", "EUH032", "EUH044", "EUH059", "EUH066", "EUH070", "EUH071", "EUH201", "EUH202", "EUH203",
        "EUH204", "EUH205", "EUH206", "EUH207", "EUH208", "EUH209", "EUH210", "EUH211", "EUH212", "EUH380", "EUH381",
        "EUH401", "EUH430", "EUH431", "EUH440", "EUH441", "EUH450", "EUH451"};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        for (enum words_language l = WORDS_EN; l < WORDS_LANGUAGES; l++) {
            const char *word = first_word(all[i], l);
            if (!word || strcmp(word, all[i]) == 0 || strncmp(word, "hazard.", 7) == 0)
                fail_msg("%s has no word", all[i]);
        }
}

/* Allergy, breath, skin and eyes, fire, the rest: in whatever order the toners bring them. */
static void the_gravest_stands_first(void **state)
{
    (void)state;
    static const char *const wanted[] = {"asthma by breathing", "skin allergy", "isocyanates",     "toxic vapour",
                                         "damages eyes",        "flammable",    "may cause cancer"};
    const char *words[8] = {NULL};
    struct hazards h = {.count = 0};
    size_t gravest;
    hazards_add(&h, "H350 H226 H318");
    hazards_add(&h, "EUH204 H331 H317 H225 H999");
    hazards_add(&h, "H334+H317");
    assert_int_equal(hazards_words(&h, WORDS_EN, words, 8, &gravest), 7);
    for (size_t i = 0; i < 7; i++)
        assert_string_equal(words[i], wanted[i]);
    assert_int_equal(gravest, 3);
    assert_string_equal(hazards_signal(&h), "danger");
}

static void the_signal_word_is_the_higher_one(void **state)
{
    (void)state;
    static const struct {
        const char *codes, *signal;
    } rows[] = {
        {"", ""}, {"EUH066", ""}, {"H226 EUH204", "warning"}, {"H226 H225", "danger"}, {"H336 H317", "warning"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct hazards h = {.count = 0};
        hazards_add(&h, rows[i].codes);
        assert_string_equal(hazards_signal(&h), rows[i].signal);
    }
}

static void no_more_words_than_there_is_room_for(void **state)
{
    (void)state;
    const char *words[3] = {NULL, NULL, "kept"};
    struct hazards h = {.count = 0};
    size_t gravest;
    hazards_add(&h, "H226 H317 H332 H411");
    assert_int_equal(hazards_words(&h, WORDS_EN, words, 2, &gravest), 2);
    assert_string_equal(words[0], "skin allergy");
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
        cmocka_unit_test(every_statement_in_force_has_a_word),
        cmocka_unit_test(the_gravest_stands_first),
        cmocka_unit_test(the_signal_word_is_the_higher_one),
        cmocka_unit_test(no_more_words_than_there_is_room_for),
        cmocka_unit_test(codes_are_h_or_euh_with_three_figures),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
