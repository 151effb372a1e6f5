/* page_beside.c - the pages beside the bench: menu, find a colour, how much, a toner, writing, scrap, scales. It must
 * not know what may be done: menu.c does. */
#include "client/screen/menu.h"
#include "client/screen/paint.h"
#include "text/utf8.h"

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
    const char *at = text;
    while (*at && grid_width(p->g, at) > room) /* the end of what is written is what is looked at */
        at += utf8_character(at);
    int col = grid_text(p->g, row, from, room, at, INK_BOLD);
    if (caret)
        grid_char(p->g, row, col, ' ', INK_REVERSE);
}

/* A line that a digit chooses; a shut one says why, below it where its own row has no room. Rows used. */
static int paint_choice(const struct paint *p, int row, int digit, const char *text, const char *why, bool chosen)
{
    int end = p->g->cols - END_PAGE, width = grid_width(p->g, text), room = end - COL_CODE;
    unsigned ink = why[0] ? INK_DIM : chosen ? INK_BOLD : INK_PLAIN;
    if (digit >= 1 || chosen)
        paint_digit(p, row, digit, why[0] == '\0', chosen);
    grid_text(p->g, row, COL_CODE, room, text, ink);
    if (!why[0])
        return 1;
    if (width + 2 + grid_width(p->g, why) <= room) {
        grid_text_right(p->g, row, end, why, INK_DIM);
        return 1;
    }
    return 1 + paint_wrap(p, row + 1, COL_NAME, end, 2, why, INK_DIM);
}

static void paint_menu(const struct paint *p, int from, int to, bool tin)
{
    paint_title(p, from, paint_word(p, tin ? "page.tin" : "page.menu"));
    int row = from + 3;
    for (int digit = 1; digit <= 9 && row < to; digit++) {
        struct menu_line line = tin ? menu_tin(p->m, digit) : menu_line(p->m, digit);
        if (line.there)
            row += paint_choice(p, row, digit, line.text, line.why, p->m->view.choice == digit);
    }
    if (!tin && row < to)
        grid_text(p->g, row + (row + 1 < to), 2, p->g->cols - 2, paint_word(p, "page.leave_screen"), INK_PLAIN);
}

static void paint_scrap(const struct paint *p, int from, int to)
{
    char title[LINE_ROOM];
    paint_title(p, from, model_text(p->m, say("page.scrap batch=%s", p->m->bench.batch), title, sizeof title));
    int row = from + 3;
    for (int digit = 1; menu_scrap(digit) && row < to; digit++)
        row += paint_choice(p, row, digit, paint_word(p, menu_scrap(digit)), "", p->m->view.choice == digit);
}

/* Names beside each other, the open one reversed and in brackets, with their digits where `keys`; those alone whose bit
 * is in `shown`. kind: of fixed names that have words, or NULL. */
static void paint_names(const struct paint *p, int row, const char (*names)[SHOWN_ID], size_t n, size_t open, bool keys,
                        uint32_t shown, const char *kind)
{
    int col = COL_CODE - 1;
    for (size_t i = 0; i < n; i++) {
        char text[SHOWN_ID + 24], digit[8] = "";
        if (!(shown >> i & 1u))
            continue;
        const char *name = kind ? model_name(p->m, kind, names[i]) : names[i];
        if (keys)
            snprintf(digit, sizeof digit, "%zu ", (i + 1) % 100);
        snprintf(text, sizeof text, i == open ? "[%s%s]" : " %s%s ", digit, name);
        int width = grid_width(p->g, text);
        if (col + width > p->g->cols - END_PAGE)
            break;
        col = grid_text(p->g, row, col, width, text, i == open ? INK_REVERSE | INK_BOLD : INK_PLAIN) + 1;
    }
}

static void paint_open_match(const struct paint *p, int row, int to, const struct match *match)
{
    char text[SHOWN_ID * 3];
    int col = grid_text(p->g, row, COL_CODE, p->g->cols - COL_CODE, match->code, INK_BOLD) + 2;
    grid_text(p->g, row, col, p->g->cols - col - END_PAGE, match->name, INK_BOLD);
    grid_char(p->g, row, 0, '>', INK_BOLD);
    snprintf(text, sizeof text, "%s%s%s", model_name(p->m, "finish", match->finish), match->line[0] ? ", " : "",
             match->line);
    if (row + 1 < to)
        grid_text(p->g, row + 1, COL_CODE, p->g->cols - COL_CODE, text, INK_PLAIN);
    if (row + 2 < to && match->n_coats)
        paint_names(p, row + 2, match->coats, match->n_coats, p->m->view.coat,
                    !p->m->view.writing && match->n_coats > 1, UINT32_MAX, "coat");
    size_t coat = p->m->view.coat < MATCH_COATS ? p->m->view.coat : 0;
    if (row + 3 < to && match->n_variants > 1)
        paint_names(p, row + 3, match->variants, match->n_variants, p->m->view.variant, false, match->has[coat], NULL);
}

static void paint_match(const struct paint *p, int row, const struct match *match)
{
    const char *kind = match->finish[0] ? model_name(p->m, "finish", match->finish) : match->line;
    struct line line = {"", match->code, match->name, kind, "", INK_BOLD, INK_PLAIN};
    paint_line(p, row, &line);
}

static void paint_find(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    paint_title(p, from, paint_word(p, "page.find"));
    paint_field(p, from + 2, paint_word(p, "page.code_or_name"), m->view.text, m->view.writing);
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
    static const char *const names[AMOUNT_LINES] = {"page.amount_g", "page.amount_ml", "page.amount_order",
                                                    "page.amount_painter"};
    const struct view *v = &p->m->view;
    char title[LINE_ROOM];
    if (v->repeat[0])
        model_text(p->m, say("page.amount_again batch=%s", v->repeat), title, sizeof title);
    else
        snprintf(title, sizeof title, "%s %s%s%s%s%s", v->wanted.code, v->wanted.name, v->wanted.n_coats ? "  " : "",
                 v->wanted.n_coats ? model_name(p->m, "coat", v->wanted.coats[0]) : "",
                 v->wanted.n_variants ? "  " : "", v->wanted.n_variants ? v->wanted.variants[0] : "");
    paint_title(p, from, title);
    int row = from + 3;
    for (size_t i = 0; i < AMOUNT_LINES && row < to; i++, row++) {
        if (i == v->line)
            grid_char(p->g, row, 0, '>', INK_BOLD);
        paint_field(p, row, paint_word(p, names[i]), v->fields[i], i == v->line);
    }
    if (row + 1 < to)
        grid_text(p->g, row + 1, COL_CODE, p->g->cols - COL_CODE, paint_word(p, "page.amount_keys"), INK_DIM);
}

static void paint_toners(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    paint_title(p, from, paint_word(p, m->view.purpose == FOR_TINT ? "page.tint" : "page.wrong_tin"));
    paint_field(p, from + 2, paint_word(p, "page.code_or_name"), m->view.text, m->view.writing);
    int row = from + 4, keys = m->view.writing ? 0 : 1;
    size_t n = menu_toners(m), room = to > row ? (size_t)(to - row) : 0;
    size_t first = m->view.line >= room && room > 0 ? m->view.line - room + 1 : 0;
    for (size_t i = first; i < n && row < to; i++, row++) {
        const struct toner_line *t = menu_toner(m, i);
        char text[SHOWN_ID + SHOWN_NAME + 4];
        snprintf(text, sizeof text, "%s  %s", t->toner, t->name);
        bool chosen = i == m->view.line && (keys || n == 1);
        paint_choice(p, row, keys ? (int)i + 1 : 0, text, "", chosen);
    }
}

static void paint_write(const struct paint *p, int from)
{
    bool lot = p->m->view.purpose == FOR_LOT;
    paint_title(p, from, paint_word(p, lot ? "page.lot_title" : "page.note_title"));
    paint_field(p, from + 3, paint_word(p, lot ? "page.lot" : "page.note"), p->m->view.text, true);
}

static void scale_text(const struct paint *p, const struct scale_line *s, char *buf, size_t size)
{
    struct number_style own = p->m->style;
    char g[NUMBER_ROOM];
    own.d_g = s->d_g;
    number_weight(&own, s->weight_g, false, g, sizeof g);
    if (s->state == SCALE_LIVE)
        model_text(p->m,
                   isfinite(s->capacity_g)
                       ? say("page.scale_to weight=%s age=%d d_g=%f capacity=%d profile=%s", g, (int)s->age_ms, s->d_g,
                             (int)s->capacity_g, s->profile)
                       : say("page.scale weight=%s age=%d d_g=%f profile=%s", g, (int)s->age_ms, s->d_g, s->profile),
                   buf, size);
    else
        snprintf(buf, size, "%s%s%s", s->profile, s->profile[0] && s->why[0] ? ", " : "", s->why);
}

static void paint_scales(const struct paint *p, int from, int to)
{
    static const char *const states[] = {"page.scale_live", "page.scale_stale", "page.scale_absent",
                                         "page.scale_seeking"};
    paint_title(p, from, paint_word(p, "page.scales"));
    int row = from + 3;
    for (size_t i = 0; i < p->m->n_scales && row + 1 < to; i++) {
        const struct scale_line *s = &p->m->scales[i];
        char text[LINE_ROOM];
        int end = grid_text_right(p->g, row, p->g->cols - END_PAGE, paint_word(p, states[s->state]), INK_BOLD);
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
    case PAGE_MENU:
    case PAGE_TIN:
        paint_menu(p, from, to, p->m->view.page == PAGE_TIN);
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
