/* page_beside.c - the pages beside the bench: contents, find a colour, how much, a toner, writing, scrap, scales. */
#include "client/screen/paint.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void paint_title(const struct paint *p, int row, const char *title)
{
    paint_rule(p, row, '-', 0x2500);
    grid_text(p->g, row + 1, COL_CODE, p->g->cols - COL_CODE - END_PAGE, title, INK_BOLD);
}

/* A writing line with its caret. */
static void paint_field(const struct paint *p, int row, const char *margin, const char *text, bool caret)
{
    grid_text(p->g, row, COL_CODE, 18, margin, INK_PLAIN);
    int from = COL_CODE + grid_width(p->g, margin) + 2;
    int room = p->g->cols - from - 2;
    int width = grid_width(p->g, text);
    const char *at = text;
    while (width > room && *at) { /* the end of what is written is what is looked at */
        width -= grid_char_width(grid_next(&at));
    }
    int col = grid_text(p->g, row, from, room, at, INK_BOLD);
    if (caret)
        grid_char(p->g, row, col, ' ', INK_REVERSE);
}

static void paint_choice(const struct paint *p, int row, int digit, const char *text, const char *why, bool chosen)
{
    char key[16];
    if (digit >= 1 && digit <= 9) {
        snprintf(key, sizeof key, " %d ", digit);
        grid_text(p->g, row, 1, 3, why ? "   " : key, chosen ? INK_REVERSE | INK_BOLD : INK_BOLD);
    }
    if (chosen)
        grid_char(p->g, row, 0, '>', INK_BOLD);
    int end = p->g->cols - END_PAGE;
    if (why)
        end = grid_text_right(p->g, row, end, why, INK_DIM) - 2;
    grid_text(p->g, row, COL_CODE, end - COL_CODE, text, why ? INK_DIM : chosen ? INK_BOLD : INK_PLAIN);
}

static void paint_contents(const struct paint *p, int from, int to, bool tin)
{
    paint_title(p, from, tin ? "this tin" : "contents");
    int row = from + 3;
    for (int digit = 1; digit <= 9 && row < to; digit++) {
        struct content c = tin ? sill_tin(p->m, digit) : sill_content(p->m, digit);
        if (c.text)
            paint_choice(p, row++, digit, c.text, c.why, p->m->view.choice == digit);
    }
    if (!tin && row < to)
        grid_text(p->g, row + (row + 1 < to), 2, p->g->cols - 2, "q    leave this screen; the batch stays as it is",
                  INK_PLAIN);
}

static void paint_scrap(const struct paint *p, int from, int to)
{
    char title[BENCH_ID + 40];
    snprintf(title, sizeof title, "scrap %s: what the cup holds is waste", p->m->bench.batch);
    paint_title(p, from, title);
    int row = from + 3;
    for (int digit = 1; sill_scrap(digit) && row < to; digit++)
        paint_choice(p, row++, digit, sill_scrap(digit), NULL, p->m->view.choice == digit);
}

/* Names beside each other, the open one reversed, with their digits where `keys`; those alone whose bit is in `shown`.
 */
static void paint_names(const struct paint *p, int row, int col, const char (*names)[BENCH_ID], size_t n, size_t open,
                        bool keys, uint32_t shown)
{
    for (size_t i = 0; i < n; i++) {
        char text[BENCH_ID + 8];
        if (!(shown >> i & 1u))
            continue;
        if (keys)
            snprintf(text, sizeof text, " %zu %s ", i + 1, names[i]);
        else
            snprintf(text, sizeof text, " %s ", names[i]);
        int width = grid_width(p->g, text);
        if (col + width > p->g->cols - END_PAGE)
            break;
        col = grid_text(p->g, row, col, width, text, i == open ? INK_REVERSE | INK_BOLD : INK_PLAIN) + 1;
    }
}

static void paint_open_match(const struct paint *p, int row, int to, const struct match *match)
{
    char text[BENCH_ID * 3];
    int col = grid_text(p->g, row, COL_CODE, p->g->cols - COL_CODE, match->code, INK_BOLD) + 2;
    grid_text(p->g, row, col, p->g->cols - col - END_PAGE, match->name, INK_BOLD);
    grid_char(p->g, row, 0, '>', INK_BOLD);
    snprintf(text, sizeof text, "%s%s%s", match->finish, match->line[0] ? ", " : "", match->line);
    if (row + 1 < to)
        grid_text(p->g, row + 1, COL_CODE, p->g->cols - COL_CODE, text, INK_PLAIN);
    if (row + 2 < to && match->n_coats)
        paint_names(p, row + 2, COL_CODE - 1, match->coats, match->n_coats, p->m->view.coat,
                    !p->m->view.writing && match->n_coats > 1, UINT32_MAX);
    size_t coat = p->m->view.coat < MATCH_COATS ? p->m->view.coat : 0;
    if (row + 3 < to && match->n_variants > 1)
        paint_names(p, row + 3, COL_CODE - 1, match->variants, match->n_variants, p->m->view.variant, false,
                    match->has[coat]);
}

static void paint_match(const struct paint *p, int row, const struct match *match)
{
    struct line line = {"", match->code, match->name, match->finish[0] ? match->finish : match->line,
                        "", INK_BOLD,    INK_PLAIN};
    paint_line(p, row, &line);
}

static void paint_find(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    paint_title(p, from, "find a colour");
    paint_field(p, from + 2, "code or name", m->view.text, m->view.writing);
    int row = from + 4;
    size_t open = m->view.line < m->n_matches ? m->view.line : 0;
    size_t first = open > 2 ? open - 2 : 0;
    for (size_t i = first; i < m->n_matches && row < to; i++) {
        if (i != open) {
            paint_match(p, row++, &m->matches[i]);
            continue;
        }
        paint_open_match(p, row, to, &m->matches[i]);
        row += 2 + (m->matches[i].n_coats > 0) + (m->matches[i].n_variants > 1);
    }
}

static void paint_amount(const struct paint *p, int from, int to)
{
    static const char *const names[AMOUNT_LINES] = {"grams of colour", "mL ready to spray", "order", "painter"};
    const struct view *v = &p->m->view;
    char title[BENCH_ID * 3 + BENCH_NAME + 16];
    if (v->repeat[0])
        snprintf(title, sizeof title, "%s again: how much?", v->repeat);
    else
        snprintf(title, sizeof title, "%s %s%s%s%s%s: how much?", v->wanted.code, v->wanted.name,
                 v->wanted.n_coats ? "  " : "", v->wanted.n_coats ? v->wanted.coats[0] : "",
                 v->wanted.n_variants ? "  " : "", v->wanted.n_variants ? v->wanted.variants[0] : "");
    paint_title(p, from, title);
    int row = from + 3;
    for (size_t i = 0; i < AMOUNT_LINES && row < to; i++, row++) {
        if (i == v->line)
            grid_char(p->g, row, 0, '>', INK_BOLD);
        paint_field(p, row, names[i], v->fields[i], i == v->line);
    }
    if (row + 1 < to)
        grid_text(p->g, row + 1, COL_CODE, p->g->cols - COL_CODE,
                  "arrows, or + and - while digits are written: another line", INK_DIM);
}

static void paint_toners(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    paint_title(p, from, m->view.purpose == FOR_TINT ? "tint: which toner?" : "another tin: what was really poured?");
    paint_field(p, from + 2, "code or name", m->view.text, m->view.writing);
    int row = from + 4, keys = m->view.writing ? 0 : 1;
    size_t n = sill_toners(m), room = to > row ? (size_t)(to - row) : 0;
    size_t first = m->view.line >= room && room > 0 ? m->view.line - room + 1 : 0;
    for (size_t i = first; i < n && row < to; i++, row++) {
        const struct toner_line *t = sill_toner(m, i);
        char text[BENCH_ID + BENCH_NAME + 4];
        snprintf(text, sizeof text, "%s  %s", t->toner, t->name);
        bool chosen = i == m->view.line && (keys || n == 1);
        paint_choice(p, row, keys ? (int)i + 1 : 0, text, NULL, chosen);
    }
}

static void paint_write(const struct paint *p, int from)
{
    bool lot = p->m->view.purpose == FOR_LOT;
    paint_title(p, from, lot ? "the lot of this tin" : "a note on this batch");
    paint_field(p, from + 3, lot ? "lot" : "note", p->m->view.text, true);
}

static void scale_text(const struct paint *p, const struct scale_line *s, char *buf, size_t size)
{
    char g[48], d[48], age[48], capacity[48];
    words_number(&p->m->words, s->weight_g, words_decimals(s->d_g), false, g, sizeof g);
    words_number(&p->m->words, s->d_g, words_decimals(s->d_g), false, d, sizeof d);
    words_number(&p->m->words, s->age_ms, 0, false, age, sizeof age);
    words_number(&p->m->words, s->capacity_g, 0, false, capacity, sizeof capacity);
    bool told = isfinite(s->capacity_g);
    if (s->state == SCALE_LIVE)
        snprintf(buf, size, "%s g %s ms ago, d %s g%s%s%s, %.40s", g, age, d, told ? ", to " : "", told ? capacity : "",
                 told ? " g" : "", s->profile);
    else
        snprintf(buf, size, "%s%s%s", s->profile, s->profile[0] && s->why[0] ? ", " : "", s->why);
}

static void paint_scales(const struct paint *p, int from, int to)
{
    paint_title(p, from, "scales, as they were when this page was read");
    int row = from + 3;
    for (size_t i = 0; i < p->m->n_scales && row + 1 < to; i++) {
        const struct scale_line *s = &p->m->scales[i];
        char text[BENCH_TEXT * 2];
        int end = grid_text_right(p->g, row, p->g->cols - END_PAGE, bench_scale_name(s->state), INK_BOLD);
        snprintf(text, sizeof text, "%s  %s", s->station, s->port);
        grid_text(p->g, row, COL_CODE, end - 2 - COL_CODE, text, INK_BOLD);
        scale_text(p, s, text, sizeof text);
        row += 2 + paint_wrap(p, row + 1, COL_CODE, p->g->cols - END_PAGE, to - row - 1, text, INK_PLAIN);
    }
}

void page_beside(const struct paint *p, int from, int to)
{
    switch (p->m->view.page) {
    case PAGE_BENCH:
        break;
    case PAGE_CONTENTS:
    case PAGE_TIN:
        paint_contents(p, from, to, p->m->view.page == PAGE_TIN);
        break;
    case PAGE_FIND:
        paint_find(p, from, to);
        break;
    case PAGE_AMOUNT:
        paint_amount(p, from, to);
        break;
    case PAGE_TONER:
        paint_toners(p, from, to);
        break;
    case PAGE_WRITE:
        paint_write(p, from);
        break;
    case PAGE_SCRAP:
        paint_scrap(p, from, to);
        break;
    case PAGE_SCALES:
        paint_scales(p, from, to);
        break;
    }
}
