/* label.h - poise-label: one JSON object in, one PDF out. A label for a cup, and one for its lid: black on white, one
 * page each.
 *
 * Its own program so that cairo and its fonts stay out of the daemon's memory and off its loop.
 * Start   program.c is all but the process (poise_label.c). label_request.c reads the JSON, label.c draws a page: its
 *         head, QR code and rule; content.c decides what the lines below the head say; label_rows.c sets lines into a
 *         height, fit.c a text into a width.
 * Layout  By height: from LABEL_ROOMY_MM on the name stands beside the code; lower ones (50x25) have the coat there,
 * and the QR code beside the first line, not under it. The batch number stands below the QR code; only where a long
 *         code takes the whole first line of a low label does it stand above. Hazards of the first rank and until when
 *         an activated mix may be used are never cut: other rows go first.
 * Units   mm, as in fit.h.
 * Exits   0 done; 64 usage; 65 what came in cannot be a label; 70 our own fault; 74 cannot read or write.
 * Errors  One line on err: `poise-label: WHAT: WHY. HELP`; `poise: ...` where argv[0] is `poise`, which draws by it.
 */
#pragma once

#include "print/draw/label_request.h"
#include "print/draw/label_rows.h"

#include <stdbool.h>
#include <stdio.h>

#include <cairo.h>

#define LABEL_MARGIN_MM 2.0
#define LABEL_ROOMY_MM  28.5

#define LABEL_POINTS_PER_MM (72.0 / 25.4)

/* ---- program.c ---- */
/* All of the program but the process: main calls it, and so do tests. in, out and err stay open. The PDF goes
 * to argv[1], written beside it and renamed when whole, or to out where that is `-`. */
int label_program(int argc, char **argv, FILE *in, FILE *out, FILE *err);

/* ---- label.c ---- */
/* Draws all pages (copies, each with its lid where asked for) on a PDF surface of points, and finishes each. Errors are
 * those of cairo, in the surface's status; false also where the QR code cannot be made. */
bool label_draw(cairo_surface_t *pdf, const struct label_request *request);
/* Is there a letter that no font here draws, or that cannot be set right? The first one goes to letter. */
bool label_missing(cairo_surface_t *pdf, const struct label_request *request, char letter[8]);

/* ---- content.c, for label.c ---- */
#define LAYOUT_LEAST_MM 2.2 /* smaller letters blur at 203 dpi */

/* Sizes of type, and where things stand. */
struct layout {
    bool roomy;
    bool beside;             /* the QR code stands beside the first line, which is then as wide as the column */
    double code_mm, head_mm; /* the first line: the code, and what stands beside it */
    double coat_mm, text_mm, hazard_mm, use_by_mm, batch_mm;
    double least_mm;  /* nothing is smaller, but what must never be cut */
    double rule_y;    /* upper edge of the rule under the first line */
    double column_mm; /* width left of the QR code and its free modules */
    double line_mm;   /* width of the first line and of the rule under it */
    double qr_x, qr_y;
};

/* What found its place in the first line. */
struct placed {
    bool name, coat, variant;
};

/* The coat in the label's language, as it stands where no word is known. */
const char *content_coat(const struct label_request *request);
/* The rows of the cup, as many as fit height_mm. */
void content_cup(cairo_t *cr, const struct label_request *request, const struct layout *lay, struct placed placed,
                 double height_mm, struct rows *rows);
/* Those of the lid: what is in the cup below it, until when, and which batch it is. */
void content_lid(cairo_t *cr, const struct label_request *request, const struct layout *lay, struct placed placed,
                 struct rows *rows);
