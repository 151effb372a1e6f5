/* kubelka.c - Kubelka and Munk's sums over sixteen bands, and from reflectance to L*a*b*. It must not know a toner. */
#include "mix/kubelka.h"

#include <math.h>

/* Relative power of D65 times the colour matching functions of 1931, at 400, 420 ... 700 nm: power, x, y, z. */
static const double weight[MIX_BANDS][4] = {
    {82.75, 0.0143, 0.0004, 0.0679},  {93.43, 0.1344, 0.0040, 0.6456},  {104.86, 0.3483, 0.0230, 1.7471},
    {117.81, 0.2908, 0.0600, 1.6692}, {115.92, 0.0956, 0.1390, 0.8130}, {109.35, 0.0049, 0.3230, 0.2720},
    {104.79, 0.0633, 0.7100, 0.0782}, {104.41, 0.2904, 0.9540, 0.0203}, {100.00, 0.5945, 0.9950, 0.0039},
    {95.79, 0.9163, 0.8700, 0.0017},  {90.01, 1.0622, 0.6310, 0.0008},  {87.70, 0.8544, 0.3810, 0.0002},
    {83.70, 0.4479, 0.1750, 0.0000},  {80.21, 0.1649, 0.0610, 0.0000},  {78.28, 0.0468, 0.0170, 0.0000},
    {71.61, 0.0114, 0.0041, 0.0000},
};

/* At a wavelength between two points. */
static double between(double nm, const double at[], const double value[], size_t n)
{
    size_t i = 0;
    if (nm <= at[0])
        return value[0];
    while (i < n && at[i] < nm)
        i++;
    if (i == n)
        return value[n - 1];
    return value[i - 1] + (value[i] - value[i - 1]) * (nm - at[i - 1]) / (at[i] - at[i - 1]);
}

/* Straight lines will do: pigments absorb in broad bands. */
bool mix_optics_of(const double nm[], const double k[], const double s[], size_t n, struct mix_optics *out)
{
    if (n < 3 || !(nm[0] < 480) || !(nm[n - 1] > 600))
        return false;
    for (size_t band = 0; band < MIX_BANDS; band++) {
        double at = MIX_BANDS_AT + MIX_BANDS_NM * (double)band;
        out->k[band] = between(at, nm, k, n);
        out->s[band] = between(at, nm, s, n);
    }
    return true;
}

/* The root of the two that is not above 1. */
double mix_km_reflectance(double k_by_s)
{
    return 1 + k_by_s - sqrt(k_by_s * k_by_s + 2 * k_by_s);
}

/* CIE 1976: the cube root, but for what is nearly black. */
static double lightness(double part)
{
    static const double end = 216.0 / 24389, slope = 24389.0 / 27;
    return part > end ? cbrt(part) : (slope * part + 16) / 116;
}

/* The white is that of these very weights, so that what reflects all is L* 100 exactly. */
struct mix_lab mix_lab_of(const double reflectance[MIX_BANDS])
{
    double sum[3] = {0}, white[3] = {0}, f[3];
    for (size_t band = 0; band < MIX_BANDS; band++)
        for (size_t i = 0; i < 3; i++) {
            white[i] += weight[band][0] * weight[band][i + 1];
            sum[i] += weight[band][0] * weight[band][i + 1] * reflectance[band];
        }
    for (size_t i = 0; i < 3; i++)
        f[i] = lightness(sum[i] / white[i]);
    return (struct mix_lab){116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])};
}

/* By weight and not by volume, as a shop's formulas are, and as K and S are then given. */
bool mix_km_lab(const double grams[], const struct mix_optics *const optics[], size_t n, struct mix_lab *out)
{
    double reflectance[MIX_BANDS];
    for (size_t band = 0; band < MIX_BANDS; band++) {
        double k = 0, s = 0;
        for (size_t i = 0; i < n; i++) {
            if (!(grams[i] > 0))
                continue;
            k += grams[i] * optics[i]->k[band];
            s += grams[i] * optics[i]->s[band];
        }
        if (!(s > 0))
            return false;
        reflectance[band] = mix_km_reflectance(k / s);
    }
    *out = mix_lab_of(reflectance);
    return true;
}
