/* de00.c - CIEDE2000, step by step as its implementation notes number them. It must not know where a colour came from.
 */
#include "mix/de00.h"

#include <math.h>

#define DEGREES(x) ((x)*M_PI / 180)

/* The weight that the formula gives to high chroma: 25^7 is its half-way point. */
static double chroma_part(double chroma)
{
    double c7 = pow(chroma, 7);
    return sqrt(c7 / (c7 + pow(25, 7)));
}

/* Hue in degrees from 0 to 360; 0 for a grey, which has none. */
static double hue(double a, double b)
{
    if (!(fabs(a) > 0) && !(fabs(b) > 0))
        return 0;
    double degrees = atan2(b, a) * 180 / M_PI;
    return degrees < 0 ? degrees + 360 : degrees;
}

/* The shorter way round from one hue to the other; none where one of the two is grey. */
static double hue_between(double one, double other, double chroma_product)
{
    double d = other - one;
    if (!(chroma_product > 0))
        return 0;
    if (d > 180)
        return d - 360;
    return d < -180 ? d + 360 : d;
}

/* The mean hue, taken on the shorter way round; with a grey the other's hue counts alone. */
static double hue_mean(double one, double other, double chroma_product)
{
    double sum = one + other;
    if (!(chroma_product > 0))
        return sum;
    if (fabs(one - other) <= 180)
        return sum / 2;
    return sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2;
}

/* How much less a difference in hue counts at some hues than at others. */
static double hue_weight(double mean)
{
    return 1 - 0.17 * cos(DEGREES(mean - 30)) + 0.24 * cos(DEGREES(2 * mean)) + 0.32 * cos(DEGREES(3 * mean + 6)) -
           0.20 * cos(DEGREES(4 * mean - 63));
}

double mix_de00(struct mix_lab one, struct mix_lab other)
{
    /* Step 1: a* is stretched for colours near grey. */
    double grey = 1 + 0.5 * (1 - chroma_part((hypot(one.a, one.b) + hypot(other.a, other.b)) / 2));
    double a1 = one.a * grey, a2 = other.a * grey;
    double c1 = hypot(a1, one.b), c2 = hypot(a2, other.b);
    double h1 = hue(a1, one.b), h2 = hue(a2, other.b);

    /* Step 2: the three differences. */
    double dl = other.l - one.l;
    double dc = c2 - c1;
    double dh = 2 * sqrt(c1 * c2) * sin(DEGREES(hue_between(h1, h2, c1 * c2) / 2));

    /* Step 3: each by its weight at the mean colour, and the term that turns blue's ellipses. */
    double l_mean = (one.l + other.l) / 2, c_mean = (c1 + c2) / 2;
    double h_mean = hue_mean(h1, h2, c1 * c2);
    double l50 = (l_mean - 50) * (l_mean - 50);
    double l = dl / (1 + 0.015 * l50 / sqrt(20 + l50));
    double c = dc / (1 + 0.045 * c_mean);
    double h = dh / (1 + 0.015 * c_mean * hue_weight(h_mean));
    double off_blue = (h_mean - 275) / 25;
    double turn = -2 * chroma_part(c_mean) * sin(DEGREES(60 * exp(-off_blue * off_blue)));
    return sqrt(l * l + c * c + h * h + turn * c * h);
}
