#include "mix/weighable.h"

#include <math.h>

double mix_weighable_g(double d_g, double half_drop_g, double error_pct)
{
    return error_pct > 0 ? (d_g / 2 + half_drop_g) * 100 / error_pct : INFINITY;
}

bool mix_weighable(const double *parts, size_t n, double d_g, double half_drop_g, double error_pct, double *smallest_g,
                   size_t *index)
{
    double sum = 0;
    size_t least = n;
    for (size_t i = 0; i < n; i++) {
        if (!(parts[i] > 0))
            continue;
        sum += parts[i];
        if (least == n || parts[i] < parts[least])
            least = i;
    }
    if (least == n || !(error_pct > 0))
        return false;
    *smallest_g = mix_weighable_g(d_g, half_drop_g, error_pct) * (sum / parts[least]);
    *index = least;
    return true;
}
