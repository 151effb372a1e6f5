#include "client/screen/page.h"

#include "client/screen/paint.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LEAST_COLS = 60, LEAST_ROWS = 16 };

static double larger(double a, double b)
{
    return !(a > b) ? b : a; /* b where a is NAN */
}

/* The text padded on the left to the length that the aim has, so that the point does not move within a step. */
static void padded(const struct words *w, double value, double widest, char *buf, size_t size)
{
    char number[32], measure[32];
    struct words plain = *w;
    plain.utf8 = false; /* figures have a minus of their own */
    words_weight(&plain, value, number, sizeof number);
    words_weight(&plain, widest, measure, sizeof measure);
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

static const char *figure_words(const struct paint *p, double to_go)
{
    const struct bench *b = &p->m->bench;
    if (b->state != BENCH_POUR && b->state != BENCH_OVER)
        return "g";
    if (b->now.take_out)
        return to_go > 0 ? "g too much" : "g to take out";
    if (!isfinite(b->now.to_go_g))
        return "g in cup";
    if (to_go >= 0)
        return "g to go";
    return p->m->cue == CUE_OVER || b->state == BENCH_OVER ? "g over" : "g past";
}

/* What the figure counts: what is to go, the pan's weight where no pour is open. */
static double figure_value(const struct paint *p)
{
    const struct bench *b = &p->m->bench;
    if (b->state != BENCH_POUR && b->state != BENCH_OVER)
        return p->m->weight.known ? p->m->weight.g : (double)NAN;
    double to_go = b->state == BENCH_OVER ? b->now.to_go_g : model_to_go_g(p->m);
    return isfinite(b->now.to_go_g) ? to_go : model_in_cup_g(p->m);
}

void paint_figure(const struct paint *p, int rows, struct main_figure *f)
{
    const struct bench *b = &p->m->bench;
    double value = figure_value(p);
    bool pour = b->state == BENCH_POUR || b->state == BENCH_OVER;
    bool to_go = pour && isfinite(b->now.to_go_g);
    double tolerance = to_go ? b->now.tolerance_g : (double)NAN;
    double widest = pour ? larger(fabs(b->now.aim_g), 1) : 100;
    bool none = !isfinite(value) || p->trouble.kind == TROUBLE_LIMIT;
    padded(&p->m->words, none ? 0 : to_go ? fabs(value) : value, widest, f->text, sizeof f->text);
    for (char *c = f->text; none && *c; c++)
        if (*c >= '0' && *c <= '9')
            *c = '-';
    f->words = figure_words(p, value);
    f->style = (struct figure_style){rows, finer_at(f->text, tolerance), FIGURE_LIVE, INK_PLAIN};
    bool dead = p->trouble.kind != TROUBLE_NONE && !(p->trouble.kind == TROUBLE_LIFTED && !pour);
    if (b->state == BENCH_OVER)
        return; /* what was accepted is a fact, whatever the scale says now */
    if (dead) {
        f->style.life = none ? FIGURE_GREY : FIGURE_DEAD;
        f->style.ink = INK_DIM;
        f->words = "";
    } else if (p->life == LIFE_GREY) {
        f->style.life = FIGURE_GREY;
        f->style.ink = INK_DIM;
    }
}

static const char *tiny_cue(const struct paint *p)
{
    const struct model *m = p->m;
    if (p->trouble.kind == TROUBLE_LIFTED)
        return "lifted";
    if (p->trouble.kind != TROUBLE_NONE)
        return "no weight";
    return m->cue == CUE_OK ? "on aim" : bench_cue_name(m->cue);
}

static void tiny_text(const struct paint *p, char *buf, size_t size)
{
    const struct model *m = p->m;
    const struct bench *b = &m->bench;
    struct main_figure f;
    paint_figure(p, 3, &f);
    const char *figure = f.text + strspn(f.text, " ");
    const char *code = b->now.take_out ? "take out" : b->now.toner;
    if (p->trouble.kind != TROUBLE_NONE && b->state <= BENCH_POUR)
        snprintf(buf, size, "%s no figure  %s", b->state == BENCH_POUR ? code : "", tiny_cue(p));
    else if (b->state == BENCH_POUR && p->life == LIFE_LIVE)
        snprintf(buf, size, "%s %s %s  %s", code, figure, f.words, tiny_cue(p));
    else if (b->state == BENCH_POUR)
        snprintf(buf, size, "%s (%s %s)", code, figure, f.words); /* greying: no cue from an old weight */
    else if (b->state == BENCH_OVER)
        snprintf(buf, size, "%s %s g over", code, figure);
    else if (b->state == BENCH_CUP && p->life == LIFE_LIVE)
        snprintf(buf, size, "cup %s g", figure);
    else
        snprintf(buf, size, "%s", b->state == BENCH_DONE ? "done" : b->state == BENCH_CUP ? "cup" : "idle");
}

void page_tiny(const struct paint *p)
{
    char text[BENCH_TEXT];
    struct sill s;
    tiny_text(p, text, sizeof text);
    sill_of(p->m, p->now, &s);
    const char *at = text + strspn(text, " ");
    unsigned ink = INK_BOLD | (p->m->cue == CUE_STOP ? INK_REVERSE : 0u);
    grid_text(p->g, 0, 0, p->g->cols, at, ink);
    /* One line is asked for; where there are more, the last one says the next move and the one above what went wrong.
     */
    if (p->g->rows > 1) {
        int col = grid_text(p->g, p->g->rows - 1, 0, p->g->cols, s.kind == SILL_KEY ? "[Enter] " : "", INK_BOLD);
        grid_text(p->g, p->g->rows - 1, col, p->g->cols - col, s.text, INK_PLAIN);
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
    grid_clear(g, cols, rows, m->words.utf8);
    struct paint p = {.m = m, .now = now, .g = g, .life = model_life(m, now)};
    trouble_of(m, now, &p.trouble);
    if (g->cols < LEAST_COLS || g->rows < LEAST_ROWS) {
        page_tiny(&p);
        return;
    }
    int foot;
    int from = paint_frame(&p, &foot);
    body(&p, from, foot);
}
