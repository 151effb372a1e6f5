/* page_over.c - an overpour: what is over, and the three remedies as three lines, nothing chosen that costs paint. */
#include "client/screen/paint.h"
#include "client/screen/ruler.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const names[] = {"", "grow", "dip", "leave", "begin again"};

/* Right ends of the columns, from the page's right edge. */
enum { END_BATCH = 36, END_WASTE = 21, END_COST = 1, NARROW_BATCH = 30, NARROW_WASTE = 16, FULL_COLS = 80 };

static int batch_end(const struct paint *p)
{
    return p->g->cols - (p->g->cols < FULL_COLS ? NARROW_BATCH : END_BATCH);
}

static int waste_end(const struct paint *p)
{
    return p->g->cols - (p->g->cols < FULL_COLS ? NARROW_WASTE : END_WASTE);
}

/* Text that grows; what does not fit is left out. */
struct sentence {
    char text[BENCH_TEXT * 2];
    size_t n;
};

static void say_it(struct sentence *s, const char *a, const char *b, const char *c)
{
    if (s->n + strlen(a) + strlen(b) + strlen(c) + 1 > sizeof s->text)
        return;
    s->n += (size_t)snprintf(s->text + s->n, sizeof s->text - s->n, "%s%s%s", a, b, c);
}

/* `B20 19.3, P12 28.3` of the steps that were poured already, or of those that were not. */
static size_t say_adds(const struct paint *p, struct sentence *s, const struct remedy *r, bool poured,
                       const char *before)
{
    const struct bench *b = &p->m->bench;
    size_t count = 0;
    for (size_t i = 0; i < b->n_steps && i < r->n; i++) {
        bool was = bench_step_poured(&b->steps[i]) || i + 1 == b->step;
        if (was != poured || !(r->add_g[i] >= p->m->words.d_g / 2))
            continue;
        char g[48];
        words_weight(&p->m->words, r->add_g[i], g, sizeof g);
        say_it(s, count ? ", " : before, b->steps[i].toner, " ");
        say_it(s, g, "", "");
        count++;
    }
    return count;
}

/* What is good to know, where the line has room for it. */
static void say_if_room(const struct paint *p, struct sentence *s, const char *text)
{
    if (grid_width(p->g, s->text) + grid_width(p->g, text) <= p->g->cols - COL_CODE)
        say_it(s, text, "", "");
}

static void say_grow(const struct paint *p, struct sentence *s)
{
    const struct remedy *r = &p->m->bench.grow;
    if (say_adds(p, s, r, true, "Pour on: "))
        say_it(s, ".", "", "");
    if (say_adds(p, s, r, false, s->n ? " Then " : "Pour: "))
        say_it(s, ".", "", "");
    if (isfinite(p->m->bench.cup_ml))
        say_if_room(p, s, " The cup holds it.");
}

static void say_dip(const struct paint *p, struct sentence *s)
{
    char g[48];
    words_weight(&p->m->words, p->m->bench.dip.take_g, g, sizeof g);
    say_it(s, "Stir, take out ", g, " g");
    say_adds(p, s, &p->m->bench.dip, true, ", pour on ");
    say_it(s, ". The rest as planned.", "", "");
}

static void say_leave(const struct paint *p, struct sentence *s)
{
    const struct bench *b = &p->m->bench;
    const struct remedy *r = &b->leave;
    size_t off = 0;
    if (!r->ratio[0])
        say_it(s, "Pour on as planned.", "", "");
    for (size_t i = 0; i < b->n_steps && i < r->n; i++) {
        double deviation = r->deviation_pct[i];
        if (!isfinite(deviation) || deviation <= 0.5 || /* common practice, no source: that is on aim */
            !(bench_step_poured(&b->steps[i]) || i + 1 == b->step))
            continue;
        char pct[48];
        words_number(&p->m->words, deviation, 1, false, pct, sizeof pct);
        say_it(s, off ? ", " : " ", b->steps[i].toner, off ? " " : " stays ");
        off++;
        say_it(s, pct, " %", " over its aim");
    }
    if (r->ratio[0])
        say_it(s, off ? "; the ratio becomes " : " The ratio becomes ", r->ratio, "");
    if (off == 1 && !r->ratio[0])
        say_if_room(p, s, ", the others are on aim");
    if (off || r->ratio[0])
        say_it(s, ".", "", "");
}

/* Why a remedy cannot be chosen, in words. */
static void why_not(const struct paint *p, const struct remedy *r, char *buf, size_t size)
{
    char number[48];
    if (strcmp(r->why, "cup") == 0 && isfinite(p->m->bench.cup_ml)) {
        words_litres(&p->m->words, p->m->bench.cup_ml, number, sizeof number);
        snprintf(buf, size, "the cup holds %s", number);
    } else if (strcmp(r->why, "cup") == 0) {
        snprintf(buf, size, "the cup does not hold it");
    } else if (strcmp(r->why, "scale") == 0 && isfinite(p->m->capacity_g)) {
        words_number(&p->m->words, p->m->capacity_g, 0, false, number, sizeof number);
        snprintf(buf, size, "the scale takes %s g", number);
    } else if (strcmp(r->why, "scale") == 0) {
        snprintf(buf, size, "the scale does not take it");
    } else if (strcmp(r->why, "foreign") == 0) {
        snprintf(buf, size, "no total holds a toner that is not in the formula");
    } else {
        snprintf(buf, size, "%.200s", r->why[0] ? r->why : "does not help here");
    }
}

static void paint_cost(const struct paint *p, int row, double cost, unsigned ink)
{
    char number[48], text[64];
    if (!isfinite(cost))
        return;
    const char *currency = p->m->bench.currency[0] ? p->m->bench.currency : p->m->currency;
    words_number(&p->m->words, cost, 2, true, number, sizeof number);
    snprintf(text, sizeof text, "%s %s", number, currency);
    grid_text_right(p->g, row, p->g->cols - END_COST, text, ink);
}

static void paint_figures(const struct paint *p, int row, const struct remedy *r, unsigned ink)
{
    char g[48], litres[48], text[128];
    words_weight(&p->m->words, r->total_g, g, sizeof g);
    snprintf(text, sizeof text, "%s g", g);
    if (isfinite(r->volume_ml) && p->g->cols >= FULL_COLS) {
        words_litres(&p->m->words, r->volume_ml, litres, sizeof litres);
        snprintf(text, sizeof text, "%s g  %8s", g, litres);
    }
    grid_text_right(p->g, row, batch_end(p), text, ink);
    words_weight(&p->m->words, r->waste_g, g, sizeof g);
    snprintf(text, sizeof text, "%s g", g);
    if (isfinite(r->waste_g))
        grid_text_right(p->g, row, waste_end(p), text, ink);
    paint_cost(p, row, r->cost, ink);
}

/* One remedy: its figures, or why it cannot be chosen; and, where there are rows, the sentence. */
static void paint_remedy(const struct paint *p, int row, int digit, bool sentence)
{
    const struct remedy *r = sill_remedy(p->m, digit);
    bool chosen = p->m->view.choice == digit, open = sill_remedy_open(p->m, digit);
    unsigned ink = chosen ? INK_BOLD : INK_PLAIN;
    char key[16];
    snprintf(key, sizeof key, " %d ", digit);
    grid_text(p->g, row, 1, 3, open ? key : "   ", chosen ? INK_REVERSE | INK_BOLD : INK_BOLD);
    if (chosen)
        grid_char(p->g, row, 0, '>', INK_BOLD);
    grid_text(p->g, row, COL_CODE - 1, 12, names[digit], open ? INK_BOLD : INK_DIM);
    struct sentence s = {"", 0};
    if (!r) {
        paint_cost(p, row, p->m->bench.again_cost, ink);
        say_it(&s, "This cup is kept as a leftover, a new one is begun with the same amount.", "", "");
    } else if (!open) {
        why_not(p, r, s.text, sizeof s.text);
        grid_text(p->g, row, COL_CODE + 12, p->g->cols - COL_CODE - 12 - END_PAGE, s.text, INK_PLAIN);
        return;
    } else {
        paint_figures(p, row, r, ink);
        void (*const sentences[])(const struct paint *, struct sentence *) = {say_grow, say_dip, say_leave};
        sentences[digit - 1](p, &s);
    }
    const char *text = s.text[0] == ' ' ? s.text + 1 : s.text;
    if (sentence)
        grid_text(p->g, row + 1, COL_CODE - 1, p->g->cols - COL_CODE + 1 - END_PAGE, text, INK_PLAIN);
}

static void paint_heads(const struct paint *p, int row)
{
    bool narrow = p->g->cols < FULL_COLS;
    grid_text_right(p->g, row, batch_end(p), narrow ? "becomes" : "the batch becomes", INK_PLAIN);
    grid_text_right(p->g, row, waste_end(p), "to waste", INK_PLAIN);
    grid_text_right(p->g, row, p->g->cols - END_COST, "cost", INK_PLAIN);
}

static void paint_over(const struct paint *p, int row, int rows)
{
    struct main_figure f;
    paint_figure(p, rows, &f);
    f.style.ink = INK_RUBRIC;
    if (figures_width(f.text, &f.style) > p->g->cols - 20)
        f.style.rows = 3;
    int used = figures_draw(p->g, row + rows - f.style.rows, COL_CODE, f.text, &f.style) + 2;
    used = grid_text(p->g, row + rows - 1, used, p->g->cols - used, f.words, INK_RUBRIC | INK_BOLD);
    int from = p->g->cols - END_CUE - figures_word_width("OVER", rows);
    if (rows >= 5 && from >= used + 2)
        figures_word(p->g, row, from, "OVER", rows, INK_RUBRIC);
    else
        from = grid_text_right(p->g, row + rows / 2, p->g->cols - END_CUE, "over", INK_RUBRIC | INK_BOLD);
    if (from >= used + 4)
        grid_text(p->g, row + rows / 2, from - 3, 2, "/\\", INK_RUBRIC | INK_BOLD);
}

static void paint_open(const struct paint *p, int row)
{
    const struct bench_now *n = &p->m->bench.now;
    char aim[48], in_cup[48], text[128];
    words_weight(&p->m->words, n->aim_g, aim, sizeof aim);
    words_weight(&p->m->words, n->in_cup_g, in_cup, sizeof in_cup);
    snprintf(text, sizeof text, "aim %s   in cup %s", aim, in_cup);
    int from = grid_text_right(p->g, row, p->g->cols - END_PAGE, text, INK_PLAIN);
    grid_text(p->g, row, COL_MARGIN, 5, "now", INK_PLAIN);
    int col = grid_text(p->g, row, COL_CODE, from - COL_CODE - 1, n->toner, INK_BOLD) + 2;
    if (col < COL_NAME)
        col = COL_NAME;
    grid_text(p->g, row, col, from - 2 - col, n->name, INK_PLAIN);
}

/* The thin ruler with the arrow: three rows. */
static void paint_thin_ruler(const struct paint *p, int row)
{
    const struct bench_now *n = &p->m->bench.now;
    struct ruler ruler;
    if (!ruler_make(&ruler, p->g->cols < FULL_COLS ? 60 : p->g->cols, n->aim_g, n->tolerance_g))
        return;
    struct ruler_look look = {
        .thin = true, .to_go_g = n->to_go_g, .lands_at_g = NAN, .point = p->m->words.point, .tooth_ink = INK_RUBRIC};
    ruler_draw(p->g, row, &ruler, &look);
}

void page_over(const struct paint *p, int from, int to)
{
    const struct bench *b = &p->m->bench;
    int lines = b->again ? 4 : 3, rows = to - from;
    int figures = rows >= 9 + 5 + lines - 3 ? 5 : 3;
    bool sentences = rows >= 6 + figures + 2 * lines;
    int row = from;
    paint_rule(p, row++, '=', 0x2550);
    paint_open(p, row++);
    paint_over(p, row, figures);
    row += figures;
    paint_thin_ruler(p, row);
    row += 3;
    paint_heads(p, row++);
    for (int digit = 1; digit <= lines && row < to; digit++) {
        paint_remedy(p, row, digit, sentences && row + 1 < to);
        row += sentences ? 2 : 1;
    }
}
