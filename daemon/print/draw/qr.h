/* qr.h - the QR code of a batch: `POISE:1042`, version 1, level M. */
#ifndef PRINT_DRAW_QR_H
#define PRINT_DRAW_QR_H

#include <stdbool.h>

#include <cairo.h>

#define QR_MODULES   21   /* version 1 */
#define QR_MODULE_MM 0.56 /* four dots of a 203 dpi label printer are 0.5 mm; a little more reads well */
#define QR_SIDE_MM   (QR_MODULES * QR_MODULE_MM)
#define QR_QUIET_MM  (4 * QR_MODULE_MM) /* free all round, ISO/IEC 18004 (from memory) */

/* Draws `POISE:` and the batch in the context's colour, its upper left corner at x, y (mm). False, and
 * nothing drawn, where it does not fit version 1 (more than 14 digits) or memory is short. */
bool qr_draw(cairo_t *cr, const char *batch, double x, double y);

#endif
