/* page_entry.c - how the lists of the day look: a line each, with its detail below where there is room; and the pages
 * that belong to them: a cup weighed back. It must not know what a line does:
 * entry.h says it. */
#include "client/screen/entry.h"
#include "client/screen/page.h"
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

/* One line; what must go is dim, since a terminal strikes nothing out, and its reason says why. The open one is shown
 * whole where there are rows for it. Rows used, at most `most`. */
static int paint_entry(const struct paint *p, int row, int most, size_t n, const struct entry *e)
{
    bool open = p->m->view.line == n;
    unsigned ink = e->gone ? INK_DIM : open ? INK_BOLD : INK_PLAIN;
    int end = p->g->cols - END_PAGE;
    paint_digit(p, row, (int)n + 1, n < 9, open);
    if (e->figure[0])
        end = grid_text_right(p->g, row, end, e->figure, ink) - 2;
    if (open && grid_width(p->g, e->text) > end - COL_CODE)
        return paint_wrap(p, row, COL_CODE, end, most < 3 ? most : 3, e->text, ink);
    paint_words(p, row, COL_CODE, end - COL_CODE, e->text, ink);
    return 1;
}

/* What is wrong with it comes first: it is what must be read. Rows used, at most `most`. */
static int paint_detail(const struct paint *p, int row, int most, const struct entry *e)
{
    int end = p->g->cols - END_PAGE, used = 0;
    if (e->why[0] && used < most)
        used += paint_wrap(p, row, COL_NAME, end, most < 2 ? most : 2, e->why, INK_RUBRIC);
    if (e->detail[0] && used < most)
        used += paint_wrap(p, row + used, COL_NAME, end, most - used < 2 ? most - used : 2, e->detail, INK_PLAIN);
    return used;
}

/* Rows that all lines take with their details below them. */
static int rows_of_all(const struct paint *p, size_t count)
{
    struct entry e;
    int rows = 0, end = p->g->cols - END_PAGE;
    for (size_t i = 0; i < count && entry_at(p->m, i, &e); i++)
        rows += 1 + (e.why[0] ? paint_wrap(p, -1, COL_NAME, end, 2, e.why, INK_PLAIN) : 0) +
                (e.detail[0] ? paint_wrap(p, -1, COL_NAME, end, 2, e.detail, INK_PLAIN) : 0);
    return rows;
}

/* Details stand below each line where all of them fit, else below the open one alone, and the list follows it. */
void page_entry(const struct paint *p, int from, int to)
{
    char text[LINE_ROOM];
    struct entry e;
    size_t open = p->m->view.line, count = entry_count(p->m);
    paint_title(p, from, entry_title(p->m, text, sizeof text));
    int row = from + 2;
    entry_under(p->m, text, sizeof text);
    if (text[0])
        row += paint_wrap(p, row, COL_CODE, p->g->cols - END_PAGE, 2, text, INK_PLAIN);
    row += to - row > (int)count + 3;
    if (count == 1 && p->m->view.page == PAGE_ROUND && row < to) { /* the bank is always there to be stirred */
        grid_text(p->g, row, COL_CODE, p->g->cols - COL_CODE, paint_word(p, "page.round_done"), INK_PLAIN);
        row += 2;
    }
    int room = to - row, below = 2; /* rows kept for the open line's detail */
    bool all = rows_of_all(p, count) <= room;
    size_t shown = room > below ? (size_t)(room - below) : 1;
    size_t first = !all && open >= shown ? open - shown + 1 : 0;
    for (size_t i = first; row < to && entry_at(p->m, i, &e); i++) {
        row += paint_entry(p, row, to - row, i, &e);
        if (all || i == open)
            row += paint_detail(p, row, to - row < 4 ? to - row : 4, &e);
    }
}

/* The cup on the scale, large, and the order that what is missing from it went to. */
void page_weigh(const struct paint *p, int from, int to)
{
    char text[LINE_ROOM], g[NUMBER_ROOM];
    int end = p->g->cols - END_PAGE;
    model_text(p->m, say("page.weigh_back_cup batch=%s", p->m->view.batch), text, sizeof text);
    paint_title(p, from, text);
    text[0] = '\0';
    entry_cup_under(p->m, text, sizeof text);
    if (from + 2 < to)
        paint_wrap(p, from + 2, COL_CODE, end, 2, text, INK_PLAIN);
    bool live = p->life == LIFE_LIVE;
    snprintf(text, sizeof text, "%s g", number_weight(&p->m->style, p->m->weight.g, false, g, sizeof g));
    if (from + 5 < to)
        grid_text(p->g, from + 5, COL_CODE, end - COL_CODE, live ? text : paint_word(p, "page.no_weight"),
                  live ? INK_BOLD : INK_DIM);
    if (from + 7 < to)
        paint_field(p, from + 7, COL_CODE, end, paint_word(p, "page.touch_up_of"), p->m->view.text, true);
}
