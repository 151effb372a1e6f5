/* content.h - what stands in the lines of a label below its head, and which of them give way where room is short.
 *
 * Hazards of the first rank and until when an activated mix may be used are never cut: other rows go first.
 * Units   mm, as in fit.h.
 */
#pragma once

#include "print/draw/label_request.h"
#include "print/draw/label_rows.h"

#define LAYOUT_LEAST_MM 2.2 /* smaller letters blur at 203 dpi */

/* Sizes of type, and where things stand. */
struct layout {
    bool roomy;
    double code_mm, head_mm; /* the first line: the code, and what stands beside it */
    double coat_mm, text_mm, hazard_mm, use_by_mm, batch_mm;
    double least_mm;  /* nothing is smaller, but what must never be cut */
    double rule_y;    /* upper edge of the rule under the first line */
    double column_mm; /* width left of the QR code and its free modules */
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
void content_lid(const struct label_request *request, const struct layout *lay, struct placed placed,
                 struct rows *rows);
