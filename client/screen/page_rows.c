/* page_rows.c - what the pages beside the bench are made of: a title, fields, names and lines that a digit chooses. It
 * must not know a page. */
#include "client/screen/page.h"
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

void paint_title(const struct paint *p, int row, const char *title)
{
    paint_rule(p, row, '-', 0x2500);
    grid_text(p->g, row + 1, COL_CODE, p->g->cols - COL_CODE - END_PAGE, title, INK_BOLD);
}

void paint_field(const struct paint *p, int row, int col, int end, const char *name, const char *text, bool caret)
{
    int from = grid_text(p->g, row, col, end - col, name, INK_PLAIN) + 2, room = end - from - 1;
    const char *at = text;
    while (*at && grid_width(p->g, at) > room) /* the end of what is written is what is looked at */
        at += utf8_character(at);
    from = grid_text(p->g, row, from, room, at, INK_BOLD);
    if (caret)
        grid_char(p->g, row, from, ' ', INK_REVERSE);
}

int paint_choice(const struct paint *p, int row, int digit, const char *text, const char *why, bool chosen)
{
    int end = p->g->cols - END_PAGE, width = grid_width(p->g, text), room = end - COL_CODE;
    unsigned ink = why[0] ? INK_DIM : chosen ? INK_BOLD : INK_PLAIN;
    bool draws = row >= 0, beside = width + 2 + grid_width(p->g, why) <= room;
    if (draws && (digit >= 1 || chosen))
        paint_digit(p, row, digit, why[0] == '\0', chosen);
    int rows = paint_wrap(p, row, COL_CODE, end, 2, text, ink);
    if (why[0] && !beside)
        return rows + paint_wrap(p, draws ? row + rows : -1, COL_NAME, end, 2, why, INK_DIM);
    if (draws)
        grid_text_right(p->g, row, end, why, INK_DIM);
    return rows;
}

/* A line in one row: its aside in brackets and why it is shut are left out, the digit still says it when it is pressed.
 */
static int paint_short_choice(const struct paint *p, int row, int digit, struct menu_line line, bool chosen)
{
    unsigned ink = line.why[0] ? INK_DIM : chosen ? INK_BOLD : INK_PLAIN;
    char *aside = strstr(line.text, " (");
    if (aside)
        *aside = '\0';
    paint_digit(p, row, digit, line.why[0] == '\0', chosen);
    grid_text(p->g, row, COL_CODE, p->g->cols - END_PAGE - COL_CODE, line.text, ink);
    return 1;
}

int paint_menu(const struct paint *p, int row, int to)
{
    int rows = 0, lines = 0;
    for (int digit = 1; digit <= 9; digit++) {
        struct menu_line line = menu_line(p->m, digit);
        rows += line.there ? paint_choice(p, -1, digit, line.text, line.why, false) : 0;
        lines += line.there;
    }
    bool narrow = to - row < rows;
    row += to - row - 1 >= (narrow ? lines : rows);
    for (int digit = 1; digit <= 9 && row < to; digit++) {
        struct menu_line line = menu_line(p->m, digit);
        bool chosen = p->m->view.choice == digit;
        if (line.there && narrow)
            row += paint_short_choice(p, row, digit, line, chosen);
        else if (line.there)
            row += paint_choice(p, row, digit, line.text, line.why, chosen);
    }
    return row;
}

int paint_name(const struct paint *p, int row, int col, size_t key, const char *name, bool open)
{
    char text[LINE_ROOM], digit[8] = "";
    if (key > 0)
        snprintf(digit, sizeof digit, "%zu ", key % 100);
    snprintf(text, sizeof text, open ? "[%s%.200s]" : " %s%.200s ", digit, name);
    int width = grid_width(p->g, text);
    if (col + width > p->g->cols - END_PAGE)
        return p->g->cols;
    return grid_text(p->g, row, col, width, text, open ? INK_REVERSE | INK_BOLD : INK_PLAIN) + 1;
}
