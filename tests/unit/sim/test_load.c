/* The simulated world makes and loses nothing, and the simulated scale comes to rest where it should. */
#include "drivers/sim/load.h"
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct load_settings plain(void)
{
    return (struct load_settings){.d = {1, -2}, .capacity_g = 3000, .settle_ms = 400, .seed = 1};
}

static void run(struct load *load, int ms)
{
    for (int t = 0; t < ms; t += LOAD_STEP_MS)
        load_step(load);
}

static void run_until_settled(struct load *load)
{
    for (int t = 0; t < 60000 && !load_settled(load); t += LOAD_STEP_MS)
        load_step(load);
    assert_true(load_settled(load));
}

static void near(double got, double want, double slack)
{
    if (!(fabs(got - want) <= slack))
        fail_msg("got %.9f, want %.9f", got, want);
}

/* At every step what is in the tin, in the air and in the cup is what was asked for. */
static void a_pour_conserves_mass(void **state)
{
    (void)state;
    static const struct {
        double g, flow;
    } pours[] = {{0.05, 10}, {0.3, 0.2}, {2, 10}, {46.5, 8}, {500, 40}, {1, 1000}};
    for (size_t i = 0; i < sizeof pours / sizeof *pours; i++) {
        struct load load;
        struct load_settings set = plain();
        load_init(&load, &set);
        assert_null(load_cup(&load, 31.2));
        assert_null(load_pour(&load, pours[i].g, pours[i].flow));
        double most = 0, before = 0;
        int steps = 0;
        for (; load.pour.open && steps < 100000; steps++) {
            load_step(&load);
            near(load.pour.left_g + load_in_air_g(&load) + load.content_g, pours[i].g, 1e-9);
            most = fmax(most, (load.content_g - before) / (LOAD_STEP_MS / 1000.0));
            assert_true(load.content_g >= before);
            before = load.content_g;
        }
        assert_false(load.pour.open);
        near(load.pour.landed_g, pours[i].g, 1e-9);
        assert_true(most <= pours[i].flow * 1.0001);
        assert_true(steps >= LOAD_FALL_STEPS); /* nothing lands before it has fallen */
    }
}

static void a_hand_ramps_up_and_eases(void **state)
{
    (void)state;
    struct load load;
    struct load_settings set = plain();
    load_init(&load, &set);
    load_pour(&load, 100, 10);
    double after[4] = {0}; /* landed in the first and second 300 ms, in a whole one in the middle, in the last */
    run(&load, 150);
    assert_true(load.content_g <= 0); /* all of it is in the air */
    for (int i = 0; i < 2; i++) {
        run(&load, 300);
        after[i] = load.content_g;
    }
    assert_true(after[0] < after[1] - after[0]);
    near(after[1] - after[0], 3, 0.1);
    while (load.pour.left_g > 0.2)
        load_step(&load);
    double at = load.content_g;
    run(&load, 150);
    assert_true(load.content_g - at < 1); /* the stream has thinned from 10 g/s */
}

static void stopping_leaves_the_rest_in_the_tin(void **state)
{
    (void)state;
    struct load load;
    struct load_settings set = plain();
    load_init(&load, &set);
    load_pour(&load, 100, 10);
    run(&load, 2000);
    double in_air = load_in_air_g(&load), landed = load.content_g;
    assert_true(in_air > 1); /* 150 ms of 10 g/s */
    assert_null(load_stop(&load));
    run(&load, 300);
    assert_false(load.pour.open);
    near(load.content_g, landed + in_air, 1e-9);
    assert_non_null(load_stop(&load));
}

static const struct {
    const char *name;
    struct load_settings set;
    double cup_g;
    int64_t steps; /* shown once settled */
    enum load_status status;
    int least_ms, most_ms; /* from the change to the mark */
} settlings[] = {
    {"as told, within a fifth", {.d = {1, -2}, .capacity_g = 3000, .settle_ms = 500}, 60, 6000, LOAD_OK, 300, 600},
    {"a slow one", {.d = {1, -1}, .capacity_g = 3000, .settle_ms = 2000}, 60, 600, LOAD_OK, 1000, 2400},
    {"dead time comes on top",
     {.d = {1, -1}, .capacity_g = 3000, .settle_ms = 500, .lag_ms = 700},
     60,
     600,
     LOAD_OK,
     900,
     1300},
    {"at once", {.d = {5, -1}, .capacity_g = 3000}, 60.2, 120, LOAD_OK, 0, 100},
    {"to the nearest step of 2", {.d = {2, -2}, .capacity_g = 3000, .settle_ms = 100}, 10.013, 501, LOAD_OK, 0, 300},
    {"full is not over", {.d = {1, 0}, .capacity_g = 3000, .settle_ms = 100}, 3009, 3009, LOAD_OK, 0, 300},
    {"ten steps above is over", {.d = {1, 0}, .capacity_g = 3000, .settle_ms = 100}, 3010, 3010, LOAD_OVER, 0, 300},
};

static void a_change_settles(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof settlings / sizeof *settlings; i++) {
        struct load load;
        load_init(&load, &settlings[i].set);
        assert_true(load_settled(&load));
        load_cup(&load, settlings[i].cup_g);
        assert_false(load_settled(&load));
        int ms = 0;
        for (; ms < 60000 && !load_settled(&load); ms += LOAD_STEP_MS)
            load_step(&load);
        struct load_reading reading = load_read(&load);
        if (reading.steps != settlings[i].steps || !reading.stable || reading.status != settlings[i].status ||
            ms < settlings[i].least_ms || ms > settlings[i].most_ms)
            fail_msg("%s: %ld steps, stable %d, status %d after %d ms", settlings[i].name, (long)reading.steps,
                     reading.stable, (int)reading.status, ms);
    }
}

static void a_stream_is_never_stable(void **state)
{
    (void)state;
    struct load load;
    struct load_settings set = plain();
    load_init(&load, &set);
    load_pour(&load, 50, 5);
    run(&load, 600);
    for (int i = 0; i < 1000; i++) {
        assert_false(load_read(&load).stable);
        load_step(&load);
    }
}

static void a_lifted_cup_keeps_its_content(void **state)
{
    (void)state;
    struct load load;
    struct load_settings set = plain();
    load_init(&load, &set);
    assert_non_null(load_lift(&load)); /* nothing there */
    load_cup(&load, 30);
    load_pour(&load, 20, 20);
    run(&load, 500);
    assert_null(load_lift(&load)); /* in mid-pour: the rest goes into the cup in the hand */
    assert_non_null(load_lift(&load));
    run_until_settled(&load);
    assert_int_equal(load_read(&load).steps, 0);
    assert_null(load_put(&load));
    assert_non_null(load_put(&load));
    run_until_settled(&load);
    assert_int_equal(load_read(&load).steps, 5000);
    assert_non_null(load_remove(&load, 20.1));
    assert_null(load_remove(&load, 20));
    run_until_settled(&load);
    assert_int_equal(load_read(&load).steps, 3000);
    assert_null(load_off(&load));
    run_until_settled(&load);
    assert_int_equal(load_read(&load).steps, 0);
}

static void tare_zero_and_power_up(void **state)
{
    (void)state;
    struct load load;
    struct load_settings set = plain();
    load_init(&load, &set);
    load_cup(&load, 30);
    run_until_settled(&load);
    load_tare(&load);
    struct load_reading reading = load_read(&load);
    assert_int_equal(reading.steps, 0);
    assert_int_equal(reading.tare_steps, 3000);
    assert_true(reading.net);
    load_add(&load, 5);
    run_until_settled(&load);
    assert_int_equal(load_read(&load).steps, 500);
    load_power_up(&load); /* the tare is forgotten, what stands there is 0 */
    reading = load_read(&load);
    assert_int_equal(reading.steps, 0);
    assert_false(reading.net);
    assert_false(reading.stable);
    load_off(&load);
    run_until_settled(&load);
    assert_int_equal(load_read(&load).steps, -3500);
    load_zero(&load);
    assert_int_equal(load_read(&load).steps, 0);
}

static void drift_moves_the_reading_alone(void **state)
{
    (void)state;
    struct load load;
    struct load_settings set = plain();
    set.drift_g_per_min = -0.2;
    load_init(&load, &set);
    load_cup(&load, 30);
    run(&load, 60000);
    assert_int_equal(load_read(&load).steps, 2980);
    assert_true(load_read(&load).stable); /* too slow to take the mark away */
    near(load_on_pan_g(&load), 30, 1e-12);
}

static void noise_has_the_deviation_asked_for(void **state)
{
    (void)state;
    struct load load;
    struct load_settings set = plain();
    set.d = (struct load_interval){1, -4};
    set.noise_g = 0.05;
    load_init(&load, &set);
    double sum = 0, squares = 0;
    enum { READINGS = 4000 };
    for (int i = 0; i < READINGS; i++) {
        run(&load, 50);
        double g = (double)load_read(&load).steps * 1e-4;
        sum += g;
        squares += g * g;
    }
    /* Four standard errors, and the numbers are the same each time: the seed is fixed. */
    near(sum / READINGS, 0, 4 * 0.05 / sqrt(READINGS));
    near(sqrt(squares / READINGS), 0.05, 4 * 0.05 / sqrt(2.0 * READINGS));
    struct load twin;
    load_init(&twin, &set);
    run(&twin, 50 * READINGS);
    assert_int_equal(load_read(&twin).steps, load_read(&load).steps);
}

static void intervals_are_1_2_or_5(void **state)
{
    (void)state;
    static const struct {
        double g;
        bool good;
        int step, exponent;
    } rows[] = {{0.01, true, 1, -2},  {0.05, true, 5, -2}, {0.2, true, 2, -1},  {1, true, 1, 0},  {500, true, 5, 2},
                {0.001, true, 1, -3}, {0.25, false, 0, 0}, {0.03, false, 0, 0}, {0, false, 0, 0}, {-0.1, false, 0, 0}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct load_interval d = {0, 0};
        assert_int_equal(load_interval_of(rows[i].g, &d), rows[i].good);
        assert_int_equal(d.step, rows[i].step);
        assert_int_equal(d.exponent, rows[i].exponent);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pour_conserves_mass),
        cmocka_unit_test(a_hand_ramps_up_and_eases),
        cmocka_unit_test(stopping_leaves_the_rest_in_the_tin),
        cmocka_unit_test(a_change_settles),
        cmocka_unit_test(a_stream_is_never_stable),
        cmocka_unit_test(a_lifted_cup_keeps_its_content),
        cmocka_unit_test(tare_zero_and_power_up),
        cmocka_unit_test(drift_moves_the_reading_alone),
        cmocka_unit_test(noise_has_the_deviation_asked_for),
        cmocka_unit_test(intervals_are_1_2_or_5),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
