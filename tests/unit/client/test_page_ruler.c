/* The ruler: x = notch - sign(r) log2(1 + |r|/t) U, its marks, its tooth. */
#include "client/screen/ruler.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Worked by hand from the formula; notch at 0.79 of the length, U = 0.755 of it / log2(1 + aim/t), at most 0.17 of it.
 */
static const struct {
    const char *name;
    int cols;
    double aim_g, tolerance_g, to_go_g, x, unit;
} places[] = {
    {"the aim stands near the left end", 80, 84, 0.42, 84, 2.8, 7.8942}, /* log2(201) = 7.6511 */
    {"31.4 g to go", 80, 84, 0.42, 31.4, 13.916, 7.8942},                /* log2(75.762) = 6.2434 */
    {"0.8 g to go", 80, 84, 0.42, 0.8, 51.057, 7.8942},                  /* log2(2.9048) = 1.5384 */
    {"1 g past", 80, 84, 0.42, -1, 77.074, 7.8942},                      /* log2(3.3810) = 1.7574 */
    {"on aim exactly", 80, 84, 0.42, 0, 63.2, 7.8942},
    {"inside it is linear: half the tolerance, half the play", 80, 84, 0.42, 0.21, 61.8185, 7.8942}, /* 0.35 U / 2 */
    {"and on the other side", 80, 84, 0.42, -0.21, 64.5815, 7.8942},
    {"at the wall the play is used up", 80, 84, 0.42, 0.42, 60.4370, 7.8942}, /* 63.2 - 0.35 U */
    {"120 columns", 120, 84, 0.42, 1, 73.990, 11.8413},
    {"a small toner gets a wide ruler by itself", 80, 2.4, 0.1, 1.2, 15.0705,
     13.0064},                                                             /* log2(25) = 4.6439, log2(13) */
    {"but U is at most 0.17 of the length", 80, 1, 0.5, 1, 41.6437, 13.6}, /* log2(3) = 1.5850 */
};

static void places_follow_the_formula(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        struct ruler r;
        assert_true(ruler_make(&r, places[i].cols, places[i].aim_g, places[i].tolerance_g));
        double x = ruler_x(&r, places[i].to_go_g);
        if (fabs(x - places[i].x) > 0.02 || fabs(r.unit - places[i].unit) > 0.002)
            fail_msg("%s: x %.4f U %.4f, want %.4f and %.4f", places[i].name, x, r.unit, places[i].x, places[i].unit);
    }
}

static void each_halving_takes_the_same_length(void **state)
{
    (void)state;
    struct ruler r;
    assert_true(ruler_make(&r, 80, 1000, 0.1)); /* far from the notch, where 1 + r/t is r/t */
    double before = ruler_x(&r, 800) - ruler_x(&r, 1600);
    for (double g = 400; g > 50; g /= 2) {
        double step = ruler_x(&r, g) - ruler_x(&r, 2 * g);
        assert_true(fabs(step - before) < 0.02);
        before = step;
    }
}

static void walls_stand_a_tolerance_away(void **state)
{
    (void)state;
    struct ruler r;
    assert_true(ruler_make(&r, 80, 84, 0.42));
    assert_int_equal(ruler_wall_left(&r), 55);
    assert_int_equal(ruler_wall_right(&r), 71);
    assert_int_equal(ruler_tooth_cols(&r), 10);
}

static void nonsense_makes_no_ruler(void **state)
{
    (void)state;
    struct ruler r;
    assert_false(ruler_make(&r, 80, 0, 0.1));
    assert_false(ruler_make(&r, 80, -5, 0.1));
    assert_false(ruler_make(&r, 80, 84, 0));
    assert_false(ruler_make(&r, 80, NAN, 0.1));
    assert_false(ruler_make(&r, 80, INFINITY, 0.1));
    assert_false(ruler_make(&r, 80, 84, NAN));
    assert_false(ruler_make(&r, 19, 84, 0.42));
}

/* Rows of a drawn ruler: two of the tooth, the ruler, the notch's floor. */
static const struct {
    const char *name;
    double to_go_g, lands_at_g;
    bool dead, mute;
    const char *rows[4];
} drawings[] = {
    {"far",
     31.4,
     NAN,
     false,
     false,
     {"         ##########", "         ##########",
      "=100=====50========20======10=====5========2=====1=====|               |=====+1=",
      "                                                       |_______^_______|"}},
    {"seated",
     0.1,
     NAN,
     false,
     false,
     {"", "", "=100=====50========20======10=====5========2=====1=====|  ##########   |=====+1=",
      "                                                       |__##########___|"}},
    {"stop, and will land in the notch",
     0.8,
     0.1,
     false,
     false,
     {"                                              ##########",
      "                                              ##########",
      "=100=====50========20======10=====5========2=====1=====|  ..........   |=====+1=",
      "                                                       |__..........___|"}},
    {"will land short",
     31.4,
     20,
     false,
     false,
     {"         ##########.....", "         ##########    .",
      "=100=====50========20======10=====5========2=====1=====|               |=====+1=",
      "                                                       |_______^_______|"}},
    {"off the right edge it is an arrow",
     -6.6,
     NAN,
     false,
     false,
     {"                                                                      #########\\",
      "                                                                      #########/",
      "=100=====50========20======10=====5========2=====1=====|               |=====+1=",
      "                                                       |_______^_______|"}},
    {"dead: hatched, an empty tooth, no landing",
     31.4,
     20,
     true,
     false,
     {"", "         ..........", "///////////////////////////////////////////////////////|               |////////",
      "                                                       |_______^_______|"}},
    {"dead on aim is not on aim",
     0,
     NAN,
     true,
     false,
     {"", "                                                          ..........",
      "///////////////////////////////////////////////////////|               |////////",
      "                                                       |_______^_______|"}},
    {"nothing known",
     0,
     NAN,
     true,
     true,
     {"", "", "///////////////////////////////////////////////////////|               |////////",
      "                                                       |_______^_______|"}},
};

static void drawings_are_as_shown(void **state)
{
    (void)state;
    struct grid *g = calloc(1, sizeof *g);
    assert_non_null(g);
    for (size_t i = 0; i < sizeof drawings / sizeof *drawings; i++) {
        struct ruler r;
        struct ruler_look look = {.to_go_g = drawings[i].to_go_g,
                                  .lands_at_g = drawings[i].lands_at_g,
                                  .dead = drawings[i].dead,
                                  .mute = drawings[i].mute,
                                  .on_aim = fabs(drawings[i].to_go_g) <= 0.42,
                                  .point = '.'};
        grid_clear(g, 80, 4, false);
        assert_true(ruler_make(&r, 80, 84, 0.42));
        ruler_draw(g, 0, &r, &look);
        for (int row = 0; row < 4; row++) {
            char text[400];
            grid_row_text(g, row, text, sizeof text);
            if (strcmp(text, drawings[i].rows[row]) != 0)
                fail_msg("%s, row %d:\n%s\nshall be\n%s", drawings[i].name, row, text, drawings[i].rows[row]);
        }
    }
    free(g);
}

static void marks_use_the_shops_decimal_sign(void **state)
{
    (void)state;
    struct grid *g = calloc(1, sizeof *g);
    struct ruler r;
    struct ruler_look look = {.to_go_g = 1.2, .lands_at_g = NAN, .point = ','};
    char text[400];
    assert_non_null(g);
    grid_clear(g, 80, 4, false);
    assert_true(ruler_make(&r, 80, 2.4, 0.1));
    ruler_draw(g, 0, &r, &look);
    grid_row_text(g, 2, text, sizeof text);
    assert_non_null(strstr(text, "=0,5="));
    assert_null(strchr(text, '.'));
    free(g);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(places_follow_the_formula),    cmocka_unit_test(each_halving_takes_the_same_length),
        cmocka_unit_test(walls_stand_a_tolerance_away), cmocka_unit_test(nonsense_makes_no_ruler),
        cmocka_unit_test(drawings_are_as_shown),        cmocka_unit_test(marks_use_the_shops_decimal_sign),
    };
    return cmocka_run_group_tests_name("ruler", tests, NULL, NULL);
}
