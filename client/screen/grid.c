/* grid.c - cells, and text brought into them. It must not know a page nor a terminal. */
#include "client/screen/grid.h"

#include "text/utf8.h"

#include <string.h>
#include <unistr.h>

static int limited(int value, int max)
{
    if (value < 1)
        return 1;
    return value > max ? max : value;
}

void grid_clear(struct grid *g, int cols, int rows, bool utf8)
{
    g->cols = limited(cols, GRID_COLS_MAX);
    g->rows = limited(rows, GRID_ROWS_MAX);
    g->utf8 = utf8;
    g->cuts = 0;
    for (int r = 0; r < g->rows; r++)
        for (int c = 0; c < g->cols; c++)
            g->cells[r][c] = (struct cell){.c = ' '};
}

/* A letter of Latin-1 without its accent; the shop's names must stay legible on a plain terminal. */
static char32_t plain(char32_t c)
{
    static const char latin1[] =
        "AAAAAAACEEEEIIIIDNOOOOOxOUUUUYTsaaaaaaaceeeeiiiidnooooo/ouuuuyty"; /* U+00C0 to U+00FF */
    if (c < 0x80)
        return c;
    if (c >= 0xC0 && c <= 0xFF)
        return (char32_t)latin1[c - 0xC0];
    switch (c) {
    case 0x2212: /* minus */
    case 0x2010:
    case 0x2011:
    case 0x2013:
    case 0x2014:
        return '-';
    case 0x2018:
    case 0x2019:
        return '\'';
    case 0x00A0:
    case 0x202F:
        return ' ';
    case 0x00B7:
        return '.';
    default:
        return '?';
    }
}

/* A mark goes to the letter before it, as many as a cell holds. */
static void add_mark(struct grid *g, int row, int col, char32_t mark)
{
    if (!g->utf8 || row < 0 || row >= g->rows || col < 1 || col > g->cols)
        return;
    struct cell *cell = &g->cells[row][col - 1];
    if (cell->c == 0 && col > 1)
        cell = &g->cells[row][col - 2];
    for (int i = 0; i < CELL_MARKS; i++)
        if (cell->marks[i] == 0) {
            cell->marks[i] = mark;
            return;
        }
}

int grid_char(struct grid *g, int row, int col, char32_t c, unsigned ink)
{
    if (c < 0x20 || (c >= 0x7F && c < 0xA0) || (c >= 0xD800 && c < 0xE000) || c > 0x10FFFF)
        c = '?'; /* never a control character to a terminal */
    int width = utf8_width(c);
    if (width == 0) {
        add_mark(g, row, col, c);
        return col;
    }
    if (!g->utf8) {
        c = plain(c);
        width = 1;
    }
    if (row < 0 || row >= g->rows || col < 0 || col >= g->cols)
        return col + width;
    if (width == 2 && col + 1 >= g->cols) {
        c = '?'; /* half a wide character cannot be shown */
        width = 1;
    }
    /* A wide character that loses one half must not keep the other. */
    if (g->cells[row][col].c == 0 && col > 0)
        g->cells[row][col - 1] = (struct cell){.c = ' '};
    if (col + width < g->cols && g->cells[row][col + width].c == 0)
        g->cells[row][col + width] = (struct cell){.c = ' '};
    g->cells[row][col] = (struct cell){.c = c, .ink = (unsigned char)ink};
    if (width == 2)
        g->cells[row][col + 1] = (struct cell){.c = 0, .ink = (unsigned char)ink};
    return col + width;
}

/* Columns of a character (with its marks) of `bytes` bytes. */
static int columns(const struct grid *g, const char *text, size_t bytes)
{
    int width = 0;
    size_t n;
    for (size_t at = 0; at < bytes; at += n) {
        int w = utf8_width(utf8_next(text + at, &n));
        if (n == 0)
            break;
        width += g->utf8 || w == 0 ? w : 1;
    }
    return width;
}

int grid_width(const struct grid *g, const char *text)
{
    return columns(g, text, strlen(text));
}

int grid_text(struct grid *g, int row, int col, int width, const char *text, unsigned ink)
{
    char clean[1024];
    utf8_clean(clean, sizeof clean, text);
    if (width <= 0) {
        g->cuts += clean[0] != '\0';
        return col;
    }
    int end = col + width;
    bool cut = grid_width(g, clean) > width;
    int mark = !cut ? 0 : g->utf8 ? 1 : width < 3 ? width : 3;
    g->cuts += cut;
    size_t bytes, n;
    for (const char *at = clean; (bytes = utf8_character(at)) > 0; at += bytes) {
        if (col + columns(g, at, bytes) > end - mark)
            break;
        for (size_t i = 0; i < bytes; i += n)
            col = grid_char(g, row, col, utf8_next(at + i, &n), ink);
    }
    for (int i = 0; i < mark; i++)
        col = grid_char(g, row, col, g->utf8 ? 0x2026 : '.', ink);
    return col;
}

int grid_text_right(struct grid *g, int row, int end, const char *text, unsigned ink)
{
    int width = grid_width(g, text);
    int col = end - width;
    if (col < 0)
        col = 0;
    grid_text(g, row, col, end - col, text, ink);
    return col;
}

void grid_run(struct grid *g, int row, int from, int to, char32_t c, unsigned ink)
{
    if (from < 0)
        from = 0;
    for (int col = from; col < to && col < g->cols; col++)
        grid_char(g, row, col, c, ink);
}

void grid_reverse_rows(struct grid *g, int from, int to)
{
    for (int r = from < 0 ? 0 : from; r < to && r < g->rows; r++)
        for (int c = 0; c < g->cols; c++)
            g->cells[r][c].ink ^= INK_REVERSE;
}

void grid_row_text(const struct grid *g, int row, char *buf, size_t size)
{
    size_t n = 0, end = 0;
    for (int col = 0; row >= 0 && row < g->rows && col < g->cols; col++) {
        char32_t c = g->cells[row][col].c;
        if (c == 0)
            continue;
        uint8_t bytes[4 * (1 + CELL_MARKS)];
        size_t len = (size_t)u8_uctomb(bytes, c, 4);
        for (int i = 0; i < CELL_MARKS && g->cells[row][col].marks[i]; i++)
            len += (size_t)u8_uctomb(bytes + len, g->cells[row][col].marks[i], 4);
        if (n + len + 1 > size)
            break;
        memcpy(buf + n, bytes, len);
        n += len;
        if (c != ' ')
            end = n;
    }
    buf[end] = '\0';
}
