/* page_pour.c - the pour itself: cup, pour, taking out, lifted, and the same line when it dies. */
#include "client/screen/paint.h"
#include "client/screen/ruler.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { WIDE_COLS = 110, WIDE_ROWS = 26, TALL_ROWS = 34, FULL_COLS = 80, SMALL_RULER = 60 };

/* Where the parts of the page stand. What there is no room for is given up in this order: the blank rows, the `then`
 * line, the second next line, the line done before, the first next line. */
struct plan {
    int done, rule, now, figures, figure_rows, below, tooth, ruler, next, end; /* rows; done and below: -1 if none */
};

static bool take(int *spare, int rows)
{
    if (*spare < rows)
        return false;
    *spare -= rows;
    return true;
}

static struct plan plan_rows(const struct paint *p, int from, int to)
{
    struct plan l = {.done = -1, .below = -1, .end = to};
    int have = to - from;
    l.figure_rows = p->g->cols < FULL_COLS ? 3 : p->g->cols >= WIDE_COLS && p->g->rows >= TALL_ROWS ? 7 : 5;
    if (have < 6 + l.figure_rows)
        l.figure_rows = 3;
    int spare = have - 6 - l.figure_rows;
    bool next = take(&spare, 1), done = take(&spare, 1);
    int more = take(&spare, 1) + take(&spare, 1);
    bool above = take(&spare, 1), below = take(&spare, 1), after = take(&spare, 1);
    int row = from;
    if (done)
        l.done = row++;
    l.rule = row++;
    l.now = row++;
    l.figures = row + above;
    row = l.figures + l.figure_rows;
    if (below)
        l.below = row++;
    l.tooth = row;
    l.ruler = row + 2;
    l.next = l.ruler + 2 + after;
    l.end = spare > 0 ? to - 1 : to; /* a blank row before the footnote where there is one to spare */
    if (!next && !more)
        l.next = l.end;
    return l;
}

static void now_right(const struct paint *p, int row)
{
    const struct bench *b = &p->m->bench;
    const struct bench_now *n = &b->now;
    char aim[48], in_cup[48], text[128] = "";
    bool live = p->trouble.kind == TROUBLE_NONE && p->life == LIFE_LIVE;
    words_weight(&p->m->words, fabs(n->aim_g), aim, sizeof aim);
    words_weight(&p->m->words, fabs(model_in_cup_g(p->m)), in_cup, sizeof in_cup);
    if (b->state == BENCH_CUP && isfinite(b->total_g)) {
        words_weight(&p->m->words, b->total_g, aim, sizeof aim);
        snprintf(text, sizeof text, "the batch becomes %s g", aim);
    } else if (n->take_out) {
        snprintf(text, sizeof text, live ? "to take out %s   out %s" : "to take out %s", aim, in_cup);
    } else if (isfinite(n->aim_g)) {
        snprintf(text, sizeof text, live ? "aim %s   in cup %s" : "aim %s", aim, in_cup);
    }
    grid_text_right(p->g, row, p->g->cols - END_PAGE, text, INK_PLAIN);
}

static void paint_now(const struct paint *p, int row)
{
    const struct bench *b = &p->m->bench;
    const struct bench_step *step = model_open_step(p->m);
    const char *margin = "now", *code = b->now.toner, *name = b->now.name;
    if (b->state == BENCH_CUP) {
        code = "cup";
        name = b->n_steps ? "" : "empty";
    } else if (b->now.take_out) {
        margin = "";
        code = "take out";
        name = "stir first";
    } else if (step && step->state == STEP_AGAIN) {
        margin = "again";
    }
    grid_text(p->g, row, COL_MARGIN, COL_CODE - COL_MARGIN, margin, INK_PLAIN);
    int col = grid_text(p->g, row, COL_CODE, p->g->cols - COL_CODE, code, INK_BOLD) + 2;
    if (col < COL_NAME)
        col = COL_NAME;
    int room = p->g->cols - END_PAGE - 30 - col; /* aim and in cup stand on the right */
    grid_text(p->g, row, col, room, name, INK_PLAIN);
    now_right(p, row);
}

static void spaced(const char *text, char *buf, size_t size)
{
    size_t n = 0;
    for (; *text && n + 3 < size; text++) {
        buf[n++] = *text;
        if (text[1])
            buf[n++] = ' ';
    }
    buf[n] = '\0';
}

/* Words that are not cues, plain and spaced, with their sign before them. */
static void paint_plain(const struct paint *p, int row, const char *sign, const char *sign_below, const char *word)
{
    char text[64];
    spaced(word, text, sizeof text);
    int from = grid_text_right(p->g, row, p->g->cols - END_CUE, text, INK_BOLD);
    int at = from - 3 - (int)strlen(sign);
    grid_text(p->g, row, at, from - at, sign, INK_BOLD);
    grid_text(p->g, row + 1, at, from - at, sign_below, INK_BOLD);
}

/* The cue in block letters where the figures leave room for them, else as a word. */
static void paint_cue(const struct paint *p, const struct plan *l, int used)
{
    static const char *const blocks[] = {"", "POUR", "EASE", "STOP", "", "OVER"};
    enum cue cue = p->m->cue;
    int middle = l->figures + l->figure_rows / 2;
    if (p->trouble.kind == TROUBLE_LIFTED) {
        paint_plain(p, middle, "", "", "LIFTED");
    } else if (p->trouble.kind != TROUBLE_NONE) {
        paint_plain(p, middle, "", "", "NO WEIGHT");
    } else if (p->life == LIFE_LIVE && cue == CUE_OK) {
        paint_plain(p, middle, "| ## |", "|_##_|", "ON AIM");
    } else if (p->life == LIFE_LIVE && cue != CUE_NONE) {
        unsigned ink = cue == CUE_OVER ? INK_RUBRIC : INK_PLAIN;
        int from = p->g->cols - END_CUE - figures_word_width(blocks[cue], l->figure_rows);
        bool block = l->figure_rows >= 5 && from >= used + 2;
        if (block)
            figures_word(p->g, l->figures, from, blocks[cue], l->figure_rows, ink);
        else
            from = grid_text_right(p->g, middle, p->g->cols - END_CUE, bench_cue_name(cue), INK_BOLD | ink);
        if (cue == CUE_OVER && from >= used + 4)
            grid_text(p->g, middle, from - 3, 2, "/\\", INK_BOLD | ink);
    }
}

static void paint_reason(const struct paint *p, const struct plan *l)
{
    int row = l->below >= 0 ? l->below : l->tooth;
    int end = p->g->cols - END_PAGE;
    unsigned ink = p->trouble.kind == TROUBLE_LIFTED ? INK_BOLD : INK_BOLD | INK_RUBRIC;
    const struct trouble *t = &p->trouble;
    char below[BENCH_TEXT * 2];
    grid_text(p->g, row, COL_CODE, end - COL_CODE, t->reason, ink);
    snprintf(below, sizeof below, "%s%s%s", t->detail, t->detail[0] && t->last[0] ? " " : "", t->last);
    bool both = grid_width(p->g, below) <= end - COL_CODE;
    grid_text(p->g, row + 1, COL_CODE, end - COL_CODE, both || !t->detail[0] ? below : t->detail, INK_PLAIN);
}

/* `0.47 L with reducer: fits 0.75 L, 1.4 L` */
static void paint_fits(const struct paint *p, int row)
{
    const struct model *m = p->m;
    char text[BENCH_TEXT], litres[48];
    if (!isfinite(m->bench.fill_ml))
        return;
    words_litres(&m->words, m->bench.fill_ml, litres, sizeof litres);
    size_t n = (size_t)snprintf(text, sizeof text, "%s ready to spray", litres);
    const char *before = ": fits a cup of ";
    for (size_t i = 0; i < m->n_cups && n + 64 < sizeof text; i++) {
        if (m->cups[i].ml * m->cups[i].fill_pct / 100 < m->bench.fill_ml)
            continue;
        words_litres(&m->words, m->cups[i].ml, litres, sizeof litres);
        n += (size_t)snprintf(text + n, sizeof text - n, "%s%s", before, litres);
        before = ", ";
    }
    grid_text(p->g, row, COL_CODE, p->g->cols - END_PAGE - COL_CODE, text, INK_PLAIN);
}

static void paint_ruler(const struct paint *p, const struct plan *l)
{
    const struct bench_now *n = &p->m->bench.now;
    const struct bench_step *step = model_open_step(p->m);
    struct ruler ruler;
    double span = step ? bench_step_open_g(step) : n->aim_g;
    int cols = p->g->cols < FULL_COLS ? SMALL_RULER : p->g->cols;
    if (n->take_out || !ruler_make(&ruler, cols, span > n->tolerance_g ? span : n->aim_g, n->tolerance_g))
        return;
    struct ruler_look look = {.to_go_g = model_to_go_g(p->m),
                              .lands_at_g = model_landing_g(p->m, p->now),
                              .point = p->m->words.point,
                              .dead = p->trouble.kind != TROUBLE_NONE || p->life != LIFE_LIVE,
                              .mute = p->trouble.kind == TROUBLE_LIMIT || (p->trouble.kind && l->below < 0),
                              .tooth_ink = p->m->cue == CUE_OVER ? INK_RUBRIC : INK_PLAIN};
    ruler_draw(p->g, l->tooth, &ruler, &look);
}

static void paint_below(const struct paint *p, const struct plan *l)
{
    bool wide = p->g->cols >= WIDE_COLS && p->g->rows >= WIDE_ROWS;
    if (wide || p->m->view.list_until_ms)
        paint_formula(p, l->next, l->end, p->m->view.list_from);
    else
        paint_next(p, l->next, l->end);
}

static void paint_edge(const struct paint *p, int row)
{
    if (p->m->cue == CUE_EASE)
        grid_run(p->g, row, 0, p->g->cols, p->g->utf8 ? 0x2571 : '/', INK_BOLD);
    else if (p->m->cue == CUE_OVER)
        paint_rule(p, row, '=', 0x2550);
    else if (p->m->cue != CUE_STOP)
        paint_rule(p, row, '-', 0x2500);
}

void page_pour(const struct paint *p, int from, int to)
{
    struct plan l = plan_rows(p, from, to);
    const struct bench_step *done = paint_last_done(p->m);
    if (l.done >= 0 && done)
        paint_step(p, l.done, done, "done");
    paint_edge(p, l.rule);
    paint_now(p, l.now);
    struct main_figure f;
    paint_figure(p, l.figure_rows, &f);
    int room = p->g->cols - COL_CODE - (int)strlen(f.words) - 4;
    if (figures_width(f.text, &f.style) > room)
        f.style.rows = 3;
    int base = l.figures + l.figure_rows - f.style.rows;
    int used = figures_draw(p->g, base, COL_CODE, f.text, &f.style) + 2;
    used = grid_text(p->g, l.figures + l.figure_rows - 1, used, p->g->cols - used, f.words, f.style.ink);
    paint_cue(p, &l, used);
    bool pour = p->m->bench.state == BENCH_POUR;
    if (pour)
        paint_ruler(p, &l);
    else if (p->trouble.kind == TROUBLE_NONE)
        paint_fits(p, l.tooth);
    if (p->trouble.kind != TROUBLE_NONE && (pour || p->trouble.kind != TROUBLE_LIFTED))
        paint_reason(p, &l);
    paint_below(p, &l);
    if (p->m->cue == CUE_STOP && p->life == LIFE_LIVE)
        grid_reverse_rows(p->g, l.rule, l.ruler + 2);
}
