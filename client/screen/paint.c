#include "client/screen/paint.h"

#include <stdio.h>
#include <string.h>

void paint_rule(const struct paint *p, int row, char32_t ascii, char32_t fine)
{
    grid_run(p->g, row, 0, p->g->cols, p->g->utf8 ? fine : ascii, INK_PLAIN);
}

int paint_wrap(const struct paint *p, int row, int col, int end, int most, const char *text, unsigned ink)
{
    int width = end - col, rows = 0;
    if (width < 1)
        return 0;
    while (*text && rows < most) {
        const char *at = text, *space = NULL;
        int used = 0;
        while (*at) {
            const char *next = at;
            char32_t c = grid_next(&next);
            if (c == ' ' && used > 0)
                space = at;
            used += grid_char_width(c);
            if (used > width)
                break;
            at = next;
        }
        const char *stop = *at == '\0' ? at : space ? space : at == text ? text + 1 : at;
        char part[BENCH_TEXT * 2];
        bool last = rows + 1 == most && *stop;
        snprintf(part, sizeof part, "%.*s", (int)(last ? (ptrdiff_t)strlen(text) : stop - text), text);
        if (row >= 0)
            grid_text(p->g, row + rows, col, width, part, ink);
        rows++;
        for (text = stop; *text == ' ';)
            text++;
    }
    return rows;
}

static const char *scale_word(const struct paint *p)
{
    if (!p->m->linked)
        return "lost";
    return p->trouble.kind == TROUBLE_STALE ? "stale" : bench_scale_name(p->m->scale);
}

/* Who the page is about: as many of the parts as there is room for, none of them cut in favour of another. */
static void paint_head(const struct paint *p)
{
    const struct bench *b = &p->m->bench;
    const char *word = scale_word(p);
    bool live = strcmp(word, "live") == 0;
    int end = grid_text_right(p->g, 0, p->g->cols - END_PAGE, word, INK_BOLD | (live ? 0u : INK_RUBRIC));
    int from = grid_text_right(p->g, 0, end - 1, p->m->station, INK_PLAIN);
    char order[BENCH_NAME + 8];
    snprintf(order, sizeof order, "%s%s", b->order[0] ? "order " : "", b->order);
    char colour[BENCH_ID + BENCH_NAME + 2];
    snprintf(colour, sizeof colour, "%s%s%s", b->formula, b->name[0] ? " " : "", b->name);
    if (b->state == BENCH_IDLE)
        words_clock(p->now.wall_s, false, colour, sizeof colour);
    int col = grid_text(p->g, 0, COL_MARGIN, from - 2 - COL_MARGIN, colour, INK_BOLD);
    const char *const parts[] = {b->coat, b->variant, order, b->painter};
    for (size_t i = 0; b->state != BENCH_IDLE && i < sizeof parts / sizeof *parts; i++) {
        int width = grid_width(p->g, parts[i]);
        if (parts[i][0] && col + 3 + width < from - 1)
            col = grid_text(p->g, 0, col + 3, width, parts[i], INK_PLAIN);
    }
}

static void sill_label(const struct paint *p, const struct sill *s, char *buf, size_t size)
{
    if (s->kind == SILL_HAND)
        snprintf(buf, size, "[by hand]");
    else if (s->kind == SILL_KEY)
        snprintf(buf, size, "[Enter]");
    else if (s->kind == SILL_SENT)
        snprintf(buf, size, "[///////]");
    else if (p->m->view.page == PAGE_BENCH) { /* over: the digits that can be chosen */
        size_t n = 0;
        for (int digit = 1; digit <= 4; digit++)
            if (sill_remedy_open(p->m, digit))
                n += (size_t)snprintf(buf + n, size - n, "%s%d", n ? " " : "[", digit);
        snprintf(buf + n, size - n, "%s", n ? "]" : "[digit]");
    } else {
        snprintf(buf, size, "[digit]");
    }
}

static void paint_sill(const struct paint *p, int row)
{
    struct sill s;
    sill_of(p->m, p->now, &s);
    char label[32], right[128];
    sill_label(p, &s, label, sizeof label);
    unsigned ink = s.kind == SILL_KEY ? INK_REVERSE | INK_BOLD : INK_BOLD;
    if (s.kind == SILL_KEY) /* a key's sill is a solid bar */
        grid_run(p->g, row, 0, p->g->cols, ' ', INK_REVERSE);
    int col = grid_text(p->g, row, COL_MARGIN, p->g->cols, label, ink) + 2;
    if (col < COL_NAME)
        col = COL_NAME;
    int end = p->g->cols - END_PAGE;
    int need = col + grid_width(p->g, s.text) + 2;
    ink &= ~(unsigned)INK_BOLD;
    snprintf(right, sizeof right, "%s%s%s%s", s.second[0] ? ". " : "", s.second, s.second[0] ? "    " : "", s.zero);
    if (need + grid_width(p->g, right) > end && s.second[0])
        snprintf(right, sizeof right, ". %s", s.second);
    int room = end - need, width = grid_width(p->g, right);
    if (width <= room)
        grid_text_right(p->g, row, end, right, ink);
    else if (room >= 8) /* the next move itself is never cut for the second one */
        grid_text(p->g, row, need, room, right, ink);
    grid_text(p->g, row, col, end - col, s.text, ink | INK_BOLD);
}

/* The footnote: an answer to a key, else what the station did by itself; and below it what to beware of. Where there is
 * one row only, the first of them. */
static int paint_foot(const struct paint *p, int end)
{
    const struct model *m = p->m;
    /* The remedies' sentences come before a third row of cautions. */
    int most = p->g->rows < 24 ? 1 : m->bench.state == BENCH_OVER ? 2 : 4, right = p->g->cols - END_PAGE;
    bool answer = m->foot[0] != '\0';
    bool on_sill = m->bench.checking && m->view.page == PAGE_BENCH;
    const char *said = answer ? m->foot : on_sill ? "" : m->bench.message;
    unsigned ink = answer && m->foot_rubric ? INK_BOLD | INK_RUBRIC : INK_PLAIN;
    const char *caution = said[0] && most < 2 ? "" : m->bench.caution;
    int above = paint_wrap(p, -1, COL_MARGIN, right, caution[0] ? 1 : most, said, ink);
    int below = paint_wrap(p, -1, COL_MARGIN, right, most - above, caution, INK_BOLD | INK_RUBRIC);
    int row = end - (above + below < 1 ? 1 : above + below);
    paint_wrap(p, row, COL_MARGIN, right, above, said, ink);
    paint_wrap(p, row + above, COL_MARGIN, right, below, caution, INK_BOLD | INK_RUBRIC);
    return row;
}

int paint_frame(const struct paint *p, int *foot)
{
    int rows = p->g->rows;
    paint_head(p);
    paint_sill(p, rows - 1);
    paint_rule(p, rows - 2, '-', 0x2500);
    *foot = paint_foot(p, rows - 2);
    return 1;
}
