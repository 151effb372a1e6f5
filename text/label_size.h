/* label_size.h - the sizes that a label can be drawn in, decided once for who asks for one and who draws it. */
#pragma once

#include <stdbool.h>

/* mm. Whoever prints smaller ones cannot keep the QR code's modules, larger ones are no labels of a cup. */
#define LABEL_WIDTH_LEAST_MM  48.0
#define LABEL_HEIGHT_LEAST_MM 25.0
#define LABEL_MOST_MM         150.0

/* `62x29` or `62.5x29`: width and height in mm. False: not written so, or no size that a label can have. */
bool label_size_read(const char *text, double *width_mm, double *height_mm);
