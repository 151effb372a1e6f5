/* Whole pours without a daemon: what is asked next, what grows, what asks. All figures worked by hand from the
 * definitions of k_lo and k_aim (mix/aim.h). */
#include "station/batch_record.h"
#include "tests/unit/station/bench_top.h"

static const struct bench_part three[] = {
    {"A", 50, PART_COLOUR, 0}, {"B", 30, PART_COLOUR, 0}, {"C", 20, PART_COLOUR, 0}};

static void an_exact_pour_is_done(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 3, 100);
    assert_int_equal(t.batch.state, BATCH_CUP);
    bench_cup(&t);
    assert_string_equal(bench_open_toner(&t), "A");
    bench_pour(&t, 50);
    bench_pour(&t, 30);
    assert_int_equal(t.batch.state, BATCH_POUR);
    bench_pour(&t, 20);
    assert_int_equal(t.batch.state, BATCH_DONE);
    assert_grams(batch_content_g(&t.batch), 100);
    bench_do(&t, COMMAND_FINISH);
    assert_int_equal(t.batch.state, BATCH_FINISHED);
    bench_end(&t);
}

static void a_small_excess_grows_by_itself(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_pour(&t, 52);
    /* k of A = min(max(51.95 / 0.5, 52 / 0.75), 52 / 0.5025) = 103.4826; k_aim = 52 / 0.5 = 104 within 1.005 k_lo. */
    assert_int_equal(t.batch.state, BATCH_POUR);
    assert_grams(batch_k_lo(&t.batch), 52 / 0.5025);
    assert_grams(batch_k_aim(&t.batch), 1.005 * 52 / 0.5025);
    assert_grams(t.batch.wanted_g, 100);
    assert_true(said_is(&t.batch.said, "grew"));
    assert_string_equal(bench_open_toner(&t), "B");
    bench_end(&t);
}

/* After a growth aims may stand on the edge of the tolerance; the scale shows 0.01 g, and 0 to go is on aim. */
static void pouring_to_0_to_go_is_never_over(void **state)
{
    static const struct bench_part ground[] = {
        {"N10", 212.0, PART_COLOUR, 0}, {"M42", 61.5, PART_COLOUR, 0}, {"K01", 3.2, PART_COLOUR, 0}};
    struct bench_top t;
    (void)state;
    bench_begin(&t, ground, 3, 276.7);
    bench_cup(&t);
    bench_pour(&t, 218.4);
    double k_lo = batch_k_lo(&t.batch), aim = batch_step_aim_g(&t.batch, 1);
    assert_true(aim > 63.356 && aim < 63.357);
    bench_pour(&t, 63.36);
    assert_int_equal(t.batch.state, BATCH_POUR);
    assert_true(said_is(&t.batch.said, ""));
    assert_true(batch_k_lo(&t.batch) - k_lo < 0.02);
    bench_pour(&t, 3.3);
    assert_int_equal(t.batch.state, BATCH_DONE);
    bench_end(&t);
}

static void a_large_excess_asks_and_grows_smallest_share_first(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_pour(&t, 50);
    bench_pour(&t, 30);
    bench_pour(&t, 24);
    assert_int_equal(t.batch.state, BATCH_OVER);
    assert_grams(batch_k_lo(&t.batch), 100); /* nothing moves before a remedy is chosen */
    bench_choose(&t, REMEDY_GROW);
    /* k of C = 24 / 0.201 = 119.40299; B is the smaller share of those that lack. */
    assert_grams(t.batch.wanted_g, 24 / 0.201);
    assert_string_equal(bench_open_toner(&t), "B");
    bench_pour(&t, 0.3 * 24 / 0.201 - 30);
    assert_string_equal(bench_open_toner(&t), "A");
    bench_pour(&t, 0.5 * 24 / 0.201 - 50);
    assert_int_equal(t.batch.state, BATCH_DONE);
    bench_end(&t);
}

static void leaving_it_never_asks_again_until_it_is_poured_again(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_pour(&t, 50);
    bench_pour(&t, 36);
    assert_int_equal(t.batch.state, BATCH_OVER);
    bench_choose(&t, REMEDY_LEAVE);
    assert_grams(batch_k_lo(&t.batch), 100);
    assert_string_equal(bench_open_toner(&t), "C");
    bench_pour(&t, 20);
    assert_int_equal(t.batch.state, BATCH_DONE);
    bench_end(&t);
}

static void a_dip_scales_by_what_was_really_taken(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_pour(&t, 50);
    bench_pour(&t, 30);
    bench_pour(&t, 24);
    bench_choose(&t, REMEDY_DIP);
    /* s = (20 + 0.1) / 24 = 0.8375; take 104 x 0.1625 = 16.9 g. */
    assert_grams(t.batch.take_g, 16.9);
    bench_add(&t, -26);
    bench_do(&t, COMMAND_ACCEPT);
    assert_grams(batch_content_g(&t.batch), 78);
    assert_grams(t.batch.step_g[2], 24 * 78.0 / 104);
    assert_grams(t.batch.waste_g, 26);
    assert_string_equal(bench_open_toner(&t), "C");
    bench_pour(&t, 2);
    bench_pour(&t, 7.5);
    bench_pour(&t, 12.5);
    assert_int_equal(t.batch.state, BATCH_DONE);
    assert_grams(batch_content_g(&t.batch), 100);
    bench_end(&t);
}

static void a_dip_as_asked_to_the_scale_is_enough(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 3, 100.3);
    bench_cup(&t);
    bench_pour(&t, 50.15);
    bench_pour(&t, 30.09);
    bench_pour(&t, 26);
    bench_choose(&t, REMEDY_DIP);
    double asked = floor(t.batch.take_g * 100) / 100; /* rounded down to d, the unlucky way */
    bench_add(&t, -asked);
    bench_do(&t, COMMAND_ACCEPT);
    assert_int_equal(t.batch.state, BATCH_POUR);
    bench_end(&t);
}

static void undo_gives_the_weight_back_to_the_open_step(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_pour(&t, 52);
    bench_do(&t, COMMAND_UNDO);
    assert_grams(batch_k_lo(&t.batch), 100);
    assert_string_equal(bench_open_toner(&t), "A");
    double aim, in_cup, tolerance;
    assert_true(front_asked(&t.batch, &t.track, &aim, &in_cup, &tolerance));
    assert_grams(in_cup, 52);
    /* One more would give the 52 g to nobody: they are to be accepted, or named, first. */
    struct command c = bench_command_of(COMMAND_UNDO);
    bench_refused(&t, &c, "uncounted");
    assert_grams(t.fault.uncounted_g, 52);
    bench_end(&t);
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_do(&t, COMMAND_UNDO);
    assert_int_equal(t.batch.state, BATCH_CUP);
    bench_refused(&t, &c, "nothing");
    bench_end(&t);
}

static void undo_stops_at_a_dip(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_pour(&t, 60);
    bench_choose(&t, REMEDY_DIP);
    bench_add(&t, -t.batch.take_g);
    bench_do(&t, COMMAND_ACCEPT);
    struct command c = bench_command_of(COMMAND_UNDO);
    bench_refused(&t, &c, "nothing");
    bench_end(&t);
}

static void a_toner_named_twice_is_one_for_the_total(void **state)
{
    static const struct bench_part twice[] = {
        {"A", 100, PART_COLOUR, 0}, {"B", 50, PART_COLOUR, 0}, {"A", 100, PART_COLOUR, 0}};
    struct bench_top t;
    (void)state;
    bench_begin(&t, twice, 3, 250);
    bench_cup(&t);
    bench_pour(&t, 110);
    bench_pour(&t, 50);
    assert_int_equal(t.batch.state, BATCH_POUR);
    assert_grams(batch_step_aim_g(&t.batch, 2), 90);
    bench_pour(&t, 90);
    assert_int_equal(t.batch.state, BATCH_DONE);
    bench_end(&t);
}

static void short_waits_for_another_tin_then_stays_short(void **state)
{
    struct bench_top t;
    struct command c = bench_command_of(COMMAND_ACCEPT);
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_add(&t, 20);
    bench_refused(&t, &c, "short");
    assert_grams(t.fault.short_g, 30);
    c.short_mode = SHORT_COUNTED;
    strcpy(c.lot, "A17");
    assert_int_equal(bench_try(&t, &c), DECIDED);
    assert_string_equal(bench_open_toner(&t), "A");
    bench_add(&t, 10);
    strcpy(c.lot, "A18");
    assert_int_equal(bench_try(&t, &c), DECIDED);
    assert_string_equal(t.batch.part_lot[0], "A17, A18");
    c.lot[0] = '\0';
    assert_int_equal(bench_try(&t, &c), DECIDED);
    assert_string_equal(bench_open_toner(&t), "B");
    bench_pour(&t, 30);
    bench_pour(&t, 20);
    assert_int_equal(t.batch.state, BATCH_DONE);
    assert_grams(batch_content_g(&t.batch), 80);
    bench_end(&t);
}

static void less_is_made_where_the_others_allow_it(void **state)
{
    struct bench_top t;
    struct command c = bench_command_of(COMMAND_ACCEPT);
    (void)state;
    c.short_mode = SHORT_LESS;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_add(&t, 20);
    assert_int_equal(bench_try(&t, &c), DECIDED);
    assert_grams(t.batch.wanted_g, 40);
    bench_pour(&t, 12);
    bench_add(&t, 5);
    bench_refused(&t, &c, "less");
    bench_end(&t);
}

static void hardener_over_asks_for_more_base_or_stays(void **state)
{
    static const struct bench_part clear[] = {
        {"CL", 1, PART_COLOUR, 0}, {"H", 0, PART_HARDENER, 0.25}, {"R", 0, PART_REDUCER, 0.25}};
    struct bench_top t;
    (void)state;
    bench_begin(&t, clear, 3, 400);
    bench_cup(&t);
    bench_pour(&t, 400);
    bench_pour(&t, 120);
    assert_int_equal(t.batch.state, BATCH_OVER);
    bench_choose(&t, REMEDY_GROW);
    assert_grams(t.batch.wanted_g, 400 * 120 / 1.03 / 100);
    assert_string_equal(bench_open_toner(&t), "CL");
    bench_pour(&t, 66);
    assert_string_equal(bench_open_toner(&t), "R");
    bench_pour(&t, 160); /* reducer over never grows the colour by itself; by choice it may */
    assert_int_equal(t.batch.state, BATCH_OVER);
    bench_choose(&t, REMEDY_LEAVE);
    assert_int_equal(t.batch.state, BATCH_DONE);
    bench_end(&t);
}

static void a_wrong_tin_counts_for_its_own_toner(void **state)
{
    struct bench_top t;
    struct command c = bench_command_of(COMMAND_ACCEPT);
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_add(&t, 10);
    strcpy(c.really, "B");
    assert_int_equal(bench_try(&t, &c), DECIDED);
    assert_string_equal(bench_open_toner(&t), "A");
    assert_grams(t.batch.step_g[1], 10);
    bench_end(&t);
}

/* 64 toners of a coat, then two wrong tins: the second, the 66th colour, is judged like the first. */
static void a_colour_beyond_the_64th_is_judged(void **state)
{
    struct bench_part many[64];
    char names[64][8];
    struct bench_top t;
    (void)state;
    for (int i = 0; i < 64; i++) {
        snprintf(names[i], sizeof names[i], "T%d", i);
        many[i] = (struct bench_part){names[i], 1, PART_COLOUR, 0};
    }
    bench_begin(&t, many, 64, 640);
    bench_cup(&t);
    for (int i = 0; i < 2; i++) {
        struct recipe_part stray = {.role = PART_COLOUR, .density_g_per_ml = 1, .price_per_kg = 10};
        struct command c = bench_command_of(COMMAND_ACCEPT);
        snprintf(stray.toner, sizeof stray.toner, "X%d", i);
        memcpy(c.really, stray.toner, sizeof c.really);
        c.part = &stray;
        bench_add(&t, 3);
        assert_int_equal(bench_try(&t, &c), DECIDED);
        assert_int_equal(t.batch.state, BATCH_OVER);
        bench_choose(&t, REMEDY_LEAVE);
    }
    assert_grams(batch_colour_g(&t.batch), 6);
    bench_end(&t);
}

/* Hardener from a wrong tin, or by eye: the cup is activated, and the caution stands before anything else. */
static void hardener_by_mistake_activates(void **state)
{
    struct bench_top t;
    struct recipe_part hardener = {.toner = "H", .role = PART_HARDENER, .density_g_per_ml = 1, .price_per_kg = 10};
    (void)state;
    for (int by_eye = 0; by_eye < 2; by_eye++) {
        struct command c = bench_command_of(by_eye ? COMMAND_TINT : COMMAND_ACCEPT);
        bench_begin(&t, three, 3, 100);
        bench_cup(&t);
        strcpy(c.really, "H");
        c.part = &hardener;
        assert_false(batch_activated(&t.batch));
        if (!by_eye)
            bench_add(&t, 2);
        assert_int_equal(bench_try(&t, &c), DECIDED);
        assert_true(said_is(&t.batch.caution[0], "isocyanate"));
        if (by_eye)
            bench_pour(&t, 2);
        assert_true(batch_activated(&t.batch));
        assert_true(batch_use_by_ms(&t.batch) == 0);
        assert_int_equal(t.batch.cautions, 1);
        bench_end(&t);
    }
}

static void waterborne_is_never_tinted_with_solvent(void **state)
{
    struct bench_top t;
    struct recipe_part other = {.toner = "S1", .role = PART_COLOUR, .density_g_per_ml = 1, .price_per_kg = 10};
    struct command c = bench_command_of(COMMAND_TINT);
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    strcpy(t.batch.recipe.line, "waterborne");
    strcpy(c.really, "S1");
    strcpy(c.line, "solvent");
    c.part = &other;
    bench_refused(&t, &c, "line");
    strcpy(c.line, "waterborne");
    assert_int_equal(bench_try(&t, &c), DECIDED);
    bench_end(&t);
}

/* 3 g of a wrong tin are left; later 2 g of A are tinted in, and what is in the cup becomes the recipe. The wrong tin
 * stays one: its step was then called on aim. */
static void a_tint_makes_no_wrong_tin_right(void **state)
{
    static const struct bench_part parts[] = {{"A", 60, PART_COLOUR, 0}, {"B", 40, PART_COLOUR, 0}};
    static const struct recipe_part stray = {.toner = "X", .role = PART_COLOUR, .density_g_per_ml = 1};
    struct bench_top t;
    struct command c = bench_command_of(COMMAND_ACCEPT);
    (void)state;
    bench_begin(&t, parts, 2, 100);
    bench_cup(&t);
    bench_add(&t, 3);
    strcpy(c.really, "X");
    c.part = malloc(sizeof *c.part);
    *c.part = stray;
    assert_int_equal(bench_try(&t, &c), DECIDED);
    free(c.part);
    bench_choose(&t, REMEDY_LEAVE);
    bench_pour(&t, 60);
    bench_pour(&t, 40);
    c = bench_command_of(COMMAND_TINT);
    strcpy(c.really, "A");
    assert_int_equal(bench_try(&t, &c), DECIDED);
    bench_pour(&t, 2);
    assert_int_equal(t.batch.state, BATCH_DONE);
    for (size_t s = 0; s < t.batch.recipe.steps; s++) {
        const char *toner = t.batch.recipe.part[t.batch.recipe.step[s].part].toner;
        assert_int_equal(batch_step_verdict(&t.batch, s), toner[0] == 'X'   ? STEP_FOREIGN
                                                          : toner[0] == 'A' ? STEP_TINTED
                                                                            : STEP_ON_AIM);
    }
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_colour_beyond_the_64th_is_judged),
        cmocka_unit_test(hardener_by_mistake_activates),
        cmocka_unit_test(waterborne_is_never_tinted_with_solvent),
        cmocka_unit_test(an_exact_pour_is_done),
        cmocka_unit_test(a_small_excess_grows_by_itself),
        cmocka_unit_test(pouring_to_0_to_go_is_never_over),
        cmocka_unit_test(a_large_excess_asks_and_grows_smallest_share_first),
        cmocka_unit_test(leaving_it_never_asks_again_until_it_is_poured_again),
        cmocka_unit_test(a_dip_scales_by_what_was_really_taken),
        cmocka_unit_test(a_dip_as_asked_to_the_scale_is_enough),
        cmocka_unit_test(undo_gives_the_weight_back_to_the_open_step),
        cmocka_unit_test(undo_stops_at_a_dip),
        cmocka_unit_test(a_toner_named_twice_is_one_for_the_total),
        cmocka_unit_test(short_waits_for_another_tin_then_stays_short),
        cmocka_unit_test(a_tint_makes_no_wrong_tin_right),
        cmocka_unit_test(less_is_made_where_the_others_allow_it),
        cmocka_unit_test(hardener_over_asks_for_more_base_or_stays),
        cmocka_unit_test(a_wrong_tin_counts_for_its_own_toner),
    };
    return cmocka_run_group_tests_name("pour", tests, NULL, NULL);
}
