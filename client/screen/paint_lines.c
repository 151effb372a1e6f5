#include "client/screen/paint.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void paint_line(const struct paint *p, int row, const struct line *line)
{
    struct grid *g = p->g;
    int number_end = g->cols - END_NUMBER;
    grid_text(g, row, COL_MARGIN, COL_CODE - COL_MARGIN - 1, line->margin, INK_PLAIN);
    int number_at = number_end;
    if (line->number[0])
        number_at = grid_text_right(g, row, number_end, line->number, INK_BOLD);
    grid_text_right(g, row, g->cols - END_PAGE, line->deviation, INK_PLAIN);
    int end = number_at - 2;
    int col = grid_text(g, row, COL_CODE, end - COL_CODE, line->code, line->code_ink) + 1;
    if (col < COL_NAME)
        col = COL_NAME;
    else if (line->code[0])
        col++;
    col = grid_text(g, row, col, end - col - 3, line->name, line->name_ink);
    int dots = g->cols - END_DOTS < end ? g->cols - END_DOTS : end;
    if (line->number[0])
        grid_run(g, row, col + 1, dots, g->utf8 ? 0xB7 : '.', INK_DIM);
}

void paint_step(const struct paint *p, int row, const struct bench_step *step, const char *margin)
{
    char number[48] = "", deviation[48] = "";
    bool done = step->state == STEP_DONE;
    double g = done ? step->poured_g : bench_step_open_g(step);
    if (isfinite(g))
        words_weight(&p->m->words, g, number, sizeof number);
    if (done && !bench_step_poured(step))
        snprintf(number, sizeof number, "left out");
    else if (done && isfinite(step->aim_g))
        words_signed(&p->m->words,
                     words_round(step->poured_g, p->m->words.d_g) - words_round(step->aim_g, p->m->words.d_g),
                     deviation, sizeof deviation);
    struct line line = {margin, step->toner, step->name, number, deviation, INK_BOLD, INK_PLAIN};
    paint_line(p, row, &line);
}

const struct bench_step *paint_last_done(const struct model *m)
{
    for (size_t i = m->bench.n_steps; i-- > 0;)
        if (m->bench.steps[i].state == STEP_DONE)
            return &m->bench.steps[i];
    return NULL;
}

static bool waits(const struct bench *b, size_t i)
{
    return i + 1 != b->step && (b->steps[i].state == STEP_NEXT || b->steps[i].state == STEP_AGAIN);
}

static const char *margin_of(const struct bench *b, size_t i, bool first)
{
    if (i + 1 == b->step)
        return "now";
    switch (b->steps[i].state) {
    case STEP_DONE:
        return "done";
    case STEP_NOW:
        return "now";
    case STEP_AGAIN:
        return "again";
    case STEP_NEXT:
        break;
    }
    return bench_step_poured(&b->steps[i]) ? "again" : first ? "next" : "";
}

/* `then Y05 6.4, K01 2.4, reducer 68.3` from step i on, in one row. */
static void paint_then(const struct paint *p, int row, size_t i)
{
    const struct bench *b = &p->m->bench;
    char text[BENCH_TEXT * 2] = "then", number[48];
    size_t n = strlen(text);
    bool first = true;
    for (; i < b->n_steps && n + BENCH_ID + 60 < sizeof text; i++) {
        if (!waits(b, i))
            continue;
        words_weight(&p->m->words, bench_step_open_g(&b->steps[i]), number, sizeof number);
        n += (size_t)snprintf(text + n, sizeof text - n, "%s %s %s", first ? "" : ",", b->steps[i].toner, number);
        first = false;
    }
    grid_text(p->g, row, COL_NAME, p->g->cols - END_PAGE - COL_NAME, text, INK_PLAIN);
}

void paint_next(const struct paint *p, int row, int end)
{
    const struct bench *b = &p->m->bench;
    size_t waiting = 0;
    for (size_t i = 0; i < b->n_steps; i++)
        waiting += waits(b, i);
    int lines = end - row;
    /* Three rows hold three steps, or two and all the rest in one. */
    int own = waiting <= 3 && (int)waiting <= lines ? (int)waiting : lines < 2 ? lines : lines > 3 ? 2 : lines - 1;
    bool first = true;
    for (size_t i = 0; i < b->n_steps && row < end; i++) {
        if (!waits(b, i))
            continue;
        if (own-- == 0) {
            paint_then(p, row, i);
            return;
        }
        paint_step(p, row++, &b->steps[i], margin_of(b, i, first));
        first = false;
    }
}

void paint_formula(const struct paint *p, int row, int end, size_t first)
{
    const struct bench *b = &p->m->bench;
    size_t lines = end > row ? (size_t)(end - row) : 0, from = first;
    if (from == 0 && b->n_steps > lines && b->step > 2)
        from = b->step - 2; /* the last one done and the open one */
    if (from + lines > b->n_steps)
        from = b->n_steps > lines ? b->n_steps - lines : 0;
    bool asked = false;
    for (size_t i = from; i < b->n_steps && row < end; i++) {
        bool next = b->steps[i].state == STEP_NEXT && i + 1 != b->step;
        paint_step(p, row++, &b->steps[i], margin_of(b, i, next && !asked));
        asked = asked || next;
    }
}
