/* grid.h - a page as a grid of cells, before any terminal is asked.
 *
 * page.c draws into a grid, term.c puts a grid on the terminal, tests compare a grid with a picture.
 * Pure: memory is the caller's, nothing here allocates. Everything written outside the grid is dropped, so a
 * page that does not fit is cut and never runs over.
 * Text is UTF-8 from outside and not trusted: control characters become `?`, combining marks are left out,
 * wide characters take two cells, and a grid that is not `utf8` gets plain ASCII. */
#ifndef POISE_CLIENT_SCREEN_GRID_H
#define POISE_CLIENT_SCREEN_GRID_H

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

struct cell {
    char32_t c;        /* never a control character; 0 is the right half of a wide character */
    unsigned char ink; /* of enum ink */
};

struct grid {
    int cols, rows; /* 1..GRID_COLS_MAX, 1..GRID_ROWS_MAX */
    bool utf8;      /* box and block characters, true minus, any letter; else ASCII alone */
    struct cell cells[GRID_ROWS_MAX][GRID_COLS_MAX];
};

/* An empty grid. Sizes beyond the limits are brought to the nearest limit. */
void grid_clear(struct grid *g, int cols, int rows, bool utf8);

/* One character at a place; outside the grid it is dropped. In a grid that is not utf8 a letter loses its accent, and
 * what has no plain form becomes `?`. Returns the column after it. */
int grid_char(struct grid *g, int row, int col, char32_t c, unsigned ink);

/* Text from a column on; at most `width` columns (below 0: none), a cut is marked by `...` (one character where utf8).
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

/* One code point of UTF-8 at *at, which moves on; U+FFFD for what is not UTF-8, 0 at the end. */
char32_t grid_next(const char **at);

/* The row as UTF-8 without trailing spaces, for tests and for reading aloud. buf holds at least 1 byte. */
void grid_row_text(const struct grid *g, int row, char *buf, size_t size);

/* Columns of one character: 0, 1 or 2. The ranges are those of the Unicode standard's East Asian Width, shortened
 * to whole blocks (from memory). The C library's wcwidth is not used: it would make a pure page depend on the locale.
 */
int grid_char_width(char32_t c);

#endif
