/* grid.h - a page as a grid of cells, before any terminal is asked.
 *
 * page.c draws into a grid, term.c puts a grid on the terminal, tests compare a grid with a picture.
 * Ink says how a cell looks, never what it means: a page must be legible by its characters alone, since a terminal may
 * show none of it.
 * Pure: memory is the caller's, nothing here allocates. Everything written outside the grid is dropped, so a
 * page that does not fit is cut and never runs over.
 * Text is UTF-8 from outside and not trusted: what must reach no terminal becomes `?` (text/utf8.h), combining
 * marks stay with their letter, wide characters take two cells, and a grid that is not `utf8` gets plain ASCII. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <uchar.h>

enum { GRID_COLS_MAX = 240, GRID_ROWS_MAX = 100 };

/* What a cell looks like beside its character. */
enum ink {
    INK_PLAIN = 0,
    INK_BOLD = 1,
    INK_REVERSE = 2,
    INK_DIM = 4,    /* second text; bold and reverse alone must be enough to read a page */
    INK_RUBRIC = 8, /* what departs from the book: over, a reason, stale; red where colour is allowed */
};

enum { CELL_MARKS = 3 };

struct cell {
    char32_t c;                 /* never a control character; 0 is the right half of a wide character */
    char32_t marks[CELL_MARKS]; /* what combines with it; 0: none */
    unsigned char ink;          /* of enum ink */
};

struct grid {
    int cols, rows; /* 1..GRID_COLS_MAX, 1..GRID_ROWS_MAX */
    int cuts;       /* texts that did not fit their place so far */
    bool utf8;      /* box and block characters, true minus, any letter; else ASCII alone */
    struct cell cells[GRID_ROWS_MAX][GRID_COLS_MAX];
};

/* An empty grid. Sizes beyond the limits are brought to the nearest limit. */
void grid_clear(struct grid *g, int cols, int rows, bool utf8);

/* Rows [from, to) as they were when the grid was empty. */
void grid_clear_rows(struct grid *g, int from, int to);

/* One character at a place; outside the grid it is dropped. In a grid that is not utf8 a letter loses its accent, and
 * what has no plain form becomes `?`. Returns the column after it. */
int grid_char(struct grid *g, int row, int col, char32_t c, unsigned ink);

/* Text from a column on; at most `width` columns (below 0: none), cut between characters; a cut is counted and marked
 * by `...` (one character where utf8).
 * Returns the column after what was written. */
int grid_text(struct grid *g, int row, int col, int width, const char *text, unsigned ink);

/* Text that ends before column `end`. Returns the column it began in. */
int grid_text_right(struct grid *g, int row, int end, const char *text, unsigned ink);

/* The same character over a run of columns [from, to). */
void grid_run(struct grid *g, int row, int from, int to, char32_t c, unsigned ink);

/* Reverses rows [from, to) over the whole width, as `stop` does. */
void grid_reverse_rows(struct grid *g, int from, int to);

/* Columns that a text takes in this grid. */
int grid_width(const struct grid *g, const char *text);

/* The row as UTF-8 without trailing spaces, for tests and for reading aloud. buf holds at least 1 byte. */
void grid_row_text(const struct grid *g, int row, char *buf, size_t size);
