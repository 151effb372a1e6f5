/* page.c - which page is drawn, and the page that is one line. It must not work out a weight: to go, in cup and the cue
 * are the daemon's. */
#include "client/screen/page.h"

#include "client/screen/menu.h"
#include "client/screen/paint.h"

#include <stdio.h>
#include <string.h>

enum { LEAST_COLS = 60, LEAST_ROWS = 16 }; /* a smaller terminal gets one line */

static void tiny_text(const struct paint *p, char *buf, size_t size)
{
    const struct shown *b = &p->m->bench;
    struct main_figure f;
    paint_figure(p, 3, &f);
    const char *figure = f.text + strspn(f.text, " ");
    const char *code = b->now.take_out ? paint_word(p, "page.take_out") : b->now.toner;
    const char *dead = paint_word(p, b->lifted ? "page.lifted" : "page.no_weight");
    if (p->dead && b->state <= BENCH_POUR)
        snprintf(buf, size, "%s  %s", b->state == BENCH_POUR ? code : "", dead);
    else if (b->state == BENCH_POUR && p->life == LIFE_LIVE)
        snprintf(buf, size, "%s %s %s  %s", code, figure, f.words, paint_cue_word(p, p->m->cue));
    else if (b->state == BENCH_POUR)
        snprintf(buf, size, "%s (%s %s)", code, figure, f.words); /* greying: no cue from an old weight */
    else if (b->state == BENCH_OVER)
        snprintf(buf, size, "%s %s %s", code, figure, f.words);
    else if (b->state == BENCH_CUP && p->life == LIFE_LIVE)
        snprintf(buf, size, "%s %s g", paint_word(p, "page.cup"), figure);
    else
        snprintf(buf, size, "%s",
                 paint_word(p, b->state == BENCH_DONE  ? "page.done"
                               : b->state == BENCH_CUP ? "page.cup"
                                                       : "page.idle"));
}

/* The choices of an overpour, as many as fit: a digit and its word each. */
static void tiny_remedies(const struct paint *p, int row, int col)
{
    static const char *const names[] = {"page.remedy_grow", "page.remedy_dip", "page.remedy_leave", "page.remedy_again",
                                        "page.remedy_rescue"};
    for (int digit = 1; digit <= MENU_REMEDIES; digit++) {
        char text[64];
        if (!menu_remedy_open(p->m, digit))
            continue;
        snprintf(text, sizeof text, "%d %s", digit, paint_word(p, names[digit - 1]));
        if (col + grid_width(p->g, text) > p->g->cols && row + 2 < p->g->rows) {
            row++;
            col = 0;
        }
        unsigned ink = p->m->view.choice == digit ? INK_REVERSE | INK_BOLD : INK_PLAIN;
        col = grid_text(p->g, row, col, p->g->cols - col, text, ink) + 2;
    }
}

/* Below 60x16: one line, the choices of an overpour, and the foot line where there is a second one. */
static void page_tiny(const struct paint *p)
{
    char text[LINE_ROOM];
    struct footline f;
    tiny_text(p, text, sizeof text);
    footline_of(p->m, p->now, &f);
    unsigned ink = INK_BOLD | (p->m->cue == CUE_STOP ? INK_REVERSE : 0u);
    int col = grid_text(p->g, 0, 0, p->g->cols, text + strspn(text, " "), ink);
    if (p->m->bench.state == BENCH_OVER)
        tiny_remedies(p, 0, col + 2);
    /* One line is asked for; where there are more, the last one says the next move and the one above what went wrong.
     */
    if (p->g->rows > 1) {
        int at = f.kind == FOOTLINE_KEY
                     ? grid_text(p->g, p->g->rows - 1, 0, p->g->cols, paint_word(p, "key.enter"), INK_BOLD) + 1
                     : 0;
        grid_text(p->g, p->g->rows - 1, at, p->g->cols - at, f.text, INK_PLAIN);
    }
    if (p->g->rows > 2)
        grid_text(p->g, p->g->rows - 2, 0, p->g->cols, p->m->foot, INK_RUBRIC);
}

static void body(const struct paint *p, int from, int foot)
{
    if (p->m->view.page != PAGE_BENCH) {
        page_beside(p, from, foot);
        return;
    }
    switch (p->m->bench.state) {
    case BENCH_IDLE:
        page_idle(p, from, foot);
        break;
    case BENCH_CUP:
    case BENCH_POUR:
        page_pour(p, from, foot);
        break;
    case BENCH_OVER:
        page_over(p, from, foot);
        break;
    case BENCH_DONE:
        page_done(p, from, foot);
        break;
    }
}

void page_draw(const struct model *m, struct moment now, int cols, int rows, struct grid *g)
{
    grid_clear(g, cols, rows, m->utf8);
    struct paint p = {.m = m, .now = now, .g = g, .life = model_life(m, now), .dead = model_dead(m, now)};
    if (g->cols < LEAST_COLS || g->rows < LEAST_ROWS) {
        page_tiny(&p);
        return;
    }
    int foot;
    int from = paint_frame(&p, &foot);
    body(&p, from, foot);
}
