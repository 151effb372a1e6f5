/* label_size.c - `62x29` as two numbers. Knows no label. */
#include "text/label_size.h"

#include <stdlib.h>

/* One side of 62x29, or of 62.5x29. A digit first: strtod would take a sign, a blank and `inf`. */
static bool read_side(const char **at, double least_mm, double *out_mm)
{
    char *end;
    if (**at < '0' || **at > '9')
        return false;
    *out_mm = strtod(*at, &end);
    *at = end;
    return *out_mm >= least_mm && *out_mm <= LABEL_MOST_MM;
}

bool label_size_read(const char *text, double *width_mm, double *height_mm)
{
    return read_side(&text, LABEL_WIDTH_LEAST_MM, width_mm) && *text++ == 'x' &&
           read_side(&text, LABEL_HEIGHT_LEAST_MM, height_mm) && *text == '\0';
}
