/* What counts as poured: lifts, tares, drift, silence. Each row of readings ends with what the open step holds. */
#include "tests/unit/station/bench_top.h"

static const struct bench_part one[] = {{"A", 50, PART_COLOUR, 0}, {"B", 50, PART_COLOUR, 0}};

static void at_50_g(struct bench_top *t)
{
    bench_begin(t, one, 2, 400);
    bench_cup(t); /* 30 g */
    bench_add(t, 50);
}

static void assert_poured(const struct bench_top *t, double grams)
{
    assert_grams((double)track_pour_ug(&t->track) / 1e6, grams);
}

static void a_lifted_cup_keeps_its_count(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    assert_int_equal(bench_reads(&t, 41, 0, 100), TRACK_LIFTED);
    bench_shows(&t, 0);
    assert_true(t.track.lifted);
    assert_poured(&t, 50);
    assert_int_equal(bench_reads(&t, 79.95, 1, 100), TRACK_BACK); /* 0.05 g went with the stick: within 2 d + 0.1 % */
    assert_poured(&t, 50);
    bench_add(&t, 10);
    assert_poured(&t, 60);
    bench_end(&t);
}

static const struct track_context with_lid = {.d_ug = 10000, .tare_ug = 30000000, .came = true, .before_ug = 80000000};

static enum track_note reads_with_lid(struct bench_top *t, double grams, int stable)
{
    const struct track_reading r = {.weight_ug = llround(grams * 1e6), .stable = stable, .at_ms = t->now_ms += 100};
    return track_add(&t->track, &r, &with_lid);
}

/* A lid of 40 g (more than half the cup) came at once at 80 g: taken off, in as many frames as it likes, is no lift. */
static void what_came_at_once_may_go_again(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    assert_int_equal(reads_with_lid(&t, 120, 1), TRACK_NOTHING);
    assert_int_equal(reads_with_lid(&t, 97, 0), TRACK_NOTHING);
    assert_int_equal(reads_with_lid(&t, 73, 0), TRACK_NOTHING); /* the hand pulls */
    assert_int_equal(reads_with_lid(&t, 83, 0), TRACK_NOTHING);
    assert_int_equal(reads_with_lid(&t, 80.1, 1), TRACK_NOTHING);
    assert_poured(&t, 50.1);
    bench_end(&t);
}

/* What is left is neither with it nor without it: paint was spilt, or it was another thing. That asks. */
static void a_part_of_what_came_going_asks(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    assert_int_equal(reads_with_lid(&t, 120, 1), TRACK_NOTHING);
    assert_int_equal(reads_with_lid(&t, 97, 0), TRACK_NOTHING);
    assert_int_equal(reads_with_lid(&t, 95, 1), TRACK_LIFTED);
    assert_poured(&t, 90);
    bench_end(&t);
}

/* The cup lifted with its lid comes back with it, however many frames it took to lift. */
static void a_cup_is_lifted_with_what_came_at_once(void **state)
{
    static const double on_the_way[] = {0, 110, 90, 70};
    (void)state;
    for (size_t i = 0; i < sizeof on_the_way / sizeof *on_the_way; i++) {
        struct bench_top t;
        at_50_g(&t);
        reads_with_lid(&t, 120, 1);
        if (on_the_way[i] > 0)
            assert_int_equal(reads_with_lid(&t, on_the_way[i], 0), TRACK_NOTHING);
        assert_int_equal(reads_with_lid(&t, 60, 0), TRACK_LIFTED);
        reads_with_lid(&t, 0, 1);
        assert_poured(&t, 90); /* it stands */
        assert_int_equal(reads_with_lid(&t, 120, 1), TRACK_BACK);
        assert_poured(&t, 90);
        bench_end(&t);
    }
}

/* On a cup that was zeroed a tare by hand reads as the fall of what came at once: a scale that says net knows better.
 */
static void a_tare_is_not_taken_for_what_came_going_again(void **state)
{
    struct track t;
    (void)state;
    struct track_context c = {.d_ug = 10000, .tare_ug = 30000000, .came = true};
    const struct track_reading shows = {50000000, 1, TRACK_KIND_GROSS, 100}, tared = {0, 1, TRACK_KIND_NET, 200};
    track_init(&t);
    track_start(&t, 0, 0);
    track_add(&t, &shows, &c);
    track_add(&t, &tared, &c);
    assert_false(t.lifted);
    assert_grams((double)track_pour_ug(&t) / 1e6, 50);
}

/* And one whose frames say nothing asks: the count stands, and goes on when the same difference is back. */
static void a_tare_where_paint_came_at_once_loses_nothing(void **state)
{
    struct track t;
    (void)state;
    const struct track_context c = {.d_ug = 10000, .tare_ug = 30000000, .came = true};
    const struct track_reading shows = {50000000, 1, TRACK_KIND_UNKNOWN, 100}, tared = {0, 1, TRACK_KIND_UNKNOWN, 200};
    const struct track_reading off = {-50000000, 1, TRACK_KIND_UNKNOWN, 300}, on = {0, 1, TRACK_KIND_UNKNOWN, 400};
    track_init(&t);
    track_start(&t, 0, 0);
    track_add(&t, &shows, &c);
    assert_int_equal(track_add(&t, &tared, &c), TRACK_LIFTED);
    track_add(&t, &off, &c);
    assert_int_equal(track_add(&t, &on, &c), TRACK_BACK);
    assert_grams((double)track_pour_ug(&t) / 1e6, 50);
}

static void another_weight_asks_and_nothing_is_taken(void **state)
{
    struct bench_top t;
    struct command c = bench_command_of(COMMAND_ACCEPT);
    (void)state;
    at_50_g(&t);
    bench_shows(&t, 0);
    bench_shows(&t, 72);
    assert_true(t.track.lifted);
    bench_refused(&t, &c, "lifted");
    /* Set anew: the weight now is the cup with all that is counted and the 50 g of the open step. */
    bench_do(&t, COMMAND_RETARE);
    assert_false(t.track.lifted);
    assert_poured(&t, 50);
    bench_end(&t);
}

/* Lifted while it still ran, and back on the pan heavier: what counts was never stable, and both sentences say about.
 */
static void what_was_never_stable_counts_as_about(void **state)
{
    static const struct {
        double then_g;
        const char *said;
    } rows[] = {{127, "retared_about"}, {127, "retared_about_asks"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct bench_top t;
        bench_begin(&t, one, 2, 400);
        bench_cup(&t);
        bench_reads(&t, 60, 0, 300);
        bench_reads(&t, 113.4, 0, 300);
        bench_shows(&t, i == 0 ? 0.5 : 0); /* a pan that shows half a gram was not tared */
        bench_shows(&t, rows[i].then_g);
        assert_true(t.track.lifted);
        bench_do(&t, COMMAND_RETARE);
        assert_poured(&t, 83.4);
        assert_string_equal(t.batch.said.code, rows[i].said);
        bench_end(&t);
    }
}

static void a_tare_by_hand_is_known_by_the_difference_that_returns(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    bench_shows(&t, 0); /* tared with the cup on: looks like a lift */
    assert_true(t.track.lifted);
    bench_shows(&t, -80); /* the cup is lifted to stir */
    bench_shows(&t, 0);   /* and put back: the same 80 g */
    assert_false(t.track.lifted);
    assert_poured(&t, 50);
    bench_add(&t, 7);
    assert_poured(&t, 57);
    bench_end(&t);
}

static void a_zero_while_the_cup_is_off_moves_the_base(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    bench_shows(&t, -0.4); /* the pan alone, a little below 0 */
    bench_shows(&t, 0);    /* zeroed by hand */
    bench_shows(&t, 80.4);
    assert_false(t.track.lifted);
    assert_poured(&t, 50);
    bench_end(&t);
}

static void a_scale_that_says_net_was_tared(void **state)
{
    struct bench_top t;
    struct track_context c = {.d_ug = 10000, .tare_ug = 30000000};
    struct track_reading gross = {.weight_ug = 80000000, .stable = 1, .kind = TRACK_KIND_GROSS, .at_ms = 5000};
    struct track_reading net = {.weight_ug = 0, .stable = 1, .kind = TRACK_KIND_NET, .at_ms = 5100};
    (void)state;
    at_50_g(&t);
    track_add(&t.track, &gross, &c);
    track_add(&t.track, &net, &c);
    assert_false(t.track.lifted);
    assert_poured(&t, 50);
    bench_end(&t);
}

static void slow_drift_downward_moves_the_base_and_drops_do_not(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, one, 2, 400);
    bench_cup(&t);
    /* 0.1 g in a minute: evaporation */
    for (int i = 1; i <= 100; i++)
        bench_reads(&t, 30 - i * 0.001, 1, 600);
    assert_true(fabs((double)track_pour_ug(&t.track) / 1e6) <= 0.01);
    /* a drop is not drift: it stays in the count */
    bench_reads(&t, 29.93, 1, 600);
    for (int i = 0; i < 100; i++)
        bench_reads(&t, 29.93, 1, 600);
    assert_true(fabs((double)track_pour_ug(&t.track) / 1e6 - 0.03) <= 0.011);
    bench_end(&t);
}

static void a_fast_fall_below_the_count_asks(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, one, 2, 400);
    bench_cup(&t);
    bench_pour(&t, 200);
    bench_add(&t, -5);
    assert_true(t.track.lifted);
    bench_add(&t, 5);
    assert_false(t.track.lifted);
    bench_end(&t);
}

static void what_is_spooned_out_of_the_open_step_is_not_in_it(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    bench_add(&t, -3);
    assert_false(t.track.lifted);
    assert_poured(&t, 47);
    bench_end(&t);
}

static void a_cup_lifted_in_mid_pour_comes_back_heavier(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    bench_reads(&t, 90, 0, 100);
    bench_reads(&t, 105, 0, 100);
    bench_reads(&t, 20, 0, 100);
    assert_true(t.track.lifted);
    bench_shows(&t, 0);
    bench_shows(&t, 105);
    assert_false(t.track.lifted);
    assert_poured(&t, 75);
    bench_end(&t);
}

static void readings_without_a_mark_are_stable_within_1_d_for_600_ms(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, one, 2, 400);
    for (int i = 0; i < 6; i++)
        bench_reads(&t, 30 + (i % 2) * 0.01, -1, 100);
    assert_false(t.track.now_stable);
    bench_reads(&t, 30, -1, 100);
    assert_true(t.track.now_stable);
    bench_reads(&t, 30.02, -1, 100);
    assert_false(t.track.now_stable);
    /* a gap on the line begins the window anew */
    for (int i = 0; i < 8; i++)
        bench_reads(&t, 31, -1, 100);
    assert_true(t.track.now_stable);
    track_gap(&t.track);
    bench_reads(&t, 31, -1, 100);
    assert_false(t.track.now_stable);
    bench_end(&t);
}

static void a_fast_scale_needs_its_600_ms_as_well(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, one, 2, 400);
    for (int i = 0; i < 590; i++)
        bench_reads(&t, 30, -1, 1);
    assert_false(t.track.now_stable);
    for (int i = 0; i < 30; i++)
        bench_reads(&t, 30, -1, 1);
    assert_true(t.track.now_stable);
    bench_end(&t);
}

static void while_dipping_only_the_missing_cup_is_a_lift(void **state)
{
    struct bench_top t;
    (void)state;
    bench_begin(&t, one, 2, 400);
    bench_cup(&t);
    bench_pour(&t, 200);
    bench_pour(&t, 260);
    assert_int_equal(t.batch.state, BATCH_OVER);
    bench_choose(&t, REMEDY_DIP);
    bench_add(&t, -60);
    assert_false(t.track.lifted);
    assert_int_equal(bench_reads(&t, 0, 1, 100), TRACK_LIFTED);
    bench_shows(&t, 410); /* the cup comes back lighter: it was dipped off the scale */
    assert_false(t.track.lifted);
    bench_do(&t, COMMAND_ACCEPT);
    assert_grams(batch_content_g(&t.batch), 380);
    bench_end(&t);
}

static enum track_note reads_kind(struct bench_top *t, double grams, enum track_kind kind)
{
    const struct track_context c = {.d_ug = 10000, .tare_ug = 30000000};
    const struct track_reading r = {
        .weight_ug = llround(grams * 1e6), .stable = 1, .kind = kind, .at_ms = t->now_ms += 100};
    return track_add(&t->track, &r, &c);
}

/* Issue 8: while the cup is put on, too: its tare was the one or the other by chance. */
static void nor_while_nothing_is_counted(void **state)
{
    struct bench_top t = {.now_ms = 1000};
    (void)state;
    track_init(&t.track);
    reads_kind(&t, 72.4, TRACK_KIND_GROSS);
    assert_true(t.track.now_stable);
    for (int i = 0; i < 4; i++) {
        reads_kind(&t, i % 2 ? 72.4 : 60, i % 2 ? TRACK_KIND_GROSS : TRACK_KIND_NET);
        assert_true(t.track.mixed);
        assert_false(t.track.now_stable);
    }
    for (int i = 0; i < 11; i++)
        reads_kind(&t, 60, TRACK_KIND_NET); /* whichever comes alone is believed after a second */
    assert_false(t.track.mixed);
    assert_true(t.track.now_stable);
}

/* A scale that sends without a kind by itself, and NET at its print key: while the two differ neither is steady, and a
 * line of the print key is neither a fall nor the cup lifted. */
static void a_print_keys_net_is_another_weight_than_lines_without_a_kind(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    for (int i = 0; i < 3; i++)
        reads_kind(&t, 80, TRACK_KIND_UNKNOWN);
    assert_poured(&t, 50);
    assert_int_equal(reads_kind(&t, 50, TRACK_KIND_NET), TRACK_NOTHING);
    assert_true(t.track.mixed);
    assert_false(t.track.now_stable);
    assert_int_equal(reads_kind(&t, 80, TRACK_KIND_UNKNOWN), TRACK_NOTHING);
    assert_true(t.track.mixed);
    assert_false(t.track.lifted);
    for (int i = 0; i < 10; i++)
        reads_kind(&t, 80, TRACK_KIND_UNKNOWN);
    assert_false(t.track.mixed);
    assert_true(t.track.now_stable);
    assert_poured(&t, 50);
    bench_end(&t);
}

/* Nothing is tared: the print key says the same weight, by another name. And the base stays with the lines without. */
static void a_print_key_that_says_the_same_weight_is_believed(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    reads_kind(&t, 80, TRACK_KIND_UNKNOWN);
    reads_kind(&t, 80.01, TRACK_KIND_NET);
    assert_false(t.track.mixed);
    assert_true(t.track.now_stable);
    reads_kind(&t, 90, TRACK_KIND_UNKNOWN);
    assert_false(t.track.mixed);
    assert_poured(&t, 60);
    /* A scale that says NET once it is tared, and nothing before: the step to 0 tells. */
    reads_kind(&t, 0, TRACK_KIND_NET);
    reads_kind(&t, 10, TRACK_KIND_NET);
    assert_false(t.track.mixed);
    bench_end(&t);
}

/* Families whose still line alone has a place for the kind. */
static void a_moving_line_without_a_kind_is_no_other(void **state)
{
    struct bench_top t = {.now_ms = 1000};
    const struct track_context c = {.d_ug = 10000, .tare_ug = 30000000};
    (void)state;
    track_init(&t.track);
    reads_kind(&t, 30, TRACK_KIND_NET);
    track_start(&t.track, 30000000, 30000000);
    for (int i = 1; i <= 10; i++) {
        const struct track_reading moving = {.weight_ug = 30000000 + i * 5000000, .at_ms = t.now_ms += 100};
        assert_int_equal(track_add(&t.track, &moving, &c), TRACK_NOTHING);
        assert_false(t.track.mixed);
    }
    reads_kind(&t, 80, TRACK_KIND_NET);
    assert_false(t.track.mixed);
    assert_true(t.track.now_stable);
    assert_int_equal(track_pour_ug(&t.track), 50000000);
}

/* A scale that tells net and gross line by line tells two weights: neither is steady, and the base stays. Once it has
 * told one kind alone for a second, that weight counts again. */
static void net_and_gross_in_turn_are_never_steady(void **state)
{
    struct bench_top t;
    (void)state;
    at_50_g(&t);
    assert_int_equal(reads_kind(&t, 80, TRACK_KIND_GROSS), TRACK_NOTHING);
    assert_true(t.track.now_stable);
    for (int i = 0; i < 4; i++) {
        assert_int_equal(reads_kind(&t, i % 2 ? 80 : 50, i % 2 ? TRACK_KIND_GROSS : TRACK_KIND_NET), TRACK_NOTHING);
        assert_true(t.track.mixed);
        assert_false(t.track.now_stable);
    }
    for (int i = 0; i < 10; i++)
        reads_kind(&t, 80, TRACK_KIND_GROSS);
    assert_false(t.track.mixed);
    assert_true(t.track.now_stable);
    assert_poured(&t, 50);
    /* The key TARE, by a step to 0: from there net holds. */
    reads_kind(&t, 0, TRACK_KIND_NET);
    reads_kind(&t, 10, TRACK_KIND_NET);
    assert_false(t.track.mixed);
    assert_poured(&t, 60);
    bench_end(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_lifted_cup_keeps_its_count),
        cmocka_unit_test(what_came_at_once_may_go_again),
        cmocka_unit_test(a_part_of_what_came_going_asks),
        cmocka_unit_test(a_cup_is_lifted_with_what_came_at_once),
        cmocka_unit_test(a_tare_is_not_taken_for_what_came_going_again),
        cmocka_unit_test(a_tare_where_paint_came_at_once_loses_nothing),
        cmocka_unit_test(another_weight_asks_and_nothing_is_taken),
        cmocka_unit_test(what_was_never_stable_counts_as_about),
        cmocka_unit_test(a_tare_by_hand_is_known_by_the_difference_that_returns),
        cmocka_unit_test(a_zero_while_the_cup_is_off_moves_the_base),
        cmocka_unit_test(a_scale_that_says_net_was_tared),
        cmocka_unit_test(net_and_gross_in_turn_are_never_steady),
        cmocka_unit_test(a_print_keys_net_is_another_weight_than_lines_without_a_kind),
        cmocka_unit_test(a_print_key_that_says_the_same_weight_is_believed),
        cmocka_unit_test(a_moving_line_without_a_kind_is_no_other),
        cmocka_unit_test(nor_while_nothing_is_counted),
        cmocka_unit_test(slow_drift_downward_moves_the_base_and_drops_do_not),
        cmocka_unit_test(a_fast_fall_below_the_count_asks),
        cmocka_unit_test(what_is_spooned_out_of_the_open_step_is_not_in_it),
        cmocka_unit_test(a_cup_lifted_in_mid_pour_comes_back_heavier),
        cmocka_unit_test(readings_without_a_mark_are_stable_within_1_d_for_600_ms),
        cmocka_unit_test(a_fast_scale_needs_its_600_ms_as_well),
        cmocka_unit_test(while_dipping_only_the_missing_cup_is_a_lift),
    };
    return cmocka_run_group_tests_name("track", tests, NULL, NULL);
}
