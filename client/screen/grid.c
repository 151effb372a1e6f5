/* grid.c - cells, and text brought into them. It must not know a page nor a terminal. */
#include "client/screen/grid.h"

#include "text/utf8.h"

#include <string.h>
#include <unistr.h>

/* A size within 1 and max. */
static int limited(int value, int max)
{
    if (value < 1)
        return 1;
    return value > max ? max : value;
}

/* Only the rows and columns in use are cleared: a grid is drawn ten times a second. */
void grid_clear(struct grid *g, int cols, int rows, bool utf8)
{
    g->cols = limited(cols, GRID_COLS_MAX);
    g->rows = limited(rows, GRID_ROWS_MAX);
    g->utf8 = utf8;
    g->cuts = 0;
    grid_clear_rows(g, 0, g->rows);
}

void grid_clear_rows(struct grid *g, int from, int to)
{
    for (int r = from < 0 ? 0 : from; r < to && r < g->rows; r++)
        for (int c = 0; c < g->cols; c++)
            g->cells[r][c] = (struct cell){.c = ' '};
}

/* What stands for a character in a grid without UTF-8: German by its own rule (ss, ue), other letters of Latin-1
 * without their accent; the shop's names must stay legible on a plain terminal. At most two characters. */
static const char *plain(char32_t c, char one[2])
{
    static const char latin1[] =
        "AAAAAAACEEEEIIIIDNOOOOOxOUUUUYTsaaaaaaaceeeeiiiidnooooo/ouuuuyty"; /* U+00C0 to U+00FF */
    static const struct {
        char32_t c;
        const char *text;
    } others[] = {{0xC4, "Ae"},  {0xD6, "Oe"},  {0xDC, "Ue"},  {0xDF, "ss"},  {0xE4, "ae"}, {0xF6, "oe"},
                  {0xFC, "ue"},  {0x2212, "-"}, {0x2010, "-"}, {0x2011, "-"}, {0xB1, "+-"}, {0x2013, "-"},
                  {0x2014, "-"}, {0x2018, "'"}, {0x2019, "'"}, {0xA0, " "},   {0xB2, "2"},  {0xB3, "3"},
                  {0xB5, "u"},   {0x202F, " "}, {0xB7, "."}};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (others[i].c == c)
            return others[i].text;
    one[0] = c < 0x80 ? (char)c : c >= 0xC0 && c <= 0xFF ? latin1[c - 0xC0] : '?';
    one[1] = '\0';
    return one;
}

/* Printable ASCII alone is shown as it is, a column a byte: most of every page. Its length, -1: it holds other bytes.
 */
static int plain_length(const char *text)
{
    int n = 0;
    for (; text[n]; n++)
        if (text[n] < 0x20 || text[n] > 0x7E)
            return -1;
    return n;
}

/* The text as this grid can show it: nothing that must reach no terminal, and plain where it is not UTF-8. */
static const char *shown_as(const struct grid *g, const char *text, char *buf, size_t size)
{
    char clean[1024], one[2];
    size_t used = 0, n;
    if (g->utf8) {
        utf8_clean(buf, size, text);
        return buf;
    }
    utf8_clean(clean, sizeof clean, text);
    for (const char *at = clean; *at; at += n) {
        char32_t c = utf8_next(at, &n);
        const char *as = utf8_width(c) > 0 ? plain(c, one) : "";
        if (n == 0 || used + strlen(as) + 1 > size)
            break;
        memcpy(buf + used, as, strlen(as));
        used += strlen(as);
    }
    buf[used] = '\0';
    return buf;
}

/* A mark goes to the letter before it, as many as a cell holds. A joiner is left out: it shows nothing by itself, and
 * some terminals glue it to what they write next, on whichever row. */
static void add_mark(struct grid *g, int row, int col, char32_t mark)
{
    bool joins = mark == 0x200C || mark == 0x200D;
    if (joins || !g->utf8 || row < 0 || row >= g->rows || col < 1 || col > g->cols)
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

/* Never a control character and never a surrogate, so whatever a file or a person typed cannot steer the terminal. */
int grid_char(struct grid *g, int row, int col, char32_t c, unsigned ink)
{
    if (c < 0x20 || (c >= 0x7F && c < 0xA0) || (c >= 0xD800 && c < 0xE000) || c > 0x10FFFF)
        c = '?'; /* never a control character to a terminal */
    int width = c < 0x7F || (c >= 0x2500 && c < 0x25A0) ? 1 : utf8_width(c); /* boxes and blocks are narrow */
    if (width == 0) {
        add_mark(g, row, col, c);
        return col;
    }
    if (!g->utf8 && c > 0x7E) {
        char one[2];
        c = (char32_t)plain(c, one)[0];
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
    char as[1024];
    int length = plain_length(text);
    if (length >= 0)
        return length < (int)sizeof as ? length : (int)sizeof as - 1;
    shown_as(g, text, as, sizeof as);
    return columns(g, as, strlen(as));
}

/* A text too long loses its end, between characters, and shows by its mark that there was more. The cut is counted: a
 * test fails on a page that cuts. */
int grid_text(struct grid *g, int row, int col, int width, const char *text, unsigned ink)
{
    char clean[1024];
    int length = plain_length(text);
    if (length >= 0 && length <= width && length < (int)sizeof clean) {
        for (; *text; text++)
            col = grid_char(g, row, col, (char32_t)*text, ink);
        return col;
    }
    shown_as(g, text, clean, sizeof clean);
    if (width <= 0) {
        g->cuts += clean[0] != '\0';
        return col;
    }
    int end = col + width;
    bool cut = columns(g, clean, strlen(clean)) > width;
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

/* Too long a text begins in the first column and loses its end, as everywhere. */
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

/* Reverses what is reversed already back, so block letters stay legible within it. */
void grid_reverse_rows(struct grid *g, int from, int to)
{
    for (int r = from < 0 ? 0 : from; r < to && r < g->rows; r++)
        for (int c = 0; c < g->cols; c++)
            g->cells[r][c].ink ^= INK_REVERSE;
}

/* A wide character's second half is no character of its own; marks follow their letter. */
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
