/* page_idle.c - nothing is open: what waits, newest first; after a while only the clock. */
#include "client/screen/paint.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *state_word(const struct batch_line *b)
{
    if (strcmp(b->state, "finished") == 0 || (b->finished[0] && b->state[0] == '\0'))
        return "done";
    if (b->state[0])
        return b->state;
    return "held";
}

static void paint_batch_line(const struct paint *p, int row, size_t i, size_t key)
{
    const struct batch_line *b = &p->m->batches[i];
    bool open = p->m->view.line == i + 1;
    char text[BENCH_TEXT * 2], number[64] = "", weight[48];
    unsigned ink = open ? INK_BOLD : INK_PLAIN;
    if (open)
        grid_char(p->g, row, 0, '>', INK_BOLD);
    if (key >= 1 && key <= 9) {
        snprintf(text, sizeof text, " %zu ", key);
        grid_text(p->g, row, 1, 3, text, open ? INK_REVERSE | INK_BOLD : INK_BOLD);
    }
    grid_text(p->g, row, COL_CODE - 1, 7, b->batch, INK_BOLD);
    if (isfinite(b->total_g)) {
        words_weight(&p->m->words, b->total_g, weight, sizeof weight);
        snprintf(number, sizeof number, "%s g", weight);
    }
    int end = grid_text_right(p->g, row, p->g->cols - 10, number, ink);
    grid_text_right(p->g, row, p->g->cols - END_PAGE, b->finished[0] ? b->finished : state_word(b), ink);
    snprintf(text, sizeof text, "%s  %s  %s  %s", b->formula, b->name, b->coat, b->variant);
    int col = grid_text(p->g, row, COL_NAME + 1, end - 3 - COL_NAME, text, ink);
    snprintf(text, sizeof text, "  %s%s", b->order[0] ? "order " : "", b->order);
    if (b->order[0] && col + grid_width(p->g, text) < end - 1)
        grid_text(p->g, row, col, end - 1 - col, text, ink);
}

/* What is wrong with the scale. The sill names the next move of an idle bench, so what mends it stands here as well. */
static void paint_trouble(const struct paint *p, int row)
{
    const struct trouble *t = &p->trouble;
    int room = p->g->cols - END_PAGE - COL_CODE;
    char mend[sizeof t->by_hand + 1], first[BENCH_TEXT * 2];
    size_t len = strlen(t->by_hand);
    snprintf(mend, sizeof mend, "%s%s", t->by_hand, len && t->by_hand[len - 1] == '?' ? "" : ".");
    mend[0] = (char)toupper((unsigned char)mend[0]);
    bool beside = t->detail[0] != '\0'; /* below stands what the reason had no room for */
    snprintf(first, sizeof first, "%s%s%s", t->reason, beside ? " " : "", beside ? mend : "");
    grid_text(p->g, row, COL_CODE, room, first, INK_RUBRIC);
    grid_text(p->g, row + 1, COL_CODE, room, beside ? t->detail : mend, INK_PLAIN);
}

static void paint_weight(const struct paint *p, int row)
{
    char g[48], text[96];
    if (p->trouble.kind != TROUBLE_NONE) {
        paint_trouble(p, row);
        return;
    }
    if (p->life != LIFE_LIVE || !p->m->weight.known)
        return;
    words_weight(&p->m->words, p->m->weight.g, g, sizeof g);
    snprintf(text, sizeof text, "%s g", g);
    grid_text_right(p->g, row, p->g->cols - END_PAGE, text, INK_PLAIN);
    grid_text(p->g, row, COL_CODE, 30, p->m->n_batches ? "today" : "nothing was mixed today", INK_PLAIN);
}

void page_idle(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    if (p->now.ms - m->view.touched_ms >= DROWSY_MS) {
        char clock[16];
        words_clock(p->now.wall_s, false, clock, sizeof clock);
        grid_run(p->g, 0, 0, p->g->cols, ' ', INK_PLAIN);
        grid_text(p->g, (from + to) / 2, COL_CODE, 20, clock, INK_DIM);
        grid_text(p->g, (from + to) / 2, COL_NAME + 2, 20, "idle", INK_DIM);
        return;
    }
    paint_rule(p, from, '-', 0x2500);
    grid_text(p->g, from + 1, COL_MARGIN, 5, "now", INK_PLAIN);
    paint_weight(p, from + 1);
    int row = from + 3;
    size_t room = to > row ? (size_t)(to - row) : 0, first = 0;
    if (m->view.line > room)
        first = m->view.line - room;
    for (size_t i = first; i < m->n_batches && row < to; i++)
        paint_batch_line(p, row++, i, i + 1);
}
