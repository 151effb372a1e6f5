/* label_rows.h - lines of text one below the other, set looser or tighter so that they fill a given height.
 *
 * Units   mm, as in fit.h.
 * Owner   The caller's; rows hold their texts.
 */
#pragma once

#include "print/draw/fit.h"

#define ROWS_MAX 20

enum row_kind {
    ROW_TEXT,
    ROW_BAR,   /* white on black, the full width */
    ROW_SHELF, /* text, then `shelf ____` for a pen, at the right */
};

struct row {
    enum row_kind kind;
    char lead[FIT_BYTES]; /* bold, never cut, before the text; "": none */
    char text[FIT_BYTES];
    char tail[FIT_BYTES]; /* follows the text, and keeps its place when a long text is cut */
    bool whole;           /* the text is never cut either */
    const char *blank;    /* ROW_SHELF: the word before the line for a pen; a word of the table */
    double lead_mm;
    double size_mm;  /* as it should be */
    double least_mm; /* as small as it may become where there are too many rows */
};

struct rows {
    struct row row[ROWS_MAX];
    size_t n;
};

/* Adds a row of this kind and size; a row too many is left out. Returns it, or NULL. */
struct row *rows_add(struct rows *rows, enum row_kind kind, double size_mm, double least_mm);

/* Takes the last row away again. */
void rows_drop(struct rows *rows);

/* Does all of a row's text fit this width at its wished size, at most narrowed? */
bool rows_whole(cairo_t *cr, const struct row *row, double width_mm);

/* Do they fit, if need be at their least size? */
bool rows_fit(const struct rows *rows, double height_mm);
/* The same with every letter as large as it should be. */
bool rows_fit_unshrunk(const struct rows *rows, double height_mm);

/* Draws them from top to bottom between x and x + width_mm. */
void rows_draw(cairo_t *cr, const struct rows *rows, double x, double width_mm, double top, double bottom);

/* Width of a bar's text, inside its ends. */
double rows_bar_text_mm(double width_mm);

/* Width left for the text of a ROW_SHELF whose blank is this word. */
double rows_shelf_text_mm(cairo_t *cr, const char *blank, double size_mm, double width_mm);
