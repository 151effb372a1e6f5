/* test_keep.c - which readings of an open step are kept: none of a cup that flickers, all that a tolerance would see.
 */
#include "station/keep.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

enum { D_UG = 10000, TOLERANCE_UG = 50000, SECOND_MS = 1000, DAY_S = 86400 };

/* Where both stand after a pour was accepted: the journal knows that reading. */
static void begin(struct keep *k, struct track *t, int64_t weight_ug)
{
    *k = (struct keep){.kept = false};
    track_init(t);
    track_start(t, weight_ug, weight_ug);
    keep_known(k, t);
}

static bool second(struct keep *k, struct track *t, int64_t weight_ug, int64_t *now_ms)
{
    *now_ms += SECOND_MS;
    t->last_ug = weight_ug;
    return keep_due(k, t, D_UG, TOLERANCE_UG, *now_ms);
}

/* Contract 1 and issue 9, point 8: at most 100 rows in 24 h. */
static void a_cup_that_flickers_by_d_keeps_nothing_for_a_day(void **state)
{
    struct keep k;
    struct track t;
    int64_t now_ms = 0;
    int rows = 0;
    (void)state;
    begin(&k, &t, 243200000);
    for (int s = 0; s < DAY_S; s++)
        rows += second(&k, &t, 243200000 + (s % 2 ? D_UG : 0), &now_ms);
    assert_int_equal(rows, 0);
    /* Left standing after a pour whose end lay between two intervals: the pour is one row, the flicker none. */
    for (int s = 0; s < DAY_S; s++)
        rows += second(&k, &t, 263700000 + (s / 7 % 2 ? D_UG : 0), &now_ms);
    assert_int_equal(rows, 1);
}

static void a_pour_is_kept_each_second(void **state)
{
    struct keep k;
    struct track t;
    int64_t now_ms = 0, weight_ug = 243200000;
    (void)state;
    begin(&k, &t, weight_ug);
    for (int s = 0; s < 60; s++) {
        weight_ug += TOLERANCE_UG + D_UG;
        assert_true(second(&k, &t, weight_ug, &now_ms));
        assert_int_equal(k.last_ug, weight_ug);
    }
}

/* Drops: each is below the tolerance, and the sum is not lost. */
static void what_stands_is_kept_after_three_seconds(void **state)
{
    struct keep k;
    struct track t;
    int64_t now_ms = 0, weight_ug = 243200000;
    (void)state;
    begin(&k, &t, weight_ug);
    weight_ug += 2 * D_UG;
    assert_false(second(&k, &t, weight_ug, &now_ms));
    assert_false(second(&k, &t, weight_ug, &now_ms));
    assert_false(second(&k, &t, weight_ug, &now_ms));
    assert_true(second(&k, &t, weight_ug, &now_ms));
    assert_false(second(&k, &t, weight_ug, &now_ms));
    assert_int_equal(k.last_ug, weight_ug);
}

/* No tolerance below the interval makes a flicker worth a row. */
static void a_tolerance_below_the_interval_counts_as_the_interval(void **state)
{
    struct keep k;
    struct track t;
    (void)state;
    begin(&k, &t, 243200000);
    t.last_ug += D_UG;
    assert_false(keep_due(&k, &t, D_UG, D_UG / 2, SECOND_MS));
    t.last_ug += 1;
    assert_true(keep_due(&k, &t, D_UG, D_UG / 2, 2 * SECOND_MS));
}

/* What evaporates moves the base; a restart must not take it for paint that was taken out. */
static void a_base_that_drifted_is_kept_as_well(void **state)
{
    struct keep k;
    struct track t;
    (void)state;
    begin(&k, &t, 243200000);
    t.base_ug -= TOLERANCE_UG + D_UG;
    assert_true(keep_due(&k, &t, D_UG, TOLERANCE_UG, SECOND_MS));
    assert_int_equal(k.base_ug, t.base_ug);
}

static void what_was_not_written_is_due_again(void **state)
{
    struct keep k;
    struct track t;
    (void)state;
    begin(&k, &t, 243200000);
    k.kept = false;
    assert_true(keep_due(&k, &t, D_UG, TOLERANCE_UG, SECOND_MS));
    assert_false(keep_due(&k, &t, D_UG, TOLERANCE_UG, 2 * SECOND_MS));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cup_that_flickers_by_d_keeps_nothing_for_a_day),
        cmocka_unit_test(a_pour_is_kept_each_second),
        cmocka_unit_test(what_stands_is_kept_after_three_seconds),
        cmocka_unit_test(a_tolerance_below_the_interval_counts_as_the_interval),
        cmocka_unit_test(a_base_that_drifted_is_kept_as_well),
        cmocka_unit_test(what_was_not_written_is_due_again),
    };
    return cmocka_run_group_tests_name("station: keep", tests, NULL, NULL);
}
