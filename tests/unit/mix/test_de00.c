/* CIEDE2000 against published pairs and against another implementation, liblcms2's cmsCIE2000DeltaE. */
#include "mix/de00.h"

#include "published.h"

#include <lcms2.h>
#include <math.h>

/* Source: table 1 of Sharma, Wu and Dalal (2005), pairs by their number there; written from memory. Pairs 1 to 6 test
 * blue's turn, 7 to 16 hues near 180 degrees apart and greys, 17 to 20 the mean of hues, 25 to 34 common colours. */
static const struct {
    int pair;
    struct mix_lab one, other;
    double de00;
} pairs[] = {
    {1, {50, 2.6772, -79.7751}, {50, 0, -82.7485}, 2.0425},
    {2, {50, 3.1571, -77.2803}, {50, 0, -82.7485}, 2.8615},
    {3, {50, 2.8361, -74.0200}, {50, 0, -82.7485}, 3.4412},
    {4, {50, -1.3802, -84.2814}, {50, 0, -82.7485}, 1.0000},
    {5, {50, -1.1848, -84.8006}, {50, 0, -82.7485}, 1.0000},
    {6, {50, -0.9009, -85.5211}, {50, 0, -82.7485}, 1.0000},
    {7, {50, 0, 0}, {50, -1, 2}, 2.3669},
    {8, {50, -1, 2}, {50, 0, 0}, 2.3669},
    {9, {50, 2.4900, -0.0010}, {50, -2.4900, 0.0009}, 7.1792},
    {10, {50, 2.4900, -0.0010}, {50, -2.4900, 0.0010}, 7.1792},
    {11, {50, 2.4900, -0.0010}, {50, -2.4900, 0.0011}, 7.2195},
    {12, {50, 2.4900, -0.0010}, {50, -2.4900, 0.0012}, 7.2195},
    {13, {50, -0.0010, 2.4900}, {50, 0.0009, -2.4900}, 4.8045},
    {14, {50, -0.0010, 2.4900}, {50, 0.0010, -2.4900}, 4.8045},
    {15, {50, -0.0010, 2.4900}, {50, 0.0011, -2.4900}, 4.7461},
    {16, {50, 2.5000, 0}, {50, 0, -2.5000}, 4.3065},
    {17, {50, 2.5000, 0}, {73, 25, -18}, 27.1492},
    {18, {50, 2.5000, 0}, {61, -5, 29}, 22.8977},
    {19, {50, 2.5000, 0}, {56, -27, -3}, 31.9030},
    {20, {50, 2.5000, 0}, {58, 24, 15}, 19.4535},
    {21, {50, 2.5000, 0}, {50, 3.1736, 0.5854}, 1.0000},
    {22, {50, 2.5000, 0}, {50, 3.2972, 0}, 1.0000},
    {23, {50, 2.5000, 0}, {50, 1.8634, 0.5757}, 1.0000},
    {24, {50, 2.5000, 0}, {50, 3.2592, 0.3350}, 1.0000},
    {25, {60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}, 1.2644},
    {26, {63.0109, -31.0961, -5.8663}, {62.8187, -29.7946, -4.0864}, 1.2630},
    {27, {61.2901, 3.7196, -5.3901}, {61.4292, 2.2480, -4.9620}, 1.8731},
    {28, {35.0831, -44.1164, 3.7933}, {35.0232, -40.0716, 1.5901}, 1.8645},
    {29, {22.7233, 20.0904, -46.6940}, {23.0331, 14.9730, -42.5619}, 2.0373},
    {30, {36.4612, 47.8580, 18.3852}, {36.2715, 50.5065, 21.2231}, 1.4146},
    {31, {90.8027, -2.0831, 1.4410}, {91.1528, -1.6435, 0.0447}, 1.4441},
    {32, {90.9257, -0.5406, -0.9208}, {88.6381, -0.8985, -0.7239}, 1.5381},
    {33, {6.7747, -0.2908, -2.4247}, {5.8714, -0.0985, -2.2286}, 0.6377},
    {34, {2.0776, 0.0795, -1.1350}, {0.9033, -0.0636, -0.5514}, 0.9082},
};

static void published_pairs(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        char name[24];
        (void)snprintf(name, sizeof name, "pair %d", pairs[i].pair);
        near_to(name, mix_de00(pairs[i].one, pairs[i].other), pairs[i].de00, 0.5e-4);
        near_to(name, mix_de00(pairs[i].other, pairs[i].one), pairs[i].de00, 0.5e-4);
    }
}

static double between(double least, double most)
{
    return least + (most - least) * ((double)rand() / RAND_MAX);
}

static struct mix_lab colour(void)
{
    struct mix_lab c = {between(0, 100), between(-90, 90), between(-90, 90)};
    return c;
}

/* Any two colours, and two that are near each other, as a deviation in a cup makes them. */
static void agrees_with_another_implementation(void **state)
{
    (void)state;
    srand(11);
    for (int i = 0; i < 20000; i++) {
        struct mix_lab one = colour(), other = colour();
        if (i % 2) {
            other = (struct mix_lab){one.l + between(-1, 1), one.a + between(-1, 1), one.b + between(-1, 1)};
        }
        const cmsCIELab a = {one.l, one.a, one.b}, b = {other.l, other.a, other.b};
        near_to("lcms2", mix_de00(one, other), cmsCIE2000DeltaE(&a, &b, 1, 1, 1), 1e-6);
    }
}

static void a_colour_is_itself(void **state)
{
    (void)state;
    for (int i = 0; i < 100; i++) {
        struct mix_lab c = colour();
        near_to("itself", mix_de00(c, c), 0, 1e-9);
    }
    assert_true(isnan(mix_de00((struct mix_lab){NAN, 0, 0}, (struct mix_lab){50, 0, 0})));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_pairs),
        cmocka_unit_test(agrees_with_another_implementation),
        cmocka_unit_test(a_colour_is_itself),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
