/* What came at once, and whether it is still there. The 20 g of MIX_JUMP_G: common practice, no source. */
#include "station/track.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static int64_t ug(double g)
{
    return (int64_t)llround(g * 1e6);
}

static void a_stick_is_said_when_it_stands_still(void **state)
{
    (void)state;
    struct jump j;
    struct number_style style = {.point = ',', .d_g = 0.01};
    struct said said;
    char text[160];
    jump_clear(&j);
    assert_false(jump_add(&j, 0, ug(100), true));
    said = jump_said(&j);
    assert_true(said_is(&said, ""));
    assert_false(jump_add(&j, 25, ug(125), false)); /* still rising: nothing is known yet */
    assert_false(jump_g(&j) > 0);
    assert_false(jump_add(&j, 0, ug(131), false));
    assert_true(jump_add(&j, 0, ug(130.4), true));
    assert_true(fabs(jump_g(&j) - 30.4) < 1e-9);
    said = jump_said(&j);
    assert_string_equal("30,40 g in one jump: paint, or something put on?",
                        said_text(&said, WORDS_EN, &style, text, sizeof text));
    assert_false(jump_add(&j, 0, ug(135), true)); /* a pour goes on over it */
    assert_true(fabs(jump_g(&j) - 30.4) < 1e-9);
}

static void taken_off_it_is_forgotten(void **state)
{
    (void)state;
    struct jump j;
    jump_clear(&j);
    jump_add(&j, 30, ug(130), true);
    assert_true(jump_g(&j) > 0);
    assert_false(jump_add(&j, 0, ug(110), false)); /* on its way */
    assert_true(jump_g(&j) > 0);
    assert_true(jump_add(&j, 0, ug(101), true)); /* 1 g was poured meanwhile */
    assert_false(jump_g(&j) > 0);
    assert_false(jump_add(&j, 0, ug(101), true));
}

static void a_touch_of_the_pan_is_none(void **state)
{
    (void)state;
    struct jump j;
    jump_clear(&j);
    assert_false(jump_add(&j, 40, ug(140), false));
    assert_false(jump_add(&j, 0, ug(100.02), false));
    assert_false(jump_add(&j, 0, ug(100.02), true));
    assert_false(jump_g(&j) > 0);
}

static void a_second_thing_adds_to_the_first(void **state)
{
    (void)state;
    struct jump j;
    jump_clear(&j);
    assert_true(jump_add(&j, 30, ug(130), true));
    jump_add(&j, 25, ug(155), false);
    assert_true(jump_add(&j, 0, ug(155), true));
    assert_true(fabs(jump_g(&j) - 55) < 1e-9);
}

/* 60 g flowed in over it meanwhile: each is told from that. */
static void paint_poured_over_it_is_not_part_of_it(void **state)
{
    (void)state;
    struct jump j;
    int64_t without;
    jump_clear(&j);
    jump_add(&j, 0, ug(100), true);
    jump_add(&j, 30, ug(130), true);
    assert_false(jump_add(&j, 0, ug(190), true));
    assert_true(jump_may_go(&j, &without) && without == ug(160));
    assert_true(jump_add(&j, 25, ug(215), true));
    assert_true(fabs(jump_g(&j) - 55) < 1e-9);
    assert_true(jump_add(&j, 0, ug(160.2), true)); /* both off */
    assert_false(jump_g(&j) > 0);
}

/* A hand on its way to the cup's rim pulls, and lets go: 40 g at once, but only back to what stood there. */
static void a_pull_at_the_cup_is_none(void **state)
{
    (void)state;
    struct jump j;
    jump_clear(&j);
    jump_add(&j, 0, ug(100), true);
    jump_add(&j, 0, ug(60), false);
    assert_false(jump_add(&j, 40, ug(100), true));
    assert_false(jump_g(&j) > 0);
    jump_add(&j, 0, ug(82), false);
    jump_add(&j, 20, ug(102), false); /* paint runs at once: 2 g of it */
    assert_false(jump_add(&j, 0, ug(180), true));
    assert_false(jump_g(&j) > 0);
    jump_add(&j, 0, ug(150), false);
    assert_true(jump_add(&j, 60, ug(210), true)); /* and with something in the hand */
    assert_true(fabs(jump_g(&j) - 30) < 1e-9);
}

/* The cup is lifted with its lid and put back, and the scale was zeroed meanwhile: 20 g less. */
static void it_goes_along_with_the_cup(void **state)
{
    (void)state;
    struct jump j;
    int64_t without;
    jump_clear(&j);
    jump_add(&j, 30, ug(130), true);
    jump_lifted(&j);
    jump_moved(&j, ug(-20));
    assert_false(jump_add(&j, 0, ug(110), true));
    assert_true(fabs(jump_g(&j) - 30) < 1e-9);
    assert_true(jump_may_go(&j, &without) && without == ug(80));
    /* What was still moving when the cup went is forgotten. */
    jump_clear(&j);
    jump_add(&j, 30, ug(130), false);
    jump_lifted(&j);
    assert_false(jump_add(&j, 0, ug(130), true));
    assert_false(jump_g(&j) > 0);
}

/* A scale that was silent may have been switched off and on: that it says what stood there before proves nothing. */
static void after_a_silence_a_fall_may_be_anything(void **state)
{
    (void)state;
    struct jump j;
    int64_t without;
    jump_clear(&j);
    jump_add(&j, 30, ug(30), true);
    assert_true(jump_may_go(&j, &without) && without == 0);
    jump_gap(&j);
    assert_false(jump_may_go(&j, &without));
    assert_true(fabs(jump_g(&j) - 30) < 1e-9); /* but it is said as before */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_stick_is_said_when_it_stands_still),
        cmocka_unit_test(taken_off_it_is_forgotten),
        cmocka_unit_test(a_touch_of_the_pan_is_none),
        cmocka_unit_test(a_second_thing_adds_to_the_first),
        cmocka_unit_test(paint_poured_over_it_is_not_part_of_it),
        cmocka_unit_test(a_pull_at_the_cup_is_none),
        cmocka_unit_test(it_goes_along_with_the_cup),
        cmocka_unit_test(after_a_silence_a_fall_may_be_anything),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
