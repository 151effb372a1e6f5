/* Each caution at its moment and at no other: what the codes at the bench are, in order, while a cup is poured. The
 * moments are our own decision (station/cautions.h); the statements are those of Regulation (EC) No 1272/2008. */
#include "bench_top.h"

#include "station/cautions.h"

#include <stdio.h>

static const struct bench_part clear[] = {
    {"CL", 4, PART_COLOUR, 0}, {"HA", 0, PART_HARDENER, 0.25}, {"TH", 0, PART_REDUCER, 0.1}};
static const struct bench_part paint[] = {{"N10", 60, PART_COLOUR, 0}, {"K01", 40, PART_COLOUR, 0}};

/* Codes with a blank between, and the toner in brackets where one is named. */
static const char *codes(const struct said *said, size_t n)
{
    static char text[512];
    struct number_style style = {.point = '.', .d_g = 0.01};
    text[0] = '\0';
    for (size_t i = 0; i < n; i++) {
        char words[SAID_TEXT_MAX];
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "%s%s", used ? " " : "", said[i].code);
        for (int language = 0; language < WORDS_LANGUAGES; language++)
            assert_true(strlen(said_text(&said[i], (enum words_language)language, &style, words, sizeof words)) > 20);
    }
    return text;
}

static void expect(const struct bench_top *t, const char *want)
{
    struct said said[CAUTIONS_MAX];
    assert_string_equal(codes(said, batch_cautions(&t->batch, said)), want);
}

static void expect_record(const struct bench_top *t, const char *want)
{
    struct said said[CAUTIONS_MAX];
    assert_string_equal(codes(said, batch_record_cautions(&t->batch, said)), want);
}

static void hazards(struct bench_top *t, const char *toner, const char *statements)
{
    struct recipe_part *p = &t->batch.recipe.part[recipe_find(&t->batch.recipe, toner)];
    snprintf(p->hazards, sizeof p->hazards, "%s", statements);
}

/* What bench/begin_cautions.c puts into the beginning. */
static void keep(struct bench_top *t, struct said said)
{
    t->batch.caution[t->batch.cautions++] = said;
}

static void a_clear_with_isocyanate_hardener(void **state)
{
    (void)state;
    struct bench_top t;
    bench_begin(&t, clear, 3, 100);
    hazards(&t, "CL", "H226 H336");
    hazards(&t, "HA", "H226 H317 H332 EUH204");
    keep(&t, say("isocyanate"));
    keep(&t, say("flammable"));
    keep(&t, say("below_smallest toner=%s error=%f smallest_g=%f", "CL", 5.0, 200.0));
    expect(&t, "isocyanate sensitised flammable earth_tins below_smallest");
    bench_cup(&t);
    expect(&t, "isocyanate below_smallest"); /* nothing general while colour is poured */
    bench_pour(&t, 100);
    expect(&t, "isocyanate flammable below_smallest"); /* the hardener's step */
    bench_pour(&t, 25);
    expect(&t, "isocyanate below_smallest");
    bench_pour(&t, 10);
    expect(&t, "isocyanate never_close rags below_smallest");
    bench_do(&t, COMMAND_FINISH);
    expect_record(&t, "isocyanate never_close flammable below_smallest");
    bench_end(&t);
}

/* H314 and H317 without EUH204 is an amine: no isocyanate, but goggles at its own step alone. */
static void an_amine_hardener(void **state)
{
    (void)state;
    struct bench_top t;
    bench_begin(&t, clear, 3, 100);
    hazards(&t, "HA", "H314 H317");
    assert_false(recipe_part_is_isocyanate(&t.batch.recipe.part[1]));
    expect(&t, "");
    bench_cup(&t);
    expect(&t, "");
    bench_pour(&t, 100);
    expect(&t, "eyes_skin");
    bench_pour(&t, 25);
    expect(&t, "");
    bench_pour(&t, 10);
    expect(&t, "never_close");
    bench_end(&t);
    struct recipe_part silent = {.role = PART_HARDENER};
    assert_true(recipe_part_is_isocyanate(&silent)); /* one that tells nothing */
    struct recipe_part other = {.role = PART_COLOUR, .hazards = "H2260 XH314"};
    assert_false(recipe_part_is_flammable(&other)); /* a statement counts whole */
}

/* A dry pigment by its statement or by its solids; a metal by its Colour Index name; waste when paint is taken out. */
static void powder_metals_and_waste(void **state)
{
    (void)state;
    struct bench_top t;
    struct said said[2];
    const char *toner[2];
    bench_begin(&t, paint, 2, 100);
    assert_int_equal(recipe_cautions(&t.batch.recipe, said, toner, 2), 0);
    strcpy(t.batch.recipe.part[0].pigment, "PW6 PY340"); /* PY340 is no PY34 */
    expect(&t, "");
    strcpy(t.batch.recipe.part[1].pigment, "PY42 PY34");
    hazards(&t, "N10", "EUH212");
    assert_string_equal(codes(said, recipe_cautions(&t.batch.recipe, said, toner, 2)), "dust target_metals");
    assert_string_equal(toner[0], "N10");
    assert_string_equal(toner[1], "K01");
    expect(&t, "target_metals");
    bench_cup(&t);
    expect(&t, "dust");
    bench_pour(&t, 60);
    expect(&t, "");
    t.batch.recipe.part[1].solids_vol_pct = 100;
    expect(&t, "dust");
    t.batch.recipe.part[1].solids_vol_pct = 60;
    bench_pour(&t, 50); /* 10 too much */
    expect(&t, "");
    bench_choose(&t, REMEDY_DIP);
    expect(&t, "waste_rules");
    bench_add(&t, -t.batch.take_g);
    bench_do(&t, COMMAND_ACCEPT);
    while (t.batch.state == BATCH_POUR)
        bench_pour(&t, batch_step_aim_g(&t.batch, (size_t)t.batch.open) - t.batch.step_g[t.batch.open]);
    expect(&t, "target_metals");
    expect_record(&t, "target_metals waste_rules");
    bench_end(&t);
}

/* Hardener that came by mistake: the mask at once, and the cup is not to be closed. */
static void hardener_by_mistake(void **state)
{
    (void)state;
    struct bench_top t;
    struct recipe_part hard = {.toner = "HA", .role = PART_HARDENER};
    bench_begin(&t, paint, 2, 100);
    bench_cup(&t);
    struct command c = bench_command_of(COMMAND_TINT);
    snprintf(c.really, sizeof c.really, "HA");
    c.part = &hard;
    assert_int_equal(bench_try(&t, &c), DECIDED);
    expect(&t, "isocyanate"); /* before a drop of it is poured */
    bench_pour(&t, 5);
    assert_true(batch_activated(&t.batch));
    while (t.batch.state == BATCH_POUR)
        bench_pour(&t, batch_step_aim_g(&t.batch, (size_t)t.batch.open) - t.batch.step_g[t.batch.open]);
    expect(&t, "isocyanate never_close");
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clear_with_isocyanate_hardener),
        cmocka_unit_test(an_amine_hardener),
        cmocka_unit_test(powder_metals_and_waste),
        cmocka_unit_test(hardener_by_mistake),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
