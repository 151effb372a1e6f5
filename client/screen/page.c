/* page.c - which page is drawn, the large figure that they share, and the page that is one line. It must not work out
 * a weight: to go, in cup and the cue are the daemon's. */
#include "client/screen/page.h"

#include "client/screen/menu.h"
#include "client/screen/paint.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LEAST_COLS = 60, LEAST_ROWS = 16 };

/* The text padded on the left to the length that the aim has, so that the point does not move within a step. */
static void padded(const struct model *m, double value, double widest, char *buf, size_t size)
{
    char number[NUMBER_ROOM], measure[NUMBER_ROOM];
    struct number_style plain = m->style;
    plain.minus = false; /* figures have a minus of their own */
    number_weight(&plain, value, false, number, sizeof number);
    number_weight(&plain, widest, false, measure, sizeof measure);
    size_t n = strlen(number), least = strlen(measure);
    snprintf(buf, size, "%*s%s", n < least ? (int)(least - n) : 0, "", number);
}

/* The first character finer than the tolerance, or -1. */
static int finer_at(const char *text, double tolerance_g)
{
    const char *point = strpbrk(text, ".,");
    if (!point || !isfinite(tolerance_g))
        return -1;
    double place = 0.1;
    for (const char *digit = point + 1; *digit; digit++) {
        if (place * 10 <= tolerance_g + 1e-9)
            return (int)(digit - text);
        place /= 10;
    }
    return -1;
}

/* What the figure counts: to go, or by eye what is in the cup; the pan's weight where no pour is open. */
static double figure_value(const struct paint *p)
{
    const struct shown *b = &p->m->bench;
    if (b->state != BENCH_POUR && b->state != BENCH_OVER)
        return p->m->weight.known ? p->m->weight.g : (double)NAN;
    return isfinite(b->now.to_go_g) ? b->now.to_go_g : b->now.in_cup_g;
}

static const char *figure_words(const struct paint *p, double value)
{
    const struct shown *b = &p->m->bench;
    if (b->state != BENCH_POUR && b->state != BENCH_OVER)
        return "g";
    if (b->now.take_out)
        return paint_word(p, value >= p->m->style.d_g / 2 ? "page.g_too_much" : "page.g_to_take_out");
    if (!isfinite(b->now.to_go_g))
        return paint_word(p, "page.g_in_cup");
    if (value >= 0)
        return paint_word(p, "page.g_to_go");
    return paint_word(p, p->m->cue == CUE_OVER || b->state == BENCH_OVER ? "page.g_over" : "page.g_past");
}

void paint_figure(const struct paint *p, int rows, struct main_figure *f)
{
    const struct shown *b = &p->m->bench;
    double value = figure_value(p), aim = fabs(b->now.aim_g);
    bool pour = b->state == BENCH_POUR || b->state == BENCH_OVER;
    bool to_go = pour && isfinite(b->now.to_go_g);
    double widest = !pour ? 100 : aim > 1 ? aim : 1;
    bool none = !isfinite(value) || (p->m->weight.none && b->state != BENCH_OVER);
    padded(p->m, none ? 0 : to_go ? fabs(value) : value, widest, f->text, sizeof f->text);
    for (char *c = f->text; none && *c; c++)
        if (*c >= '0' && *c <= '9')
            *c = '-';
    f->words = figure_words(p, value);
    f->style = (struct figure_style){rows, finer_at(f->text, to_go ? b->now.tolerance_g : (double)NAN), FIGURE_LIVE,
                                     INK_PLAIN};
    if (b->state == BENCH_OVER)
        return; /* what was accepted is a fact, whatever the scale says now */
    if (p->dead) {
        f->style.life = none ? FIGURE_GREY : FIGURE_DEAD;
        f->style.ink = INK_DIM;
        f->words = "";
    } else if (p->life == LIFE_GREY) {
        f->style.life = FIGURE_GREY;
        f->style.ink = INK_DIM;
    }
}

const char *paint_cue_word(const struct paint *p, enum cue cue)
{
    static const char *const codes[] = {NULL,          "page.cue_pour", "page.cue_ease", "page.cue_stop",
                                        "page.on_aim", "page.cue_over"};
    return codes[cue] ? paint_word(p, codes[cue]) : "";
}

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

void page_tiny(const struct paint *p)
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
