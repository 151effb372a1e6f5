#include "client/screen/grid.h"

#include <string.h>

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
    for (int r = 0; r < g->rows; r++)
        for (int c = 0; c < g->cols; c++)
            g->cells[r][c] = (struct cell){' ', INK_PLAIN};
}

char32_t grid_next(const char **at)
{
    const unsigned char *s = (const unsigned char *)*at;
    char32_t c = s[0];
    if (c == 0)
        return 0;
    int more = c < 0x80 ? 0 : c >= 0xF0 && c < 0xF8 ? 3 : c >= 0xE0 && c < 0xF0 ? 2 : c >= 0xC2 && c < 0xE0 ? 1 : -1;
    if (more < 0) {
        *at += 1;
        return 0xFFFD;
    }
    static const unsigned char mask[] = {0x7F, 0x1F, 0x0F, 0x07};
    c &= mask[more];
    for (int i = 1; i <= more; i++) {
        if ((s[i] & 0xC0) != 0x80) { /* a text cut in the middle of a character */
            *at += i;
            return 0xFFFD;
        }
        c = (c << 6) | (s[i] & 0x3Fu);
    }
    *at += more + 1;
    return c;
}

static bool within(char32_t c, const char32_t (*ranges)[2], size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (c >= ranges[i][0] && c <= ranges[i][1])
            return true;
    return false;
}

int grid_char_width(char32_t c)
{
    static const char32_t none[][2] = {{0x0300, 0x036F}, {0x0483, 0x0489},  {0x0591, 0x05BD}, {0x064B, 0x065F},
                                       {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF},  {0x200B, 0x200F}, {0x202A, 0x202E},
                                       {0x2060, 0x206F}, {0x20D0, 0x20FF},  {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F},
                                       {0xFEFF, 0xFEFF}, {0xE0000, 0xE0FFF}};
    static const char32_t wide[][2] = {{0x1100, 0x115F},  {0x2E80, 0x303E},   {0x3041, 0xA4CF},   {0xA960, 0xA97F},
                                       {0xAC00, 0xD7A3},  {0xF900, 0xFAFF},   {0xFE30, 0xFE6F},   {0xFF00, 0xFF60},
                                       {0xFFE0, 0xFFE6},  {0x1F300, 0x1F64F}, {0x1F680, 0x1F6FF}, {0x1F900, 0x1FAFF},
                                       {0x20000, 0x3FFFD}};
    if (within(c, none, sizeof none / sizeof *none))
        return 0;
    return within(c, wide, sizeof wide / sizeof *wide) ? 2 : 1;
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

int grid_char(struct grid *g, int row, int col, char32_t c, unsigned ink)
{
    if (c < 0x20 || (c >= 0x7F && c < 0xA0) || (c >= 0xD800 && c < 0xE000) || c > 0x10FFFF)
        c = '?'; /* never a control character to a terminal */
    if (!g->utf8)
        c = plain(c);
    int width = grid_char_width(c);
    if (width == 0)
        return col;
    if (row < 0 || row >= g->rows || col < 0 || col >= g->cols)
        return col + width;
    if (width == 2 && col + 1 >= g->cols) {
        c = '?'; /* half a wide character cannot be shown */
        width = 1;
    }
    /* A wide character that loses one half must not keep the other. */
    if (g->cells[row][col].c == 0 && col > 0)
        g->cells[row][col - 1].c = ' ';
    if (col + width < g->cols && g->cells[row][col + width].c == 0)
        g->cells[row][col + width].c = ' ';
    g->cells[row][col] = (struct cell){c, (unsigned char)ink};
    if (width == 2)
        g->cells[row][col + 1] = (struct cell){0, (unsigned char)ink};
    return col + width;
}

int grid_width(const struct grid *g, const char *text)
{
    int width = 0;
    for (char32_t c; (c = grid_next(&text)) != 0;)
        width += grid_char_width(g->utf8 ? c : plain(c));
    return width;
}

int grid_text(struct grid *g, int row, int col, int width, const char *text, unsigned ink)
{
    if (width <= 0)
        return col;
    int end = col + width;
    bool cut = grid_width(g, text) > width;
    int mark = !cut ? 0 : g->utf8 ? 1 : width < 3 ? width : 3;
    for (char32_t c; (c = grid_next(&text)) != 0;) {
        if (col + grid_char_width(g->utf8 ? c : plain(c)) > end - mark)
            break;
        col = grid_char(g, row, col, c, ink);
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

static size_t encode(char32_t c, char out[4])
{
    if (c < 0x80) {
        out[0] = (char)c;
        return 1;
    }
    if (c < 0x800) {
        out[0] = (char)(0xC0 | (c >> 6));
        out[1] = (char)(0x80 | (c & 0x3F));
        return 2;
    }
    if (c < 0x10000) {
        out[0] = (char)(0xE0 | (c >> 12));
        out[1] = (char)(0x80 | ((c >> 6) & 0x3F));
        out[2] = (char)(0x80 | (c & 0x3F));
        return 3;
    }
    out[0] = (char)(0xF0 | (c >> 18));
    out[1] = (char)(0x80 | ((c >> 12) & 0x3F));
    out[2] = (char)(0x80 | ((c >> 6) & 0x3F));
    out[3] = (char)(0x80 | (c & 0x3F));
    return 4;
}

void grid_row_text(const struct grid *g, int row, char *buf, size_t size)
{
    size_t n = 0, end = 0;
    for (int col = 0; row >= 0 && row < g->rows && col < g->cols; col++) {
        char32_t c = g->cells[row][col].c;
        if (c == 0)
            continue;
        char bytes[4];
        size_t len = encode(c, bytes);
        if (n + len + 1 > size)
            break;
        memcpy(buf + n, bytes, len);
        n += len;
        if (c != ' ')
            end = n;
    }
    buf[end] = '\0';
}
