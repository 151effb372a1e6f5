/* label.h - a label for a cup, and one for its lid: black on white, one page each.
 *
 * Two layouts, chosen by height: from LABEL_ROOMY_MM on the name stands beside the code and the batch number
 * below the QR code; lower ones (50x25) have the coat beside the code, and the batch number above the QR
 * code, since four free modules leave no room below it.
 * Errors  Those of cairo, in the surface's status; false also where the QR code cannot be made.
 */
#pragma once

#include "print/draw/label_request.h"

#include <stdbool.h>

#include <cairo.h>

#define LABEL_MARGIN_MM 2.0
#define LABEL_ROOMY_MM  28.5

#define LABEL_POINTS_PER_MM (72.0 / 25.4)

/* Draws all pages (copies, each with its lid where asked for) on a PDF surface of points, and finishes each. */
bool label_draw(cairo_surface_t *pdf, const struct label_request *request);

/* Is there a letter that no font here draws, or that cannot be set right? The first one goes to letter. */
bool label_missing(cairo_surface_t *pdf, const struct label_request *request, char letter[8]);
