/* figures.h - the large figures of a page, and the cue words in block letters.
 *
 * The page's own glyphs: 5 rows by 6 columns, stretched to any size above (7 by 8, 10 by 12), and 3 rows in strokes.
 * Where to start: the table in figures.c. Figures that are not live do not look like figures that are: grey ones are
 * dotted, dead ones are dotted and struck out. Pure; draws into a grid, what lies outside is dropped. */
#pragma once

#include "client/screen/grid.h"

enum figure_life {
    FIGURE_LIVE,
    FIGURE_GREY, /* nothing newer than half a second: dotted */
    FIGURE_DEAD, /* stale: dotted and struck out */
};

enum { FIGURE_ROWS_MAX = 15 }; /* beyond it a terminal has no columns for a weight */

struct figure_style {
    int rows;    /* 3, or 5 and more */
    int half_at; /* characters from this one on are half height (finer than the tolerance); -1: none */
    enum figure_life life;
    unsigned ink;
};

/* Columns that the text takes. Text is of `0-9 . , -` and space (a digit's room); another character is a space. */
int figures_width(const char *text, const struct figure_style *style);

/* Draws with the top left corner at (row, col); returns the column after the last figure. */
int figures_draw(struct grid *g, int row, int col, const char *text, const struct figure_style *style);

/* A word in block letters (A to Z, figures, umlauts; small ones as capitals), rows 5 or more: its width, and drawing it
 * from (row, col). Width 0: the word holds what has no block letter. */
int figures_word_width(const char *word, int rows);
void figures_word(struct grid *g, int row, int col, const char *word, int rows, unsigned ink);
