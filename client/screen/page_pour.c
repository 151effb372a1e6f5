/* page_pour.c - the pour itself: cup, pour, taking out, lifted, and the same line when it dies. It must not judge the
 * pour: the cue, the trouble and the figures are the daemon's. */
#include "client/screen/page.h"
#include "client/screen/ruler.h"

#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { WIDE_COLS = 100, WIDE_ROWS = 26, TALL_ROWS = 30, SMALL_RULER = 60 };

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

/* Aim and in cup, on the right. Returns the column they begin in. */
static int now_right(const struct paint *p, int row)
{
    const struct shown *b = &p->m->bench;
    const struct shown_now *n = &b->now;
    double aim_g = fabs(n->aim_g), in_cup_g = fabs(n->in_cup_g);
    bool live = !p->dead && p->life == LIFE_LIVE;
    struct said s;
    if (b->state == BENCH_CUP && !isfinite(b->colour_g))
        return p->g->cols - END_PAGE;
    if (b->state == BENCH_CUP)
        s = say("page.colour colour_g=%f", b->colour_g);
    else if (n->take_out)
        s = live ? say("page.out_live aim_g=%f out_g=%f", aim_g, in_cup_g) : say("page.out aim_g=%f", aim_g);
    else if (isfinite(n->aim_g))
        s = live ? say("page.aim_live aim_g=%f in_cup_g=%f", aim_g, in_cup_g) : say("page.aim aim_g=%f", aim_g);
    else
        return p->g->cols - END_PAGE;
    return paint_said_right(p, row, p->g->cols - END_PAGE, s, INK_PLAIN);
}

static void paint_now(const struct paint *p, int row)
{
    const struct shown *b = &p->m->bench;
    const struct shown_step *step = model_open_step(p->m);
    const char *margin = paint_word(p, "page.now"), *code = b->now.toner, *name = b->now.name;
    if (b->state == BENCH_CUP) {
        code = paint_word(p, "page.cup");
        name = "";
    } else if (b->now.take_out) {
        margin = "";
        code = paint_word(p, "page.take_out");
        name = paint_word(p, "page.stir_first");
    } else if (step && step->state == STEP_AGAIN) {
        margin = paint_word(p, "page.again");
    }
    grid_text(p->g, row, COL_MARGIN, COL_CODE - COL_MARGIN, margin, INK_PLAIN);
    int col = grid_text(p->g, row, COL_CODE, p->g->cols - COL_CODE, code, INK_BOLD) + 2;
    if (col < COL_NAME)
        col = COL_NAME;
    int room = now_right(p, row) - 2 - col;
    if (name[0])
        paint_words(p, row, col, room, name, INK_PLAIN);
}

/* Words that are not cues, plain and spaced, with their sign before them. */
static void paint_plain(const struct paint *p, int row, const char *sign, const char *sign_below, const char *word)
{
    char text[128];
    size_t used = 0, n;
    for (; (n = utf8_character(word)) > 0 && used + n + 2 < sizeof text; word += n) {
        memcpy(text + used, word, n);
        used += n;
        if (word[n])
            text[used++] = ' ';
    }
    text[used] = '\0';
    int from = grid_text_right(p->g, row, p->g->cols - END_CUE, text, INK_BOLD);
    int at = from - 3 - (int)strlen(sign);
    if (!sign[0])
        return;
    grid_text(p->g, row, at, from - at, sign, INK_BOLD);
    grid_text(p->g, row + 1, at, from - at, sign_below, INK_BOLD);
}

/* The cue in block letters where the figures leave room for them, else as a word. */
static void paint_cue(const struct paint *p, const struct plan *l, int used)
{
    enum cue cue = p->m->cue;
    int middle = l->figures + l->figure_rows / 2;
    if (p->dead) {
        bool lifted = p->life == LIFE_LIVE;
        paint_plain(p, middle, "", "", paint_word(p, lifted ? "page.lifted_large" : "page.no_weight_large"));
    } else if (p->life == LIFE_LIVE && cue == CUE_OK) {
        paint_plain(p, middle, "| ## |", "|_##_|", paint_word(p, "page.on_aim_large"));
    } else if (p->life == LIFE_LIVE && cue != CUE_NONE) {
        unsigned ink = cue == CUE_OVER ? INK_RUBRIC : INK_PLAIN;
        const char *word = paint_cue_word(p, cue);
        int width = figures_word_width(word, l->figure_rows), from = p->g->cols - END_CUE - width;
        if (l->figure_rows >= 5 && width > 0 && from >= used + 2)
            figures_word(p->g, l->figures, from, word, l->figure_rows, ink);
        else
            from = grid_text_right(p->g, middle, p->g->cols - END_CUE, word, INK_BOLD | ink);
        if (cue == CUE_OVER && from >= used + 4)
            grid_text(p->g, middle, from - 3, 2, "/\\", INK_BOLD | ink);
    }
}

/* `Last weight 52.6 g in cup at 10:42:07.`, but not of a port that is long gone. */
static void last_weight(const struct paint *p, char *buf, size_t size)
{
    const struct model *m = p->m;
    bool gone = m->scale == SCALE_ABSENT && p->now.ms - m->weight.at_ms > FORGET_MS;
    char at[16];
    buf[0] = '\0';
    if (!m->weight.known || m->weight.none || gone || p->life == LIFE_LIVE)
        return;
    int second = (int)(((m->weight.at_wall_s % 86400) + 86400) % 86400);
    snprintf(at, sizeof at, "%02d:%02d:%02d", second / 3600, second / 60 % 60, second % 60);
    bool pour = m->bench.state == BENCH_POUR && isfinite(m->bench.now.in_cup_g);
    struct said s = pour ? say("page.last_in_cup in_cup_g=%f at=%s", m->bench.now.in_cup_g, at)
                         : say("page.last_weight weight_g=%f at=%s", m->weight.g, at);
    model_text(m, s, buf, size);
}

/* What ails the weight, as the daemon says it; what only this screen can know it says itself. */
static void paint_reason(const struct paint *p, const struct plan *l)
{
    const struct model *m = p->m;
    int row = l->below >= 0 ? l->below : l->tooth, end = p->g->cols - END_PAGE;
    char text[LINE_ROOM], last[LINE_ROOM];
    bool lifted = p->life == LIFE_LIVE;
    if (!m->linked)
        snprintf(text, sizeof text, "%s", paint_word(p, "page.lost"));
    else if (m->bench.trouble)
        model_sentence(m, m->bench.trouble, text, sizeof text);
    else if (lifted)
        snprintf(text, sizeof text, "%s", paint_word(p, "page.lifted_reason"));
    else if (m->weight.known)
        model_text(m, say("page.silent silent_s=%f", floor((double)(p->now.ms - m->weight.at_ms) / 1000)), text,
                   sizeof text);
    else
        snprintf(text, sizeof text, "%s", paint_word(p, "page.no_weight_yet"));
    int used = paint_wrap(p, row, COL_CODE, end, 2, text, lifted ? INK_BOLD : INK_BOLD | INK_RUBRIC);
    last_weight(p, last, sizeof last);
    if (used < 2 && last[0])
        grid_text(p->g, row + used, COL_CODE, end - COL_CODE, last, INK_PLAIN);
}

/* What the cup will hold, both ways: as colour it stands above, ready to spray here. */
static void paint_fill(const struct paint *p, int row)
{
    const struct shown *b = &p->m->bench;
    if (!isfinite(b->spray_ml))
        return;
    struct said s = isfinite(b->cup_ml) ? say("page.spray_in_cup spray_ml=%f cup_ml=%f", b->spray_ml, b->cup_ml)
                                        : say("page.spray spray_ml=%f", b->spray_ml);
    paint_said(p, row, COL_CODE, p->g->cols - END_PAGE - COL_CODE, s, INK_PLAIN);
}

static void paint_ruler(const struct paint *p, const struct plan *l)
{
    const struct shown_now *n = &p->m->bench.now;
    const struct shown_step *step = model_open_step(p->m);
    struct ruler ruler;
    double span = step ? step->to_go_g : n->aim_g; /* the ruler's left end is what this step has to pour */
    int cols = p->g->cols < FULL_COLS ? SMALL_RULER : p->g->cols;
    if (n->take_out || !ruler_make(&ruler, cols, span > n->tolerance_g ? span : n->aim_g, n->tolerance_g))
        return;
    struct ruler_look look = {.to_go_g = n->to_go_g,
                              .lands_at_g = n->to_go_g - (n->landing_g - n->in_cup_g),
                              .on_aim = p->m->cue == CUE_OK,
                              .point = p->m->style.point,
                              .dead = p->dead || p->life != LIFE_LIVE,
                              .mute = p->m->weight.none || (p->dead && l->below < 0),
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

/* Columns that figures and their words take. */
static int figure_cols(const struct paint *p, const struct main_figure *f)
{
    return COL_CODE + figures_width(f->text, &f->style) + 2 + grid_width(p->g, f->words);
}

/* The cue in block letters comes first: figures finer than the tolerance give way, then all decimals shrink, then the
 * words, then the figures. */
static void make_room(const struct paint *p, struct main_figure *f, int room)
{
    char *point = strpbrk(f->text, ".,");
    if (figure_cols(p, f) <= room)
        return;
    if (f->style.half_at > 0) {
        f->text[f->style.half_at] = '\0';
        if (point && point[1] == '\0')
            *point = '\0';
        f->style.half_at = -1;
    }
    point = strpbrk(f->text, ".,");
    if (figure_cols(p, f) > room && point)
        f->style.half_at = (int)(point - f->text) + 1;
    if (figure_cols(p, f) > room)
        f->words = f->words[0] ? "g" : "";
    if (figure_cols(p, f) > room)
        f->style.rows = 3;
}

void page_pour(const struct paint *p, int from, int to)
{
    struct plan l = plan_rows(p, from, to);
    const struct shown_step *done = paint_last_done(p->m);
    if (l.done >= 0 && done)
        paint_step(p, l.done, done, paint_word(p, "page.done"));
    paint_edge(p, l.rule);
    paint_now(p, l.now);
    struct main_figure f;
    paint_figure(p, l.figure_rows, &f);
    bool cue = l.figure_rows >= 5 && p->m->cue != CUE_NONE && p->m->cue != CUE_OK;
    int word = cue ? figures_word_width(paint_cue_word(p, p->m->cue), l.figure_rows) + 2 : 0;
    make_room(p, &f, p->g->cols - END_CUE - word);
    int base = l.figures + l.figure_rows - f.style.rows;
    int used = figures_draw(p->g, base, COL_CODE, f.text, &f.style) + 2;
    used = grid_text(p->g, l.figures + l.figure_rows - 1, used, p->g->cols - used, f.words, f.style.ink);
    paint_cue(p, &l, used);
    bool pour = p->m->bench.state == BENCH_POUR;
    if (pour)
        paint_ruler(p, &l);
    else if (!p->dead)
        paint_fill(p, l.tooth);
    if (p->dead)
        paint_reason(p, &l);
    paint_below(p, &l);
    if (p->m->cue == CUE_STOP && p->life == LIFE_LIVE)
        grid_reverse_rows(p->g, l.rule, l.ruler + 2);
}
