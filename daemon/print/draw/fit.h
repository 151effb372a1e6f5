/* fit.h - text in a given width: first narrower, then cut or smaller; any UTF-8.
 *
 * Units   mm, on a context that was scaled so that one unit is one millimetre. A size is that of the font
 *         (its em); capitals are about 0.73 of it.
 * Owner   Nothing is kept; struct fit_text is the caller's, and whole in itself.
 * Errors  None: what no font here has is an empty box, so ask fit_missing first. Scripts that run from right to left
 *         or whose letters join (Arabic, Hebrew, those of India) count as missing: this program cannot set them right.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

#include <cairo.h>

/* The most bytes of one line; what is longer is cut in any case. */
#define FIT_BYTES 512
/* Narrower than this, letters are hard to read. */
#define FIT_NARROWEST 0.85
/* Height of capitals, as part of the size. */
#define FIT_CAPITAL 0.73

struct fit_text {
    char text[FIT_BYTES];
    bool bold;
    double size_mm;
    double squeeze; /* horizontal scale, FIT_NARROWEST to 1 */
    double width_mm;
    bool cut; /* something is missing: the text ends with an ellipsis */
};

/* Makes text fit width_mm: as it is, else narrower, else cut at its end with an ellipsis. What must not be
 * shown (text/utf8.h) becomes `?`. */
void fit_cut(cairo_t *cr, const char *text, bool bold, double size_mm, double width_mm, struct fit_text *out);

/* The same for what must never be cut: as it is, else narrower, else smaller, however small. */
void fit_whole(cairo_t *cr, const char *text, bool bold, double size_mm, double width_mm, struct fit_text *out);

/* Has the text a letter that cannot be drawn? Its first code point goes to letter. */
bool fit_missing(cairo_t *cr, const char *text, char letter[8]);

/* Frees what the font libraries keep for a next text, when the last context and surface are gone. */
void fit_finish(void);

/* Draws at x, on the baseline y, in the context's colour. */
void fit_draw(cairo_t *cr, const struct fit_text *text, double x, double y);
