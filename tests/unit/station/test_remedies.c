/* Remedies with their figures, and what the screen says of them. */
#include "station/batch_record.h"
#include "station/decide.h"
#include "tests/unit/station/bench_top.h"

/* The mid coat of the demo world: B20 268.3 and P31 90.6 poured of 400 g. Growth, dip and deviation are the numbers of
 * the design's pictures (k = 429.28, dip 24.48 g, leave +7.9 %), with a = 0.1. */
static const struct bench_part mid[] = {{"B20", 268.0, PART_COLOUR, 0}, {"P31", 84.0, PART_COLOUR, 0},
                                        {"P12", 26.4, PART_COLOUR, 0},  {"R17", 12.8, PART_COLOUR, 0},
                                        {"Y05", 6.4, PART_COLOUR, 0},   {"K01", 2.4, PART_COLOUR, 0},
                                        {"RED", 0, PART_REDUCER, 0.2}};

static void begin_mid(struct bench_top *t)
{
    bench_begin(t, mid, 7, 400);
    t->batch.set.tolerance_g = 0.1;
    bench_cup(t);
    bench_pour(t, 268.3);
    bench_pour(t, 90.6);
    assert_int_equal(t->batch.state, BATCH_OVER);
}

/* 0.2 g of a small toner, by hand: rules from 3 on allow max(d / 2, 5 %) = 0.01, those before min(a, half the aim) =
 * 0.05. What an older journal holds is folded by what it was poured by. */
static void a_small_toner_may_err_by_its_error_not_by_half(void **state)
{
    static const struct bench_part small[] = {{"A", 998, PART_COLOUR, 0}, {"B", 2, PART_COLOUR, 0}};
    struct bench_top t;
    (void)state;
    bench_begin(&t, small, 2, 100);
    bench_cup(&t);
    assert_int_equal(t.batch.rules, EVENT_RULES);
    assert_grams(batch_step_tolerance_g(&t.batch, 1), 0.01);
    t.batch.set.d_g = 0.1;
    assert_grams(batch_step_tolerance_g(&t.batch, 1), 0.05);
    t.batch.rules = 2;
    t.batch.set.d_g = 0.01;
    assert_grams(batch_step_tolerance_g(&t.batch, 1), 0.05);
    bench_end(&t);
}

static void the_three_remedies_of_the_pictures(void **state)
{
    struct bench_top t;
    struct batch_remedies r;
    (void)state;
    begin_mid(&t);
    batch_remedies(&t.batch, &r);
    assert_true(fabs(r.grow.total_g - 429.28) < 0.01);
    assert_true(fabs(r.grow.add_g[0] - 19.3) < 0.05);
    assert_grams(r.grow.add_g[1], 0);
    assert_null(r.grow.why);
    assert_true(fabs(r.take_g - 24.48) < 0.01);
    assert_true(fabs(r.dip.add_g[0] - 18.0) < 0.05);
    assert_grams(r.dip.waste_g, r.take_g);
    assert_true(fabs(r.deviation_pct[1] - 7.857) < 0.01);
    assert_true(isnan(r.deviation_pct[2]));
    assert_true(fabs(r.leave.total_g - 406.9) < 0.01);
    assert_grams(r.grow.waste_g, 0);
    bench_end(&t);
}

/* Density 1 and a fifth of reducer to come: what must fit the cup is 1.2 mL for each gram of colour. */
static void millilitres_are_ready_to_spray(void **state)
{
    struct bench_top t;
    struct batch_remedies r;
    (void)state;
    begin_mid(&t);
    batch_remedies(&t.batch, &r);
    /* P31 stays a tolerance above its share. */
    assert_grams(r.grow.volume_ml, 1.2 * (0.79 * r.grow.total_g + 90.6));
    assert_grams(r.dip.volume_ml, 1.2 * 400);
    assert_grams(r.leave.volume_ml, 1.2 * 406.9);
    bench_end(&t);
}

static void a_small_cup_does_not_fit_and_cannot_be_chosen(void **state)
{
    struct bench_top t;
    struct command c = bench_command_of(COMMAND_REMEDY);
    (void)state;
    begin_mid(&t);
    t.batch.cup_ml = 520; /* 95 % are 494 mL; 429.28 g at 1 g/mL with 20 % are 515 mL */
    c.remedy = REMEDY_GROW;
    assert_int_equal(bench_try(&t, &c), REFUSED);
    assert_int_equal(t.fault.kind, FAULT_WOULD_NOT_FIT);
    assert_string_equal(t.fault.why, "cup");
    t.batch.cup_ml = NAN;
    t.batch.set.capacity_g = 500;
    assert_int_equal(bench_try(&t, &c), REFUSED);
    assert_string_equal(t.fault.why, "scale");
    bench_end(&t);
}

static void a_stranger_cannot_be_grown_away(void **state)
{
    struct bench_top t;
    struct command c = bench_command_of(COMMAND_ACCEPT);
    struct recipe_part stray = {.role = PART_COLOUR, .density_g_per_ml = 1, .price_per_kg = 10};
    struct batch_remedies r;
    (void)state;
    strcpy(stray.toner, "X99");
    bench_begin(&t, mid, 7, 400);
    bench_cup(&t);
    bench_pour(&t, 268);
    bench_add(&t, 4);
    strcpy(c.really, "X99");
    c.part = &stray;
    assert_int_equal(bench_try(&t, &c), DECIDED);
    assert_int_equal(t.batch.state, BATCH_OVER);
    batch_remedies(&t.batch, &r);
    assert_false(r.grow.possible);
    assert_string_equal(r.grow.why, "foreign");
    assert_true(r.again);
    assert_true(fabs(r.take_g - 272 * (1 - 0.05 / 4)) < 0.001);
    assert_true(fabs(r.foreign_pct - 100 * 4.0 / 272) < 0.001);
    bench_end(&t);
}

/* Hardener far over in a small cup: 100 g and 60 g are thrown away for less than growing takes. A shop that keeps no
 * prices is offered the same as one where all cost alike, by grams; a price says what it costs, null else. */
static void beginning_anew_is_offered_without_prices_too(void **state)
{
    static const struct bench_part clear[] = {{"C", 1, PART_COLOUR, 0}, {"H", 0, PART_HARDENER, 0.25}};
    (void)state;
    for (int missing = -1; missing < 2; missing++)
        for (int far = 0; far < 2; far++) {
            struct bench_top t;
            struct batch_remedies r;
            bench_begin(&t, clear, 2, 100);
            if (missing >= 0)
                t.batch.recipe.part[missing].price_per_kg = NAN;
            bench_cup(&t);
            bench_pour(&t, 100);
            bench_pour(&t, far ? 60 : 30);
            assert_int_equal(t.batch.state, BATCH_OVER);
            batch_remedies(&t.batch, &r);
            assert_true(r.grow.possible && !r.dip.possible);
            if (r.again != (far == 1))
                fail_msg("without the price of part %d, %s over: again is %d", missing, far ? "far" : "little",
                         r.again);
            assert_true(isnan(r.again_cost) == (missing >= 0));
            assert_true(isnan(r.grow.cost) == (missing >= 0));
            bench_end(&t);
        }
}

/* Whatever is poured: after grow every share is in tolerance, and the same edge never asks twice. */
static void random_cups_never_ask_twice(void **state)
{
    unsigned seed = 20261125;
    (void)state;
    for (int round = 0; round < 300; round++) {
        struct bench_top t;
        bench_begin(&t, mid, 6, 50 + (double)(rand_r(&seed) % 400));
        bench_cup(&t);
        int asked = 0, pours = 0;
        while (t.batch.state != BATCH_DONE && pours++ < 200) {
            double aim, in_cup, tolerance;
            if (t.batch.state == BATCH_OVER) {
                bench_choose(&t, REMEDY_GROW);
                assert_int_not_equal(t.batch.state, BATCH_OVER);
                asked++;
                continue;
            }
            assert_true(front_asked(&t.batch, &t.track, &aim, &in_cup, &tolerance));
            /* One pour in four goes up to 30 % past; the scale shows 0.01 g. */
            double past = rand_r(&seed) % 4 ? 0 : aim * (double)(rand_r(&seed) % 30) / 100;
            double grams = floor((aim - in_cup + past) * 100 + 0.5) / 100;
            bench_pour(&t, fmax(grams, 0.01));
        }
        assert_int_equal(t.batch.state, BATCH_DONE);
        double total = batch_k_lo(&t.batch);
        for (size_t s = 0; s < t.batch.recipe.steps; s++)
            assert_false(batch_step_over(&t.batch, s, total) || batch_step_wants(&t.batch, s));
        assert_true(asked <= pours);
        bench_end(&t);
    }
}

/* What a cup that is not empty says at beginning. have: grams by part; code "": nothing. */
static void a_leftover_says_what_it_forces(void **state)
{
    static const struct bench_part parts[] = {
        {"A", 60, PART_COLOUR, 0}, {"B", 40, PART_COLOUR, 0}, {"R", 0, PART_REDUCER, 0.1}};
    static const struct {
        const char *what;
        double have_g[4]; /* the last is a toner that the formula does not hold */
        const char *code;
        double number;
    } rows[] = {
        {"half of it all", {30, 20, 5, 0}, "", 0},
        {"too much B: 50 / 0.402", {0, 50, 0, 0}, "have_much", 124.378109},
        {"a stranger as well: no total is promised", {0, 50, 0, 5}, "have_foreign", NAN},
        {"a stranger within tolerance is none", {0, 50, 0, 0.05}, "have_much", 124.378109},
        {"six times the reducer of 10 g", {0, 0, 60, 0}, "have_reducer", 60},
        {"reducer within its 5 %", {0, 0, 10.5, 0}, "", 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct bench_top t;
        double have_g[RECIPE_PARTS] = {0}, number = NAN;
        bench_begin(&t, parts, 3, 100);
        struct recipe *r = &t.batch.recipe;
        r->part[3] = (struct recipe_part){.toner = "X", .role = PART_COLOUR, .foreign = true, .density_g_per_ml = 1};
        r->step[r->steps++] = (struct recipe_step){.part = (int)r->parts++};
        memcpy(have_g, rows[i].have_g, sizeof rows[i].have_g);
        fold_have(&t.batch, have_g);
        struct said said = decide_begin_said(&t.batch);
        assert_string_equal(said.code, rows[i].code);
        json_t *bare = said_bare_json(&said), *args = json_object_get(bare, "args");
        const json_t *total = json_object_get(args, "total_g"), *in_cup = json_object_get(args, "in_cup_g");
        number = total ? json_number_value(total) : in_cup ? json_number_value(in_cup) : NAN;
        if (rows[i].code[0] && (isnan(number) != isnan(rows[i].number) || fabs(number - rows[i].number) > 1e-5))
            fail_msg("%s: %f", rows[i].what, number);
        json_decref(bare);
        bench_end(&t);
    }
}

/* 100 g ask for 20 g of reducer. 32 g are right for 32 / (1.05 x 0.2) = 152.381 g: leave it, or more of the base. */
static void reducer_far_over_may_grow_by_choice(void **state)
{
    static const struct bench_part parts[] = {
        {"A", 60, PART_COLOUR, 0}, {"B", 40, PART_COLOUR, 0}, {"R", 0, PART_REDUCER, 0.2}};
    struct bench_top t;
    struct batch_remedies r;
    (void)state;
    bench_begin(&t, parts, 3, 100);
    bench_cup(&t);
    bench_pour(&t, 60);
    bench_pour(&t, 40);
    bench_pour(&t, 32);
    assert_int_equal(t.batch.state, BATCH_OVER);
    assert_true(isnan(t.last.grew_g)); /* never by itself */
    batch_remedies(&t.batch, &r);
    assert_true(r.leave.possible && r.grow.possible && !r.dip.possible && !r.again);
    assert_grams(r.grow.total_g, 152.381);
    assert_grams(r.grow.add_g[0], 31.4286);
    assert_grams(r.grow.add_g[1], 20.9524);
    bench_choose(&t, REMEDY_GROW);
    assert_string_equal(bench_open_toner(&t), "B"); /* the smallest share first */
    bench_pour(&t, 20.95);
    bench_pour(&t, 31.43);
    assert_int_equal(t.batch.state, BATCH_DONE); /* and no reducer is asked for */
    bench_end(&t);
}

/* A stands 0.28 g high, on aim, and B follows it: the cup is 100.467 g where k_lo is 100. 32 g of reducer are right for
 * 32 / 1.05 / 0.2 = 152.381 g, so 31.148 g of A are promised; rules before 4 started from k_lo and asked for 30.868. */
static void more_of_the_base_is_what_was_promised(void **state)
{
    static const struct bench_part parts[] = {
        {"A", 60, PART_COLOUR, 0}, {"B", 40, PART_COLOUR, 0}, {"R", 0, PART_REDUCER, 0.2}};
    static const struct {
        int rules;
        double to_go_g;
    } rows[] = {{3, 30.868}, {5, 31.148}, {EVENT_RULES, 31.148}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct bench_top t;
        struct batch_remedies r;
        bench_begin(&t, parts, 3, 100);
        t.batch.rules = rows[i].rules;
        bench_cup(&t);
        bench_pour(&t, 60.28);
        bench_pour(&t, 40.187);
        bench_pour(&t, 32);
        assert_int_equal(t.batch.state, BATCH_OVER);
        batch_remedies(&t.batch, &r);
        assert_true(fabs(r.grow.add_g[0] - 31.148) < 0.001);
        bench_choose(&t, REMEDY_GROW);
        assert_true(fabs(batch_step_aim_g(&t.batch, 0) - t.batch.step_g[0] - rows[i].to_go_g) < 0.001);
        bench_end(&t);
    }
}

/* More of the base for 46 g of hardener where a toner was left short, or left over: what is offered is asked for, and
 * when it is poured the hardener is within its 3 %. Basis weight, so by hand: 46 / 1.03 / 0.2 = 223.301 g of colour. */
static void more_of_the_base_makes_the_hardener_right(void **state)
{
    static const struct bench_part parts[] = {
        {"A", 60, PART_COLOUR, 0}, {"B", 40, PART_COLOUR, 0}, {"H", 0, PART_HARDENER, 0.2}};
    static const struct {
        double a_g, b_g, add_a_g, add_b_g;
        bool closed; /* B was left short: its tin is empty */
        enum event_remedy of_a;
    } rows[] = {{120, 80, 13.9806, 9.3204, false, REMEDY_NONE},
                {120.5, 70, 32.8010, 0, true, REMEDY_NONE},
                {144, 80, 0, 0, false, REMEDY_LEAVE}, /* 224 g hold 46 g already, within the 3 % */
                {130, 80, 3.9806, 9.3204, false, REMEDY_LEAVE}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct bench_top t;
        struct batch_remedies r;
        struct command c = bench_command_of(COMMAND_ACCEPT);
        bench_begin(&t, parts, 3, 200);
        bench_cup(&t);
        bench_pour(&t, rows[i].a_g);
        if (rows[i].of_a)
            bench_choose(&t, rows[i].of_a);
        bench_add(&t, rows[i].b_g);
        c.short_mode = rows[i].closed ? SHORT_COUNTED : SHORT_NO;
        assert_int_equal(bench_try(&t, &c), DECIDED);
        if (rows[i].closed)
            assert_int_equal(bench_try(&t, &c), DECIDED);
        bench_pour(&t, 46);
        batch_remedies(&t.batch, &r);
        assert_int_equal(t.batch.state == BATCH_OVER, rows[i].add_a_g + rows[i].add_b_g > 0);
        if (t.batch.state == BATCH_OVER) {
            assert_grams(r.grow.total_g, 46 / 1.03 / 0.2);
            assert_grams(r.grow.add_g[0], rows[i].add_a_g);
            assert_grams(r.grow.add_g[1], rows[i].add_b_g);
            bench_choose(&t, REMEDY_GROW);
        }
        for (int pours = 0; t.batch.state == BATCH_POUR && pours < 4; pours++) {
            size_t open = (size_t)t.batch.open;
            double go = batch_step_aim_g(&t.batch, open) - t.batch.step_g[open];
            assert_true(fabs(go - r.grow.add_g[open]) < 0.01);
            bench_pour(&t, round(go * 100) / 100);
        }
        assert_int_equal(t.batch.state, BATCH_DONE);
        if (!(t.batch.step_g[2] <= 1.03 * 0.2 * batch_colour_g(&t.batch) + 0.01))
            fail_msg("row %zu: %.3f g of hardener in %.3f g of colour", i, t.batch.step_g[2], batch_colour_g(&t.batch));
        assert_int_equal(batch_step_verdict(&t.batch, 2), STEP_ON_AIM);
        bench_end(&t);
    }
}

/* Chosen, and then the tin runs empty: nothing asks again, but no list says that the hardener is on aim. */
static void more_of_the_base_that_never_came_is_told(void **state)
{
    static const struct bench_part parts[] = {{"A", 1, PART_COLOUR, 0}, {"H", 0, PART_HARDENER, 0.2}};
    struct bench_top t;
    struct said fact[BATCH_FACTS];
    struct command c = bench_command_of(COMMAND_ACCEPT);
    (void)state;
    bench_begin(&t, parts, 2, 200);
    bench_cup(&t);
    bench_pour(&t, 200);
    bench_pour(&t, 46);
    bench_choose(&t, REMEDY_GROW);
    c.short_mode = SHORT_COUNTED;
    assert_int_equal(bench_try(&t, &c), DECIDED);
    assert_int_equal(t.batch.state, BATCH_DONE);
    assert_int_equal(batch_step_verdict(&t.batch, 1), STEP_LEFT);
    assert_int_equal(batch_facts(&t.batch, fact, BATCH_FACTS), 2);
    assert_string_equal(fact[1].code, "fact_left");
    bench_end(&t);
}

/* A ended at 0 to go on the edge of its tolerance, so it asks no more in 100 g. Then B is 10 g over, and the dip keeps
 * 40.2 / 50 of the cup: of A 11.76 g have gone with it, and B at its upper end wants 0.3 g more. By rules before 6
 * nobody asked for them. */
static void what_a_dip_took_of_an_edge_is_asked_for(void **state)
{
    static const struct bench_part parts[] = {{"A", 60, PART_COLOUR, 0}, {"B", 40, PART_COLOUR, 0}};
    (void)state;
    for (int rules = EVENT_RULES - 1; rules <= EVENT_RULES; rules++) {
        struct bench_top t;
        bench_begin(&t, parts, 2, 100);
        t.batch.rules = rules;
        bench_cup(&t);
        bench_pour(&t, 60);
        t.batch.part_edge_g[0] = 100;
        bench_pour(&t, 50);
        bench_choose(&t, REMEDY_DIP);
        bench_add(&t, -t.batch.take_g);
        bench_do(&t, COMMAND_ACCEPT);
        assert_int_equal(t.batch.state, rules < 6 ? BATCH_DONE : BATCH_POUR);
        if (rules >= 6)
            assert_grams(batch_step_aim_g(&t.batch, 0) - t.batch.step_g[0], 60 * 1.005 - 60 * 40.2 / 50);
        bench_end(&t);
    }
}

/* A toner in two steps, of which a leftover brought more for the second than both shall hold: the first asks nothing,
 * whatever the batch grows to. 30 g of A are over in 60 g, and right in 30 / (0.4 x 1.005). */
static void two_steps_ask_no_more_than_their_toner_lacks(void **state)
{
    static const struct bench_part parts[] = {
        {"A", 20, PART_COLOUR, 0}, {"B", 60, PART_COLOUR, 0}, {"A", 20, PART_COLOUR, 0}};
    struct bench_top t;
    double have_g[RECIPE_PARTS] = {30};
    (void)state;
    bench_begin(&t, parts, 3, 60);
    fold_have(&t.batch, have_g);
    bench_shows(&t, 60);
    bench_do(&t, COMMAND_ACCEPT);
    assert_int_equal(t.batch.state, BATCH_OVER);
    bench_choose(&t, REMEDY_GROW);
    assert_string_equal(bench_open_toner(&t), "B");
    bench_pour(&t, 44.78);
    assert_int_equal(t.batch.state, BATCH_DONE);
    bench_end(&t);
}

/* The leftover was shared out for 200 g: 40 of A for the first step. Made less, 120 g, the first has 16 more than its
 * 24 g, which the second does without. It asked for its own 24, and the toner was 33 % over. */
static void what_one_step_holds_too_much_the_other_does_without(void **state)
{
    static const struct bench_part parts[] = {
        {"A", 20, PART_COLOUR, 0}, {"B", 60, PART_COLOUR, 0}, {"A", 20, PART_COLOUR, 0}};
    struct bench_top t;
    double have_g[RECIPE_PARTS] = {40};
    (void)state;
    bench_begin(&t, parts, 3, 200);
    fold_have(&t.batch, have_g);
    assert_grams(t.batch.step_g[0], 40);
    t.batch.wanted_g = t.batch.target_g = 120;
    assert_grams(batch_step_aim_g(&t.batch, 2), 8); /* 0.4 x 120 - 40 */
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_small_toner_may_err_by_its_error_not_by_half),
        cmocka_unit_test(the_three_remedies_of_the_pictures),
        cmocka_unit_test(millilitres_are_ready_to_spray),
        cmocka_unit_test(a_small_cup_does_not_fit_and_cannot_be_chosen),
        cmocka_unit_test(a_stranger_cannot_be_grown_away),
        cmocka_unit_test(beginning_anew_is_offered_without_prices_too),
        cmocka_unit_test(a_leftover_says_what_it_forces),
        cmocka_unit_test(reducer_far_over_may_grow_by_choice),
        cmocka_unit_test(more_of_the_base_is_what_was_promised),
        cmocka_unit_test(more_of_the_base_makes_the_hardener_right),
        cmocka_unit_test(more_of_the_base_that_never_came_is_told),
        cmocka_unit_test(what_a_dip_took_of_an_edge_is_asked_for),
        cmocka_unit_test(two_steps_ask_no_more_than_their_toner_lacks),
        cmocka_unit_test(what_one_step_holds_too_much_the_other_does_without),
        cmocka_unit_test(random_cups_never_ask_twice),
    };
    return cmocka_run_group_tests_name("remedies", tests, NULL, NULL);
}
