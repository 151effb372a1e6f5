/* page_done.c - the cup is mixed: every line with its deviation, the batch, the label as text. */
#include "client/screen/paint.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LABEL_COLS = 40, LABEL_ROWS = 9, LEFT_COLS = 37, FULL_COLS = 80, PLAIN_ROWS = 4 };

static bool on_aim(const struct paint *p, const struct bench_step *s)
{
    double off = words_round(s->poured_g, p->m->words.d_g) - words_round(s->aim_g, p->m->words.d_g);
    bool reducer = p->m->record.reducer[0] && strcmp(p->m->record.reducer, s->toner) == 0;
    /* The station's usual tolerances; its own stand in no screen once a step is closed. */
    double allowed = fmax(p->m->words.d_g, (reducer ? 0.05 : 0.005) * s->aim_g);
    return bench_step_poured(s) && isfinite(s->aim_g) && fabs(off) <= allowed + 1e-9;
}

/* `every toner on aim`, or the ones that are not. */
static void verdict(const struct paint *p, char *buf, size_t size)
{
    const struct bench *b = &p->m->bench;
    size_t n = 0, off = 0;
    for (size_t i = 0; i < b->n_steps && n + BENCH_ID + 16 < size; i++)
        if (!on_aim(p, &b->steps[i]))
            n += (size_t)snprintf(buf + n, size - n, "%s%s", off++ ? ", " : "not on aim: ", b->steps[i].toner);
    if (off == 0)
        snprintf(buf, size, "every toner on aim");
}

static double batch_g(const struct paint *p)
{
    const struct bench *b = &p->m->bench;
    if (strcmp(p->m->record.batch, b->batch) == 0 && isfinite(p->m->record.total_g))
        return p->m->record.total_g;
    double sum = 0;
    for (size_t i = 0; i < b->n_steps; i++)
        sum += bench_step_poured(&b->steps[i]) ? b->steps[i].poured_g : 0;
    return sum;
}

/* `0.47 L ready to spray, 612 g/L VOC as applied`: what the record knows; nothing is guessed. */
static void volume_text(const struct paint *p, char *buf, size_t size)
{
    const struct record *r = &p->m->record;
    char litres[48], voc[48];
    buf[0] = '\0';
    if (strcmp(r->batch, p->m->bench.batch) != 0 || !isfinite(r->total_ml))
        return;
    words_litres(&p->m->words, r->total_ml, litres, sizeof litres);
    size_t n = (size_t)snprintf(buf, size, "%s ready to spray", litres);
    if (!isfinite(r->voc_g_per_l))
        return;
    words_number(&p->m->words, r->voc_g_per_l, 0, false, voc, sizeof voc);
    snprintf(buf + n, size - n, ", %s g/L VOC as applied", voc);
}

static void label_edge(const struct paint *p, int row, int col)
{
    grid_char(p->g, row, col, '+', INK_PLAIN);
    grid_run(p->g, row, col + 1, col + LABEL_COLS - 1, '-', INK_PLAIN);
    grid_char(p->g, row, col + LABEL_COLS - 1, '+', INK_PLAIN);
}

static void label_line(const struct paint *p, int row, int col, const char *first, const char *rest, unsigned ink)
{
    int end = col + LABEL_COLS - 4;
    int at = grid_text(p->g, row, col, end - col, first, INK_BOLD | ink);
    if (first[0] && rest[0])
        at += 2;
    grid_text(p->g, row, at, end - at, rest, ink);
}

/* The label's text, line for line as it will be printed (the picture code is the printer's); the batch number stands
 * where the code will. */
static void paint_label(const struct paint *p, int row, int col)
{
    const struct label_lines *l = &p->m->label;
    const int in = col + 2, end = col + LABEL_COLS - 2;
    char text[BENCH_TEXT * 3];
    if (strcmp(l->batch, p->m->bench.batch) != 0)
        return; /* not read yet */
    label_edge(p, row, col);
    label_edge(p, row + LABEL_ROWS - 1, col);
    for (int r = 1; r < LABEL_ROWS - 1; r++) {
        grid_char(p->g, row + r, col, '|', INK_PLAIN);
        grid_char(p->g, row + r, col + LABEL_COLS - 1, '|', INK_PLAIN);
    }
    label_line(p, row + 1, in, l->code, l->name, INK_PLAIN);
    grid_run(p->g, row + 2, in, end, p->g->utf8 ? 0x2550 : '=', INK_PLAIN);
    snprintf(text, sizeof text, "%s%s%s", l->variant, l->variant[0] && l->made[0] ? ", " : "", l->made);
    label_line(p, row + 3, in, l->coat, text, INK_PLAIN);
    snprintf(text, sizeof text, "%s%s%s%s", l->vehicle, l->vehicle[0] && l->order[0] ? ", " : "",
             l->order[0] ? "order " : "", l->order);
    label_line(p, row + 4, in, "", text, INK_PLAIN);
    int number = grid_text_right(p->g, row + 5, end, l->batch, INK_BOLD);
    snprintf(text, sizeof text, "%s%s%s", l->time, l->painter[0] ? ", " : "", l->painter);
    grid_text(p->g, row + 5, in, number - 1 - in, text, INK_PLAIN);
    const char *hazards = l->hazards[0] ? l->hazards : "hazards: see sheet";
    const char *between = l->deviations[0] && l->with[0] ? "; " : "";
    if (l->use_by[0]) { /* in the reversed bar, the hazards below it */
        snprintf(text, sizeof text, " use by %s ", l->use_by);
        label_line(p, row + 6, in, text, "", INK_REVERSE);
        snprintf(text, sizeof text, "%s%s%s%s%s", hazards, l->deviations[0] || l->with[0] ? "; " : "", l->deviations,
                 between, l->with);
    } else {
        label_line(p, row + 6, in, hazards, "", INK_PLAIN);
        snprintf(text, sizeof text, "%s%s%s%s", l->deviations, between, l->with[0] ? "with " : "", l->with);
    }
    label_line(p, row + 7, in, "", text, INK_PLAIN);
}

static void paint_copies(const struct paint *p, int row, int col)
{
    char text[48];
    snprintf(text, sizeof text, "copies - %d +", p->m->view.copies);
    grid_text(p->g, row, col, p->g->cols - col, text, INK_PLAIN);
    snprintf(text, sizeof text, "batch %.20s", p->m->bench.batch);
    if (p->g->cols >= FULL_COLS)
        grid_text_right(p->g, row, p->g->cols - END_PAGE, text, INK_PLAIN);
}

static void paint_batch(const struct paint *p, int row, int to, int end)
{
    char g[48], text[BENCH_TEXT];
    int rows = to - row;
    struct figure_style style = {rows >= 14 && end >= 60 ? 5 : 3, -1, FIGURE_LIVE, INK_PLAIN};
    struct words plain = p->m->words;
    plain.utf8 = false;
    words_weight(&plain, batch_g(p), g, sizeof g);
    grid_text(p->g, row, COL_MARGIN, 5, "batch", INK_PLAIN);
    if (rows < style.rows + 2) {
        snprintf(text, sizeof text, "%s g in cup", g);
        grid_text(p->g, row, COL_CODE, end - COL_CODE, text, INK_BOLD);
        return;
    }
    int used = figures_draw(p->g, row, COL_CODE, g, &style);
    int room = end - used - 2;
    bool one_line = room >= (int)strlen("g in cup");
    if (!one_line)
        grid_text(p->g, row + style.rows - 2, used + 2, room, "g", INK_PLAIN);
    grid_text(p->g, row + style.rows - 1, used + 2, room, one_line ? "g in cup" : "in cup", INK_PLAIN);
    row += style.rows + (rows > style.rows + 4);
    verdict(p, text, sizeof text);
    if (row < to)
        row += paint_wrap(p, row, COL_CODE, end, 2, text, INK_BOLD);
    volume_text(p, text, sizeof text);
    if (row < to)
        paint_wrap(p, row, COL_CODE, end, to - row < 2 ? 1 : 2, text, INK_PLAIN);
}

void page_done(const struct paint *p, int from, int to)
{
    const struct bench *b = &p->m->bench;
    bool beside = p->g->cols >= FULL_COLS && to - from >= LABEL_ROWS + 4;
    int below = beside ? LABEL_ROWS + 1 : PLAIN_ROWS;
    int lines = (int)b->n_steps, room = to - from - below - 1;
    if (room < 1)
        room = 1;
    int shown = lines <= room ? lines : room;
    int first = lines - shown; /* + and - are the copies here; of a long formula the last lines are seen */
    for (int i = 0; i < shown; i++) {
        const struct bench_step *s = &b->steps[first + i];
        paint_step(p, from + i, s, s->state == STEP_DONE ? "done" : "");
    }
    if (first > 0) {
        char text[64];
        snprintf(text, sizeof text, "%d more before", first);
        grid_run(p->g, from, 0, p->g->cols, ' ', INK_PLAIN);
        grid_text(p->g, from, COL_CODE, p->g->cols - COL_CODE, text, INK_DIM);
    }
    int row = from + shown;
    paint_rule(p, row++, '-', 0x2500);
    int end = beside ? p->g->cols - LABEL_COLS - END_PAGE - 2 : p->g->cols - END_PAGE;
    paint_batch(p, row, to, end);
    if (beside) {
        paint_label(p, row, p->g->cols - LABEL_COLS - END_PAGE);
        paint_copies(p, row + LABEL_ROWS, p->g->cols - LABEL_COLS - END_PAGE);
    } else if (to - row > 1) {
        paint_copies(p, to - 1, COL_CODE);
    }
}
