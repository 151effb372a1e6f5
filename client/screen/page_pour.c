/* page_pour.c - the pour itself: cup, pour, taking out, lifted, and the same line when it dies. It must not judge the
 * pour: the cue, the trouble and the figures are the daemon's. */
#include "client/screen/page.h"
#include "client/screen/ruler.h"

#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { WIDE_ROWS = 26 }; /* with WIDE_COLS: the whole formula stands below the ruler, as from TALL_ROWS at any width */

/* Where the parts of the page stand, from top to bottom:
 *
 *   done      the line poured before this one
 *   rule      plain, hatched while braking, doubled when over
 *   now       margin word, code, name, aim and in cup; on a large page the code in block letters
 *   figures   what is to go, and on its right (on a tall page below it) the cue
 *   below     what ails the weight, where it is not live
 *   tooth     two rows, over the ruler that it rides along
 *   ruler     with the floor of its notch
 *   next      what waits, down to `end`
 *
 * What there is no room for is given up in this order: the code in block letters, the growth of the figures, the blank
 * rows, the `then` line, the second next line, the line done before, the first next line. */
struct plan {
    int done, rule, now, now_rows; /* done -1: none */
    int figures, figure_rows, cue; /* cue: its first row, that of the figures where it stands beside them */
    int below, tooth, ruler;       /* below -1: none */
    int next, end;
};

/* Takes rows of what is spare, if it has as many. */
static bool take(int *spare, int rows)
{
    if (*spare < rows)
        return false;
    *spare -= rows;
    return true;
}

/* True where there is room for every step below the ruler, so no `then` line is needed. */
static bool whole_formula(const struct paint *p)
{
    return p->g->rows >= TALL_ROWS || (p->g->cols >= WIDE_COLS && p->g->rows >= WIDE_ROWS);
}

/* Rows that figures may grow by, once every other part of the page has what it wants. */
static int rows_to_grow(const struct paint *p, int have)
{
    int lines = whole_formula(p) ? (int)p->m->bench.n_steps : 3;
    return have - 11 - (lines < 12 ? lines : 12);
}

/* Gives each part its rows, the most needed first. The plan depends on the size and the step alone, never on the
 * weight: nothing on the page moves while paint flows. */
static struct plan plan_rows(const struct paint *p, int from, int to, const struct main_figure *f)
{
    struct plan l = {.done = -1, .below = -1, .end = to, .now_rows = 1};
    int have = to - from, grow = rows_to_grow(p, have), end = p->g->cols - END_CUE;
    bool cue = p->m->bench.state == BENCH_POUR;
    l.figure_rows = paint_figure_rows(p, f, end, cue, have < 11 ? 3 : grow < 5 ? 5 : grow);
    int stacked = cue && grow >= 11 ? paint_figure_rows(p, f, end, false, (grow - 1) / 2) : 0, under = 0;
    if (stacked > l.figure_rows + 1) { /* a tall page: the cue stands below the figures, and both are larger */
        l.figure_rows = stacked;
        under = stacked + 1;
    }
    int left = grow - l.figure_rows - under; /* the code is never larger than what is to go */
    if (left >= 5 && l.figure_rows > 5)
        l.now_rows = left >= 9 && l.figure_rows > 7 ? 7 : 5;
    int spare = have - 5 - l.now_rows - l.figure_rows - under;
    bool poured = have >= 16 || paint_last_done(p->m); /* on a large page its row is kept free, so that nothing moves */
    bool next = take(&spare, 1), done = poured && take(&spare, 1);
    int more = take(&spare, 1) + take(&spare, 1);
    bool above = take(&spare, 1), below = take(&spare, 1), after = take(&spare, 1);
    int row = from;
    if (done)
        l.done = row++;
    l.rule = row++;
    l.now = row;
    l.figures = row + l.now_rows + above;
    l.cue = l.figures + under;
    row = l.cue + l.figure_rows;
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

/* Aim and in cup, as far as there is one: in cup only of a weight that is live. */
static struct said aim_said(const struct paint *p)
{
    const struct shown *b = &p->m->bench;
    const struct shown_now *n = &b->now;
    double aim_g = fabs(n->aim_g), in_cup_g = fabs(n->in_cup_g); /* the taking out counts below 0 */
    bool live = !p->dead && p->life == LIFE_LIVE;
    struct said none = {.code = ""};
    if (b->state == BENCH_CUP)
        return isfinite(b->colour_g) ? shown_amounts(b->part, b->colour_g, (double)NAN) : none;
    if (n->take_out)
        return live ? say("page.out_live aim_g=%f out_g=%f", aim_g, in_cup_g) : say("page.out aim_g=%f", aim_g);
    if (!isfinite(n->aim_g))
        return none;
    return live ? say("page.aim_live aim_g=%f in_cup_g=%f", aim_g, in_cup_g) : say("page.aim aim_g=%f", aim_g);
}

/* The open line: the cup, paint that is taken out, or the toner; `again` where some of it was poured before. */
static void paint_now(const struct paint *p, const struct plan *l)
{
    const struct shown *b = &p->m->bench;
    const struct shown_step *step = model_open_step(p->m);
    struct open_line line = {paint_word(p, "page.now"), b->now.toner, b->now.name, aim_said(p)};
    char named[LINE_ROOM], lot[LINE_ROOM];
    if (b->now.lot[0]) {
        snprintf(named, sizeof named, "%.*s, %s", (int)sizeof named / 2, b->now.name,
                 model_text(p->m, say("page.of_lot lot=%s", b->now.lot), lot, sizeof lot / 2));
        line.name = named;
    }
    if (b->now.shelf_cup)
        line.name = paint_word(p, "page.shelf_cup");
    if (b->state == BENCH_CUP) {
        line.code = paint_word(p, "page.cup");
        line.name = "";
    } else if (b->now.take_out) {
        line.margin = line.name = "";
        line.code = paint_word(p, "page.take_out");
    } else if (step && step->state == STEP_AGAIN) {
        line.margin = paint_word(p, "page.again");
    }
    paint_open(p, l->now, l->now_rows, &line);
}

/* A word that is no cue, with spaces between its letters: `O N   A I M`. */
static void spaced(const char *word, char *text, size_t size)
{
    size_t used = 0, n;
    for (; (n = utf8_character(word)) > 0 && used + n + 2 < size; word += n) {
        memcpy(text + used, word, n);
        used += n;
        if (word[n])
            text[used++] = ' ';
    }
    text[used] = '\0';
}

/* What stands on the right in place of a cue: `wrong tin`, `on aim`, or why there is no weight; "" where a cue may
 * stand. */
static const char *plain_word(const struct paint *p)
{
    if (p->m->wrong)
        return paint_word(p, p->m->wrong);
    if (p->dead)
        return paint_word(p, p->life == LIFE_LIVE ? "page.lifted_large" : "page.no_weight_large");
    return p->life == LIFE_LIVE && p->m->cue == CUE_OK ? paint_word(p, "page.on_aim_large") : "";
}

/* The tooth in its notch, before the words `on aim`: seen as a shape before they are read. */
static void paint_plain(const struct paint *p, int row, const char *text)
{
    int from = grid_text_right(p->g, row, p->g->cols - END_CUE, text, p->m->wrong ? INK_BOLD | INK_RUBRIC : INK_BOLD);
    if (p->m->cue != CUE_OK || p->dead || p->m->wrong)
        return;
    grid_text(p->g, row, from - 9, 6, "| ## |", INK_BOLD);
    grid_text(p->g, row + 1, from - 9, 6, "|_##_|", INK_BOLD);
}

/* `Last weight 52.6 g in cup at 10:42:07.`, but not of a port that is long gone. */
static void last_weight(const struct paint *p, char *buf, size_t size)
{
    const struct model *m = p->m;
    bool gone = m->scale == SCALE_ABSENT && p->now.ms - m->weight.at_ms > FORGET_MS;
    char at[CLOCK_ROOM];
    buf[0] = '\0';
    if (!m->weight.known || m->weight.none || gone || p->life == LIFE_LIVE)
        return;
    paint_clock(m->weight.at_wall_s, true, at);
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

/* The left end is what this step still had to pour when it was opened, so a small toner has a long ruler. */
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

/* What waits; the whole formula where there is room, or for 8 s after +. */
static void paint_below(const struct paint *p, const struct plan *l)
{
    if (whole_formula(p) || p->m->view.list_until_ms)
        paint_formula(p, l->next, l->end, p->m->view.list_from);
    else
        paint_next(p, l->next, l->end);
}

/* Above the open line: hatched while braking, doubled when over, nothing beside the reversed block of stop. */
static void paint_edge(const struct paint *p, int row)
{
    if (p->m->cue == CUE_EASE)
        grid_run(p->g, row, 0, p->g->cols, p->g->utf8 ? 0x2571 : '/', INK_BOLD);
    else if (p->m->cue == CUE_OVER)
        paint_rule(p, row, '=', 0x2550);
    else if (p->m->cue != CUE_STOP)
        paint_rule(p, row, '-', 0x2500);
}

/* The cue in block letters comes first: figures finer than the tolerance give way, then all decimals shrink, then the
 * words, then the figures. */
static void make_room(const struct paint *p, struct main_figure *f, int room)
{
    char *point = strpbrk(f->text, ".,");
    if (paint_figure_cols(p, f) <= room)
        return;
    if (f->style.half_at > 0) {
        f->text[f->style.half_at] = '\0';
        if (point && point[1] == '\0')
            *point = '\0';
        f->style.half_at = -1;
    }
    point = strpbrk(f->text, ".,");
    if (paint_figure_cols(p, f) > room && point)
        f->style.half_at = (int)(point - f->text) + 1;
    if (paint_figure_cols(p, f) > room)
        f->words = f->words[0] ? "g" : "";
    if (paint_figure_cols(p, f) > room)
        f->style.rows = 3;
}

/* The figure, and beside or below it the cue, or what stands in its place. */
static void paint_weight(const struct paint *p, const struct plan *l, struct main_figure *f)
{
    const char *word = plain_word(p);
    char text[128];
    bool beside = l->cue == l->figures;
    int room = p->g->cols - END_CUE, rows = l->figure_rows;
    f->style.rows = rows;
    spaced(word, text, sizeof text);
    if (word[0] && beside) {
        room -= grid_width(p->g, text) + 2 + (p->dead ? 0 : 9);
        if (paint_figure_cols(p, f) > room)
            f->words = f->words[0] ? "g" : "";
    } else if (rows >= 5 && p->m->cue != CUE_NONE) {
        make_room(p, f, room - (beside ? 2 + figures_word_width(paint_cue_word(p, p->m->cue), rows) : 0));
    }
    int used = paint_figure_at(p, l->figures, rows, f);
    if (word[0])
        paint_plain(p, l->cue + rows / 2, text);
    else if (p->life == LIFE_LIVE && p->m->cue != CUE_NONE)
        paint_cue(p, l->cue, rows, beside ? used : 0, p->m->cue);
}

/* The open line, its figures and the ruler: all that a weight moves. */
static void paint_live(const struct paint *p, const struct plan *l, struct main_figure *f)
{
    paint_now(p, l);
    paint_weight(p, l, f);
    if (p->m->bench.state == BENCH_POUR)
        paint_ruler(p, l);
    else if (!p->dead)
        paint_fill(p, l->tooth);
}

/* Cup and pour are one page: the cup is the first thing that is weighed. */
void page_pour(const struct paint *p, int from, int to)
{
    struct main_figure f;
    paint_figure(p, 5, &f);
    struct plan l = plan_rows(p, from, to, &f);
    const struct shown_step *done = paint_last_done(p->m);
    if (l.done >= 0 && done)
        paint_step(p, l.done, done, paint_word(p, "page.done"));
    paint_edge(p, l.rule);
    paint_live(p, &l, &f);
    if (p->dead)
        paint_reason(p, &l);
    paint_below(p, &l);
    if (p->m->cue == CUE_STOP && p->life == LIFE_LIVE)
        grid_reverse_rows(p->g, l.rule, l.ruler + 2);
}

/* The same plan as that of page_pour. */
static struct page_rows rows_of(const struct plan *l)
{
    return (struct page_rows){l->now, l->ruler + 2, l->figure_rows};
}

void page_pour_rows(const struct paint *p, int from, int to, struct page_rows *rows)
{
    struct main_figure f;
    paint_figure(p, 5, &f);
    struct plan l = plan_rows(p, from, to, &f);
    *rows = rows_of(&l);
}

/* A figure that has outgrown its aim's may ask for another plan. */
bool page_pour_weight(const struct paint *p, int from, int to, const struct page_rows *rows)
{
    struct main_figure f;
    paint_figure(p, 5, &f);
    struct plan l = plan_rows(p, from, to, &f);
    struct page_rows is = rows_of(&l);
    if (is.from != rows->from || is.to != rows->to || is.figures != rows->figures)
        return false;
    grid_clear_rows(p->g, is.from, is.to);
    paint_live(p, &l, &f);
    if (p->m->cue == CUE_STOP)
        grid_reverse_rows(p->g, is.from, is.to);
    return true;
}
