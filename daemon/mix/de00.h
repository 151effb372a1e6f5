/* de00.h - how far two colours are from each other, as CIEDE2000.
 *
 * Units   L* 0 to 100, a* and b* as CIELAB has them; the difference is a plain number, about 1 where a trained eye
 *         begins to see it.
 * Owner   Pure: no memory, no clock, no state.
 * Errors  None: a NaN in gives a NaN out.
 * Source  CIE 142-2001; the worked pairs and the care for hue angles of G. Sharma, W. Wu and E. N. Dalal, "The
 *         CIEDE2000 Color-Difference Formula: Implementation Notes, Supplementary Test Data, and Mathematical
 *         Observations", Color Research and Application 30 (2005). Weights kL = kC = kH = 1.
 */
#pragma once

struct mix_lab {
    double l, a, b;
};

double mix_de00(struct mix_lab one, struct mix_lab other);
