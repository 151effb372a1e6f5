#include "mix/letdown.h"

#include "mix/aim.h"
#include "mix/weighable.h"

#include <math.h>

bool mix_letdown(double grams, double d_g, double half_drop_g, double error_pct, double diluent_g_max,
                 struct mix_letdown *out)
{
    if (!(grams > 0) || !(error_pct > 0))
        return false;
    /* Both weighings need this much: the toner now, and the part taken later. */
    double least_g = fmax(mix_weighable_g(d_g, half_drop_g, error_pct), grams);
    double diluent_g = least_g * (least_g / grams - 1);
    if (!(diluent_g <= diluent_g_max + MIX_SLACK_G))
        return false;
    *out = (struct mix_letdown){.toner_g = least_g, .diluent_g = diluent_g, .take_g = least_g};
    return true;
}
