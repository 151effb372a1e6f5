/* quantity.c - how much paint for how much work. It knows areas, films and volumes, and no panel by name. */
#include "mix/quantity.h"

#include <math.h>

/* mL ready to spray that one gram of colour gives. */
static double ml_of_a_gram(double colour_rho, double pct, bool by_volume, double reducer_rho)
{
    if (!(colour_rho > 0))
        return NAN;
    double p = pct / 100;
    if (!(p > 0))
        return 1 / colour_rho;
    if (by_volume)
        return (1 + p) / colour_rho;
    return reducer_rho > 0 ? 1 / colour_rho + p / reducer_rho : NAN;
}

double mix_grams_for_ml(double ready_ml, double colour_density_g_per_ml, double pct, bool by_volume,
                        double reducer_density_g_per_ml)
{
    return ready_ml / ml_of_a_gram(colour_density_g_per_ml, pct, by_volume, reducer_density_g_per_ml);
}

double mix_ml_for_grams(double grams, double colour_density_g_per_ml, double pct, bool by_volume,
                        double reducer_density_g_per_ml)
{
    return grams * ml_of_a_gram(colour_density_g_per_ml, pct, by_volume, reducer_density_g_per_ml);
}

bool mix_spread(double area_m2, double coats, double film_um, double solids_vol_pct, double transfer_pct,
                double loss_ml, struct mix_spread *out)
{
    if (!(film_um > 0) || !(solids_vol_pct > 0) || !(transfer_pct > 0))
        return false;
    double film_ml = area_m2 * coats * film_um; /* 1 m2 x 1 um = 1e-6 m3 = 1 mL */
    out->volume_ml = film_ml / (solids_vol_pct / 100 * (transfer_pct / 100)) + loss_ml;
    out->m2_per_l = 10 * solids_vol_pct / film_um;
    return true;
}
