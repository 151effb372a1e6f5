/* quantity.h - how much colour a wanted amount of ready-to-spray paint needs, and how far it goes.
 *
 * Units   grams of colour before reduction; mL ready to spray; m2, um of dry film, per cent.
 * Errors  An answer that needs a missing (NaN) or senseless density is NaN.
 */
#pragma once

#include <stdbool.h>

/* Grams of colour in ready_ml ready to spray, reduced by pct (0: unreduced) of the colour's volume or
 * weight. By weight needs the reducer's density. 400 mL, 20 % by volume, 1.2373 g/mL: 412.4 g. */
double mix_grams_for_ml(double ready_ml, double colour_density_g_per_ml, double pct, bool by_volume,
                        double reducer_density_g_per_ml);

/* The other way: mL ready to spray of `grams` of colour. */
double mix_ml_for_grams(double grams, double colour_density_g_per_ml, double pct, bool by_volume,
                        double reducer_density_g_per_ml);

struct mix_spread {
    double volume_ml; /* ready to spray, with transfer and loss */
    double m2_per_l;  /* theoretical: 10 x solids % / um (row S08) */
};

/* area_m2 x coats x film_um of dry film per coat, from paint of solids_vol_pct ready to spray, of which
 * transfer_pct lands, and loss_ml for cup and hose (rows S02, S08, S10: 1 m2 x 1 um is 1 mL). False where
 * solids, transfer or film is not above 0. */
bool mix_spread(double area_m2, double coats, double film_um, double solids_vol_pct, double transfer_pct,
                double loss_ml, struct mix_spread *out);
