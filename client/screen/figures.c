/* figures.c - the glyphs and how they are put into cells. It must not know what a figure stands for. */
#include "client/screen/figures.h"

#include "text/utf8.h"

#include <string.h>

enum { TALL = 5, BROAD = 6 };

struct glyph {
    char32_t name;
    const char *rows[TALL];
};

/* Flat-topped 3, open 4, 6 and 9: no two figures differ by one stroke only where paint could cover it. */
static const struct glyph glyphs[] = {
    {'0', {" #### ", "##  ##", "##  ##", "##  ##", " #### "}},
    {'1', {"  ##  ", " ###  ", "  ##  ", "  ##  ", "######"}},
    {'2', {"##### ", "    ##", "  ### ", " ##   ", "######"}},
    {'3', {"######", "   ## ", " ###  ", "    ##", "##### "}},
    {'4', {"   ## ", "  ##  ", " ## ##", "######", "    ##"}},
    {'5', {"######", "##    ", "##### ", "    ##", "##### "}},
    {'6', {"  ### ", " ##   ", "##### ", "##  ##", " #### "}},
    {'7', {"######", "    ##", "   ## ", "  ##  ", "  ##  "}},
    {'8', {" #### ", "##  ##", " #### ", "##  ##", " #### "}},
    {'9', {" #### ", "##  ##", " #####", "   ## ", " ###  "}},
    {'-', {"      ", "      ", "######", "      ", "      "}},
    {'.', {"  ", "  ", "  ", "  ", "##"}},
    {',', {"  ", "  ", "  ", "##", " #"}},
    {'A', {" #### ", "##  ##", "######", "##  ##", "##  ##"}},
    {'B', {"##### ", "##  ##", "##### ", "##  ##", "##### "}},
    {'C', {" #####", "##    ", "##    ", "##    ", " #####"}},
    {'D', {"####  ", "## ## ", "##  ##", "## ## ", "####  "}},
    {'E', {"######", "##    ", "##### ", "##    ", "######"}},
    {'F', {"######", "##    ", "##### ", "##    ", "##    "}},
    {'G', {" #####", "##    ", "## ###", "##  ##", " #####"}},
    {'H', {"##  ##", "##  ##", "######", "##  ##", "##  ##"}},
    {'I', {"####", " ## ", " ## ", " ## ", "####"}},
    {'J', {"  ####", "    ##", "    ##", "##  ##", " #### "}},
    {'K', {"##  ##", "## ## ", "####  ", "## ## ", "##  ##"}},
    {'L', {"##    ", "##    ", "##    ", "##    ", "######"}},
    {'M', {"##  ##", "######", "######", "##  ##", "##  ##"}},
    {'N', {"##  ##", "### ##", "######", "## ###", "##  ##"}},
    {'O', {" #### ", "##  ##", "##  ##", "##  ##", " #### "}},
    {'P', {"##### ", "##  ##", "##### ", "##    ", "##    "}},
    {'Q', {" #### ", "##  ##", "##  ##", "## ## ", " ## ##"}},
    {'R', {"##### ", "##  ##", "##### ", "## ## ", "##  ##"}},
    {'S', {" #####", "##    ", " #### ", "    ##", "##### "}},
    {'T', {"######", "  ##  ", "  ##  ", "  ##  ", "  ##  "}},
    {'U', {"##  ##", "##  ##", "##  ##", "##  ##", " #### "}},
    {'V', {"##  ##", "##  ##", "##  ##", " #### ", "  ##  "}},
    {'W', {"##  ##", "##  ##", "######", "######", "##  ##"}},
    {'X', {"##  ##", " #### ", "  ##  ", " #### ", "##  ##"}},
    {'Y', {"##  ##", "##  ##", " #### ", "  ##  ", "  ##  "}},
    {'Z', {"######", "   ## ", "  ##  ", " ##   ", "######"}},
    {0xC4, {"##  ##", "      ", " #### ", "######", "##  ##"}}, /* Ä */
    {0xD6, {"##  ##", " #### ", "##  ##", "##  ##", " #### "}}, /* Ö */
    {0xDC, {"##  ##", "      ", "##  ##", "##  ##", " #### "}}, /* Ü */
};

/* Three rows have no room for solid strokes. */
struct stroke {
    char name;
    const char *rows[3];
};
static const struct stroke strokes[] = {
    {'0', {" _ ", "| |", "|_|"}}, {'1', {"   ", "  |", "  |"}}, {'2', {" _ ", " _|", "|_ "}},
    {'3', {" _ ", " _|", " _|"}}, {'4', {"   ", "|_|", "  |"}}, {'5', {" _ ", "|_ ", " _|"}},
    {'6', {" _ ", "|_ ", "|_|"}}, {'7', {" _ ", "  |", "  |"}}, {'8', {" _ ", "|_|", "|_|"}},
    {'9', {" _ ", "|_|", " _|"}}, {'-', {"   ", " _ ", "   "}}, {'.', {" ", " ", "."}},
    {',', {" ", " ", ","}},
};

/* NULL: it has no block letter. */
static const struct glyph *glyph_of(char32_t c)
{
    for (size_t i = 0; i < sizeof glyphs / sizeof *glyphs; i++)
        if (glyphs[i].name == c)
            return &glyphs[i];
    return NULL;
}

/* NULL: a space, or what three rows cannot show. */
static const struct stroke *stroke_of(char c)
{
    for (size_t i = 0; i < sizeof strokes / sizeof *strokes; i++)
        if (strokes[i].name == c)
            return &strokes[i];
    return NULL;
}

/* Which of n pieces the cell `at` of a stretched glyph belongs to: the pieces are `cells` long each. */
static int piece_at(const int cells[], int n, int at)
{
    int i = 0;
    for (; i + 1 < n && at >= cells[i]; i++)
        at -= cells[i];
    return i;
}

/* How often the strokes' own thickness fits: 1 below ten rows, 2 from there on, 3 from fifteen. */
static int thick_of(int rows)
{
    return rows / TALL;
}

/* A glyph stretched to `rows` rows: its bars (first, third and fifth row, outer two columns on each side) keep one
 * thickness, what is left goes to the rows and columns between them. So a 3 stays a 3 at any size. */
static char glyph_at(const struct glyph *glyph, int row, int col, int rows)
{
    int thick = thick_of(rows), tall = rows - 3 * thick, broad = BROAD * rows / TALL - 4 * thick;
    const int down[TALL] = {thick, tall / 2, thick, tall - tall / 2, thick};
    const int across[BROAD] = {thick, thick, broad / 2, broad - broad / 2, thick, thick};
    bool narrow = strlen(glyph->rows[0]) < BROAD; /* a point, a comma, an I: no space within to stretch */
    return glyph->rows[piece_at(down, TALL, row)][narrow ? col / thick : piece_at(across, BROAD, col)];
}

/* Columns of one character. Every figure is as broad as the others, so the point stands still while they change. */
static int glyph_width(char32_t c, int rows)
{
    if (rows < TALL) {
        const struct stroke *stroke = c < 0x80 ? stroke_of((char)c) : NULL;
        return stroke ? (int)strlen(stroke->rows[0]) : 3;
    }
    const struct glyph *glyph = glyph_of(c);
    int width = glyph ? (int)strlen(glyph->rows[0]) : BROAD;
    return width == BROAD ? BROAD * rows / TALL : width * thick_of(rows);
}

/* Rows of the character at i: figures finer than the tolerance are about half as high as the others. */
static int rows_of(const struct figure_style *style, size_t i)
{
    bool half = style->half_at >= 0 && i >= (size_t)style->half_at;
    if (half)
        return style->rows >= 9 ? TALL : 3;
    return style->rows < TALL ? 3 : style->rows;
}

/* Columns between two characters. */
static int gap_of(int rows)
{
    return rows == 3 ? 1 : 2;
}

int figures_width(const char *text, const struct figure_style *style)
{
    int width = 0;
    for (size_t i = 0; text[i]; i++) {
        int rows = rows_of(style, i);
        width += glyph_width((char32_t)text[i], rows) + (text[i + 1] ? gap_of(rows) : 0);
    }
    return width;
}

/* The brush: what is not live is dotted, whatever the terminal can show. */
static char32_t dot_of(const struct grid *g, enum figure_life life)
{
    if (life == FIGURE_LIVE)
        return g->utf8 ? 0x2588 : '#'; /* full block */
    return ':';
}

/* Three rows: a figure of strokes, its own characters where live. */
static void draw_strokes(struct grid *g, int row, int col, char c, enum figure_life life, unsigned ink)
{
    const struct stroke *stroke = stroke_of(c);
    for (int r = 0; stroke && r < 3; r++)
        for (int i = 0; stroke->rows[r][i]; i++)
            if (stroke->rows[r][i] != ' ')
                grid_char(g, row + r, col + i, life == FIGURE_LIVE ? (char32_t)stroke->rows[r][i] : ':', ink);
}

/* Five rows and more: one cell of the grid for each `#` of the stretched glyph. */
static void draw_glyph(struct grid *g, int row, int col, const struct glyph *glyph, int rows, char32_t dot,
                       unsigned ink)
{
    int width = glyph_width(glyph->name, rows);
    for (int r = 0; r < rows; r++)
        for (int i = 0; i < width; i++)
            if ((rows == TALL ? glyph->rows[r][i] : glyph_at(glyph, r, i, rows)) == '#')
                grid_char(g, row + r, col + i, dot, ink);
}

/* Characters of both heights stand on one line. The line through a dead figure runs over its middle row and one
 * column beyond it on both sides, so that no single figure can be taken for a live one. */
int figures_draw(struct grid *g, int row, int col, const char *text, const struct figure_style *style)
{
    int full = rows_of(&(struct figure_style){.rows = style->rows, .half_at = -1}, 0);
    int from = col, first = -1;
    for (size_t i = 0; text[i]; i++) {
        int rows = rows_of(style, i);
        const struct glyph *glyph = glyph_of((char32_t)text[i]);
        if (rows < TALL)
            draw_strokes(g, row + full - 3, col, text[i], style->life, style->ink | INK_BOLD);
        else if (glyph) /* all of them stand on one line */
            draw_glyph(g, row + full - rows, col, glyph, rows, dot_of(g, style->life), style->ink);
        if (first < 0 && text[i] != ' ')
            first = col;
        col += glyph_width((char32_t)text[i], rows) + (text[i + 1] ? gap_of(rows) : 0);
    }
    if (style->life == FIGURE_DEAD) /* the proof-reader's line through what does not hold */
        grid_run(g, row + full / 2, (first < 0 ? from : first) - 1, col + 1, g->utf8 ? 0x2501 : '-',
                 style->ink & ~(unsigned)INK_DIM);
    return col;
}

/* The next letter of a word as a capital; 0 at its end. */
static char32_t next_letter(const char **word)
{
    size_t n;
    char32_t c = utf8_next(*word, &n);
    *word += n;
    bool small = (c >= 'a' && c <= 'z') || c == 0xE4 || c == 0xF6 || c == 0xFC;
    return n == 0 ? 0 : small ? c - 0x20 : c;
}

/* One column between letters is enough: words are read as shapes. */
int figures_word_width(const char *word, int rows)
{
    int width = 0;
    for (char32_t c; (c = next_letter(&word)) != 0;) {
        if (!glyph_of(c))
            return 0;
        width += glyph_width(c, rows) + (width ? 1 : 0);
    }
    return width;
}

void figures_word(struct grid *g, int row, int col, const char *word, int rows, unsigned ink)
{
    for (char32_t c; (c = next_letter(&word)) != 0;) {
        const struct glyph *glyph = glyph_of(c);
        if (glyph)
            draw_glyph(g, row, col, glyph, rows, g->utf8 ? 0x2588 : '#', ink);
        col += glyph_width(c, rows) + 1;
    }
}
