/* page_done.c - the cup is mixed: every line with its deviation, the batch, the label as text. It must not judge a
 * line: that is the daemon's. */
#include "client/screen/paint.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LABEL_COLS = 40, LABEL_ROWS = 9, PLAIN_ROWS = 4 };

/* What departs from the book: the facts of the batch, else the lines that are not on aim, else that all are. */
static void judgement(const struct paint *p, char *buf, size_t size)
{
    const struct shown *b = &p->m->bench;
    char off[SAID_ROOM - 40] = "";
    size_t n = 0;
    for (size_t i = 0; i < b->n_facts && n + 3 < size; i++) {
        if (i)
            n += (size_t)snprintf(buf + n, size - n, "; ");
        n += strlen(model_told(p->m, &b->facts[i], buf + n, size - n));
    }
    if (n)
        return;
    for (size_t i = 0; i < b->n_steps && n + SHOWN_ID + 4 < sizeof off; i++)
        if (b->steps[i].verdict != VERDICT_ON_AIM)
            n += (size_t)snprintf(off + n, sizeof off - n, "%s%s", n ? ", " : "", b->steps[i].toner);
    model_text(p->m, n ? say("page.not_on_aim toners=%s", off) : say("page.all_on_aim"), buf, size);
}

/* `325 g colour, 297 mL to spray`, and what the record knows of its VOC; nothing is guessed. */
static void amounts(const struct paint *p, char *buf, size_t size)
{
    const struct shown *b = &p->m->bench;
    const struct record *r = &p->m->record;
    buf[0] = '\0';
    if (isfinite(b->colour_g))
        model_text(p->m,
                   isfinite(b->spray_ml) ? say("page.both colour_g=%f spray_ml=%f", b->colour_g, b->spray_ml)
                                         : say("page.colour colour_g=%f", b->colour_g),
                   buf, size);
    size_t n = strlen(buf);
    if (strcmp(r->batch, b->batch) != 0 || !isfinite(r->voc_g_per_l) || n + 4 >= size)
        return;
    n += (size_t)snprintf(buf + n, size - n, "%s", n ? ", " : "");
    model_text(p->m, say("page.voc voc=%d", (int)lround(r->voc_g_per_l)), buf + n, size - n);
}

static void label_edge(const struct paint *p, int row, int col)
{
    grid_char(p->g, row, col, '+', INK_PLAIN);
    grid_run(p->g, row, col + 1, col + LABEL_COLS - 1, '-', INK_PLAIN);
    grid_char(p->g, row, col + LABEL_COLS - 1, '+', INK_PLAIN);
}

/* The printer narrows what is too long for its line; here as much is shown as fits. */
static void label_line(const struct paint *p, int row, int col, const char *first, const char *rest, unsigned ink)
{
    int end = col + LABEL_COLS - 4, at = col;
    if (first[0])
        at = grid_text(p->g, row, col, end - col, first, INK_BOLD | ink);
    if (first[0] && rest[0])
        at += 2;
    if (rest[0])
        grid_text(p->g, row, at, end - at, rest, ink);
}

/* Two texts as one, with a sign between them where both are there. */
static void join(char *buf, size_t size, const char *a, const char *between, const char *b)
{
    utf8_copy(buf, size, a);
    size_t n = strlen(buf);
    utf8_copy(buf + n, size - n, a[0] && b[0] ? between : "");
    n = strlen(buf);
    utf8_copy(buf + n, size - n, b);
}

static void label_below(const struct paint *p, int row, int col)
{
    const struct label_lines *l = &p->m->label;
    char text[SHOWN_TEXT * 3], rest[SHOWN_TEXT * 2], with[SHOWN_NAME + 16] = "";
    const char *hazards = l->hazards[0] ? l->hazards : paint_word(p, "page.hazards_see");
    if (l->with[0])
        model_text(p->m, say("page.with batches=%s", l->with), with, sizeof with);
    join(rest, sizeof rest, l->deviations, "; ", with);
    if (!l->use_by[0]) {
        label_line(p, row, col, hazards, "", INK_PLAIN);
        label_line(p, row + 1, col, "", rest, INK_PLAIN);
        return;
    }
    model_text(p->m, say("page.use_by use_by=%s", l->use_by), with,
               sizeof with); /* the reversed bar, hazards below it */
    label_line(p, row, col, with, "", INK_REVERSE);
    join(text, sizeof text, hazards, "; ", rest);
    label_line(p, row + 1, col, "", text, INK_PLAIN);
}

/* The label's text, line for line as it will be printed (the picture code is the printer's); the batch number stands
 * where the code will. */
static void paint_label(const struct paint *p, int row, int col)
{
    const struct label_lines *l = &p->m->label;
    const int in = col + 2, end = col + LABEL_COLS - 2;
    char text[SHOWN_TEXT * 3], order[SHOWN_NAME + 16] = "";
    if (strcmp(l->batch, p->m->bench.batch) != 0)
        return;            /* not read yet */
    int cuts = p->g->cuts; /* the printer narrows a line that is cut here */
    label_edge(p, row, col);
    label_edge(p, row + LABEL_ROWS - 1, col);
    for (int r = 1; r < LABEL_ROWS - 1; r++) {
        grid_char(p->g, row + r, col, '|', INK_PLAIN);
        grid_char(p->g, row + r, col + LABEL_COLS - 1, '|', INK_PLAIN);
    }
    label_line(p, row + 1, in, l->code, l->name, INK_PLAIN);
    grid_run(p->g, row + 2, in, end, p->g->utf8 ? 0x2550 : '=', INK_PLAIN);
    join(text, sizeof text, l->variant, ", ", l->made);
    label_line(p, row + 3, in, model_name(p->m, "coat", l->coat), text, INK_PLAIN);
    if (l->order[0])
        model_text(p->m, say("page.order order=%s", l->order), order, sizeof order);
    join(text, sizeof text, l->vehicle, ", ", order);
    label_line(p, row + 4, in, "", text, INK_PLAIN);
    int number = grid_text_right(p->g, row + 5, end, l->batch, INK_BOLD);
    join(text, sizeof text, l->time, ", ", l->painter);
    grid_text(p->g, row + 5, in, number - 1 - in, text, INK_PLAIN);
    label_below(p, row + 6, in);
    p->g->cuts = cuts;
}

static void paint_copies(const struct paint *p, int row, int col)
{
    paint_said(p, row, col, p->g->cols - col, say("page.copies copies=%d", p->m->view.copies), INK_PLAIN);
    if (p->g->cols >= FULL_COLS)
        paint_said_right(p, row, p->g->cols - END_PAGE, say("page.batch batch=%s", p->m->bench.batch), INK_PLAIN);
}

static void paint_batch(const struct paint *p, int row, int to, int end)
{
    char g[NUMBER_ROOM], text[LINE_ROOM];
    int rows = to - row;
    struct figure_style style = {rows >= 14 && end >= 60 ? 5 : 3, -1, FIGURE_LIVE, INK_PLAIN};
    struct number_style plain = p->m->style;
    plain.minus = false;
    number_weight(&plain, p->m->bench.spray_g, false, g, sizeof g);
    if (rows < style.rows + 2) {
        snprintf(text, sizeof text, "%s %s", g, paint_word(p, "page.g_in_cup"));
        grid_text(p->g, row, COL_CODE, end - COL_CODE, text, INK_BOLD);
        return;
    }
    int used = figures_draw(p->g, row, COL_CODE, g, &style);
    grid_text(p->g, row + style.rows - 1, used + 2, end - used - 2, paint_word(p, "page.g_in_cup"), INK_PLAIN);
    row += style.rows + (rows > style.rows + 4);
    judgement(p, text, sizeof text);
    if (row < to)
        row += paint_wrap(p, row, COL_CODE, end, 3, text, INK_BOLD);
    amounts(p, text, sizeof text);
    if (row < to)
        paint_wrap(p, row, COL_CODE, end, to - row < 3 ? to - row : 3, text, INK_PLAIN);
}

static const char *margin_of(const struct paint *p, const struct shown_step *s)
{
    static const char *const codes[] = {"page.done", "page.done",    "page.short", "page.over",
                                        "page.left", "page.foreign", "page.tinted"};
    return s->state == STEP_DONE ? paint_word(p, codes[s->verdict]) : "";
}

void page_done(const struct paint *p, int from, int to)
{
    const struct shown *b = &p->m->bench;
    bool beside = p->g->cols >= FULL_COLS && to - from >= LABEL_ROWS + 4;
    int below = beside ? LABEL_ROWS + 1 : PLAIN_ROWS;
    int lines = (int)b->n_steps, room = to - from - below - 1;
    if (room < 1)
        room = 1;
    int shown = lines <= room ? lines : room;
    int first = lines - shown; /* + and - are the copies here; of a long formula the last lines are seen */
    for (int i = first > 0; i < shown; i++)
        paint_step(p, from + i, &b->steps[first + i], margin_of(p, &b->steps[first + i]));
    if (first > 0)
        paint_said(p, from, COL_CODE, p->g->cols - COL_CODE, say("page.more_before more=%d", first + 1), INK_DIM);
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
