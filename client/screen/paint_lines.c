/* paint_lines.c - the lines of a formula: done, now, next, and all that comes then. It must not judge a line: its
 * verdict and its deviation are the daemon's. */
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
    if (line->name[0])
        col = grid_text(g, row, col, end - col - 3, line->name, line->name_ink);
    int dots = g->cols - END_DOTS < end ? g->cols - END_DOTS : end;
    if (line->number[0])
        grid_run(g, row, col + 1, dots, g->utf8 ? 0xB7 : '.', INK_DIM);
}

/* `+0.3 %`, from ten per cent on without decimals: the column has no room for more. */
static void deviation_text(const struct paint *p, double pct, char *buf, size_t size)
{
    char number[NUMBER_ROOM];
    buf[0] = '\0';
    if (!isfinite(pct))
        return;
    number_fixed(&p->m->style, pct, fabs(pct) < 9.95 ? 1 : 0, true, number, sizeof number);
    snprintf(buf, size, "%s %%", number);
}

void paint_step(const struct paint *p, int row, const struct shown_step *step, const char *margin)
{
    char number[NUMBER_ROOM] = "", deviation[NUMBER_ROOM + 4] = "";
    bool done = step->state == STEP_DONE;
    double g = done ? step->poured_g : shown_open_g(step);
    if (isfinite(g))
        number_weight(&p->m->style, g, false, number, sizeof number);
    const char *shown = done && !shown_poured(step) ? paint_word(p, "page.left_out") : number;
    if (done && shown_poured(step))
        deviation_text(p, step->deviation_pct, deviation, sizeof deviation);
    struct line line = {margin, step->toner, step->name, shown, deviation, INK_BOLD, INK_PLAIN};
    paint_line(p, row, &line);
}

const struct shown_step *paint_last_done(const struct model *m)
{
    for (size_t i = m->bench.n_steps; i-- > 0;)
        if (m->bench.steps[i].state == STEP_DONE)
            return &m->bench.steps[i];
    return NULL;
}

static bool waits(const struct shown *b, size_t i)
{
    return i + 1 != b->step && (b->steps[i].state == STEP_NEXT || b->steps[i].state == STEP_AGAIN);
}

static const char *margin_of(const struct paint *p, size_t i, bool first)
{
    const struct shown *b = &p->m->bench;
    if (i + 1 == b->step)
        return paint_word(p, "page.now");
    switch (b->steps[i].state) {
    case STEP_DONE:
        return paint_word(p, "page.done");
    case STEP_NOW:
        return paint_word(p, "page.now");
    case STEP_AGAIN:
        return paint_word(p, "page.again");
    case STEP_NEXT:
        break;
    }
    return shown_poured(&b->steps[i]) ? paint_word(p, "page.again") : first ? paint_word(p, "page.next") : "";
}

/* `then Y05 6.4, K01 2.4, reducer 68.3` from step i on, in one row; what it has no room for stands as `...`. */
static void paint_then(const struct paint *p, int row, size_t i)
{
    const struct shown *b = &p->m->bench;
    char text[LINE_ROOM], one[NUMBER_ROOM + 80], number[NUMBER_ROOM];
    int room = p->g->cols - END_PAGE - COL_NAME - 5;
    snprintf(text, sizeof text, "%s", paint_word(p, "page.then"));
    for (const char *between = " "; i < b->n_steps; i++) {
        if (!waits(b, i))
            continue;
        number_weight(&p->m->style, shown_open_g(&b->steps[i]), false, number, sizeof number);
        snprintf(one, sizeof one, "%s%.60s %s", between, b->steps[i].toner, number);
        bool fits = grid_width(p->g, text) + grid_width(p->g, one) <= room;
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "%s", fits ? one : ", ...");
        if (!fits)
            break;
        between = ", ";
    }
    grid_text(p->g, row, COL_NAME, p->g->cols - END_PAGE - COL_NAME, text, INK_PLAIN);
}

void paint_next(const struct paint *p, int row, int end)
{
    const struct shown *b = &p->m->bench;
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
        paint_step(p, row++, &b->steps[i], margin_of(p, i, first));
        first = false;
    }
}

void paint_formula(const struct paint *p, int row, int end, size_t first)
{
    const struct shown *b = &p->m->bench;
    size_t lines = end > row ? (size_t)(end - row) : 0, from = first;
    if (from == 0 && b->n_steps > lines && b->step > 2)
        from = b->step - 2; /* the last one done and the open one */
    if (from + lines > b->n_steps)
        from = b->n_steps > lines ? b->n_steps - lines : 0;
    bool asked = false;
    for (size_t i = from; i < b->n_steps && row < end; i++) {
        bool next = b->steps[i].state == STEP_NEXT && i + 1 != b->step;
        paint_step(p, row++, &b->steps[i], margin_of(p, i, next && !asked));
        asked = asked || next;
    }
}
