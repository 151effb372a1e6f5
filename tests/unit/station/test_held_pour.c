/* A pour, a dip or a hardener that is held in the middle: what was poured counts, and is judged when the cup is back.
 * All figures worked by hand from the definitions of k_lo and k_aim (mix/aim.h). */
#include "station/batch_record.h"
#include "tests/unit/station/bench_top.h"

static const struct bench_part three[] = {
    {"A", 50, PART_COLOUR, 0}, {"B", 30, PART_COLOUR, 0}, {"C", 20, PART_COLOUR, 0}};

/* The cup is back, at a bench set as it was. */
static void resume(struct bench_top *t)
{
    struct event e;
    event_init(&e, EVENT_RESUMED);
    e.settings = malloc(sizeof *e.settings);
    *e.settings = t->batch.set;
    assert_true(batch_fold(&t->batch, &t->track, &e));
    event_finish(&e);
}

static void a_held_pour_keeps_what_was_poured(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, three, 3, 100);
    bench_cup(&t);
    bench_pour(&t, 50);
    bench_add(&t, 10);
    bench_do(&t, COMMAND_HOLD);
    assert_int_equal(t.batch.state, BATCH_HELD);
    assert_grams(batch_content_g(&t.batch), 60);
    bench_end(&t);
}

/* 60 of 100 g; the hand is past it and nobody has accepted, when the cup is held or tinted. What was counted so is
 * judged before it moves a total: 70 asks, 61 grows by itself and says so, 60 is on aim. It was counted in silence, and
 * the batch became 116 g. */
static void what_a_hold_counted_is_judged_when_the_cup_is_back(void **state)
{
    static const struct bench_part parts[] = {{"A", 60, PART_COLOUR, 0}, {"B", 40, PART_COLOUR, 0}};
    static const struct {
        double poured_g, total_g;
        enum batch_state then;
        const char *said;
    } rows[] = {{70, 100, BATCH_OVER, "over"},
                {61, 61 / 0.6, BATCH_POUR, "grew"},
                {60, 100, BATCH_POUR, ""},
                {20, 100, BATCH_POUR, ""}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (int tint = 0; tint < 2; tint++) {
            struct bench_top t;
            struct command c = bench_command_of(COMMAND_TINT);
            static const struct recipe_part by_eye = {.toner = "X", .density_g_per_ml = 1, .role = PART_COLOUR};
            bench_begin(&t, parts, 2, 100);
            bench_cup(&t);
            bench_add(&t, rows[i].poured_g);
            if (tint) {
                c.part = malloc(sizeof *c.part);
                *c.part = by_eye;
                assert_int_equal(bench_try(&t, &c), DECIDED);
                free(c.part);
                assert_grams(batch_k_aim(&t.batch), 100);
                c = bench_command_of(COMMAND_ACCEPT);
                c.short_mode = SHORT_COUNTED; /* given up */
                assert_int_equal(bench_try(&t, &c), DECIDED);
            } else {
                bench_do(&t, COMMAND_HOLD);
                assert_grams(batch_k_aim(&t.batch), 100);
                resume(&t);
                bench_shows(&t, 30 + rows[i].poured_g);
                bench_do(&t, COMMAND_ACCEPT);
            }
            if (t.batch.state != rows[i].then || fabs(batch_k_aim(&t.batch) - rows[i].total_g) > 0.001 ||
                (rows[i].said[0] && !said_is(&t.batch.said, rows[i].said)))
                fail_msg("row %zu: state %d, %.3f g, %s", i, t.batch.state, batch_k_aim(&t.batch), t.batch.said.code);
            assert_string_equal(bench_open_toner(&t), rows[i].poured_g < 50 ? "A" : "B");
            bench_end(&t);
        }
}

/* 80 of 60 g, a dip is chosen, half of it is out and the cup is held: what is still over asks when it is back. It grew
 * the batch in silence. */
static void a_dip_that_was_held_asks_again(void **state)
{
    static const struct bench_part parts[] = {{"A", 60, PART_COLOUR, 0}, {"B", 40, PART_COLOUR, 0}};
    struct bench_top t;
    (void)state;
    bench_begin(&t, parts, 2, 100);
    bench_cup(&t);
    bench_pour(&t, 80);
    bench_choose(&t, REMEDY_DIP);
    bench_add(&t, -10);
    bench_do(&t, COMMAND_HOLD);
    assert_grams(batch_k_aim(&t.batch), 100);
    resume(&t);
    bench_shows(&t, 100);
    bench_do(&t, COMMAND_ACCEPT);
    assert_int_equal(t.batch.state, BATCH_OVER);
    assert_grams(t.batch.over_total_g, 100);
    bench_choose(&t, REMEDY_DIP);
    bench_add(&t, -t.batch.take_g);
    bench_do(&t, COMMAND_ACCEPT);
    assert_string_equal(bench_open_toner(&t), "B");
    bench_end(&t);
}

/* 30 g of hardener where 25 are right, counted by a hold: judged as well, though no total holds it. */
static void hardener_that_a_hold_counted_asks(void **state)
{
    static const struct bench_part parts[] = {{"A", 1, PART_COLOUR, 0}, {"H", 0, PART_HARDENER, 0.25}};
    struct bench_top t;
    (void)state;
    bench_begin(&t, parts, 2, 100);
    bench_cup(&t);
    bench_pour(&t, 100);
    bench_add(&t, 30);
    bench_do(&t, COMMAND_HOLD);
    resume(&t);
    bench_shows(&t, 160);
    bench_do(&t, COMMAND_ACCEPT);
    assert_int_equal(t.batch.state, BATCH_OVER);
    bench_choose(&t, REMEDY_LEAVE);
    assert_int_equal(t.batch.state, BATCH_DONE);
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_held_pour_keeps_what_was_poured),
        cmocka_unit_test(what_a_hold_counted_is_judged_when_the_cup_is_back),
        cmocka_unit_test(a_dip_that_was_held_asks_again),
        cmocka_unit_test(hardener_that_a_hold_counted_asks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
