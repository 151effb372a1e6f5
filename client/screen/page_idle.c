/* page_idle.c - nothing is open: what waits, newest first; after a while only the clock. It must not know a pour. */
#include "client/screen/page.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { COL_BATCH_NAME = COL_NAME + 1 };

/* Whose it is: below the open line, as the line itself has no room for it. Rows used. */
static int paint_owner(const struct paint *p, int row, const json_t *batch)
{
    const char *order = shown_text(batch, "order"), *painter = shown_text(batch, "painter");
    char text[LINE_ROOM] = "";
    if (order[0])
        model_text(p->m, say("page.order order=%s", order), text, sizeof text);
    size_t n = strlen(text);
    snprintf(text + n, sizeof text - n, "%s%.200s", n && painter[0] ? "   " : "", painter);
    if (text[0])
        grid_text(p->g, row, COL_BATCH_NAME, p->g->cols - END_PAGE - COL_BATCH_NAME, text, INK_PLAIN);
    return text[0] != '\0';
}

static void paint_batch_line(const struct paint *p, int row, size_t i, const json_t *batch)
{
    bool open = p->m->view.line == i + 1;
    char text[LINE_ROOM], weight[NUMBER_ROOM], hour[6];
    unsigned ink = open ? INK_BOLD : INK_PLAIN;
    const char *state = strcmp(shown_text(batch, "state"), "open") == 0 ? "page.open" : "page.held";
    paint_digit(p, row, (int)i + 1, i < 9, open);
    grid_text(p->g, row, COL_CODE - 1, 7, shown_text(batch, "batch"), INK_BOLD);
    lists_finished(batch, hour);
    grid_text_right(p->g, row, p->g->cols - END_PAGE,
                    hour[0]              ? hour
                    : lists_waits(batch) ? paint_word(p, state)
                                         : paint_word(p, "page.done"),
                    ink);
    int end = p->g->cols - 11;
    if (isfinite(shown_number(batch, "total_g"))) {
        number_weight(&p->m->style, shown_number(batch, "total_g"), false, weight, sizeof weight);
        snprintf(text, sizeof text, "%s g", weight);
        end = grid_text_right(p->g, row, end, text, ink);
    }
    snprintf(text, sizeof text, "%s  %s  %s  %s", shown_text(batch, "formula"), shown_text(batch, "name"),
             model_name(p->m, "coat", shown_text(batch, "coat")), shown_text(batch, "variant"));
    int col = paint_words(p, row, COL_BATCH_NAME, end - 2 - COL_BATCH_NAME, text, ink);
    snprintf(text, sizeof text, "  %s", shown_text(batch, "order"));
    if (!open && text[2] && col + grid_width(p->g, text) < end - 1)
        grid_text(p->g, row, col, end - 1 - col, text, ink);
}

/* What ails scale or link, with what helps: the foot line names the next move of an idle bench. Rows used. */
static int paint_trouble(const struct paint *p, int row)
{
    const struct model *m = p->m;
    int end = p->g->cols - END_PAGE;
    char text[LINE_ROOM];
    if (!m->linked)
        return paint_wrap(p, row, COL_CODE, end, 2, paint_word(p, "page.lost"), INK_RUBRIC);
    if (!m->bench.trouble)
        return paint_wrap(p, row, COL_CODE, end, 2, paint_word(p, "page.no_weight_yet"), INK_RUBRIC);
    int used = paint_wrap(p, row, COL_CODE, end, 2, model_sentence(m, m->bench.trouble, text, sizeof text), INK_RUBRIC);
    return used +
           paint_wrap(p, row + used, COL_CODE, end, 2, model_sentence(m, m->bench.mend, text, sizeof text), INK_PLAIN);
}

static int paint_weight(const struct paint *p, int row)
{
    char g[NUMBER_ROOM], text[NUMBER_ROOM + 4];
    if (p->dead)
        return paint_trouble(p, row);
    if (p->life != LIFE_LIVE)
        return 1;
    snprintf(text, sizeof text, "%s g", number_weight(&p->m->style, p->m->weight.g, false, g, sizeof g));
    grid_text_right(p->g, row, p->g->cols - END_PAGE, text, INK_PLAIN);
    grid_text(p->g, row, COL_CODE, 40,
              paint_word(p, lists_batch(&p->m->lists, 0) ? "page.today" : "page.nothing_today"), INK_PLAIN);
    return 1;
}

void page_idle(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    if (p->now.ms - m->view.touched_ms >= DROWSY_MS) {
        int minutes = (int)(((p->now.wall_s % 86400) + 86400) % 86400 / 60);
        char clock[16];
        snprintf(clock, sizeof clock, "%02d:%02d", minutes / 60, minutes % 60);
        grid_run(p->g, 0, 0, p->g->cols, ' ', INK_PLAIN);
        grid_text(p->g, (from + to) / 2, COL_CODE, 20, clock, INK_DIM);
        grid_text(p->g, (from + to) / 2, COL_NAME + 2, 20, paint_word(p, "page.idle"), INK_DIM);
        return;
    }
    paint_rule(p, from, '-', 0x2500);
    grid_text(p->g, from + 1, COL_MARGIN, COL_CODE - COL_MARGIN, paint_word(p, "page.now"), INK_PLAIN);
    int row = from + 2 + paint_weight(p, from + 1);
    size_t room = to > row + 1 ? (size_t)(to - row - 1) : 0, first = 0;
    if (m->view.line > room)
        first = m->view.line - room;
    const json_t *batch;
    for (size_t i = first; row < to && (batch = lists_batch(&m->lists, i)); i++) {
        paint_batch_line(p, row++, i, batch);
        if (m->view.line == i + 1 && row < to)
            row += paint_owner(p, row, batch);
    }
}
