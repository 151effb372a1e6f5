/* page_done.c - the cup is mixed: every line with its deviation, the batch, the label as text. It must not judge a
 * line: that is the daemon's. */
#include "client/screen/page.h"
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
    for (size_t i = 0; i < json_array_size(b->facts) && n + 3 < size; i++) {
        if (i)
            n += (size_t)snprintf(buf + n, size - n, "; ");
        n += strlen(model_told(p->m, json_array_get(b->facts, i), buf + n, size - n));
    }
    if (n)
        return;
    for (size_t i = 0; i < b->n_steps && n + 80 < sizeof off; i++)
        if (b->steps[i].verdict != VERDICT_ON_AIM)
            n += (size_t)snprintf(off + n, sizeof off - n, "%s%.60s", n ? ", " : "", b->steps[i].toner);
    model_text(p->m, n ? say("page.not_on_aim toners=%s", off) : say("page.all_on_aim"), buf, size);
}

/* `325 g colour, 297 mL to spray`, and what the record knows of its VOC; nothing is guessed. */
static void amounts(const struct paint *p, char *buf, size_t size)
{
    const struct shown *b = &p->m->bench;
    const json_t *record = p->m->lists.answer[LIST_RECORD];
    double voc = shown_number(json_object_get(record, "voc"), "regulatory_g_per_l");
    buf[0] = '\0';
    if (isfinite(b->colour_g))
        model_text(p->m,
                   isfinite(b->spray_ml) ? say("page.both colour_g=%f spray_ml=%f", b->colour_g, b->spray_ml)
                                         : say("page.colour colour_g=%f", b->colour_g),
                   buf, size);
    size_t n = strlen(buf);
    if (strcmp(shown_text(record, "batch"), b->batch) != 0 || !isfinite(voc) || n + 4 >= size)
        return;
    n += (size_t)snprintf(buf + n, size - n, "%s", n ? ", " : "");
    model_text(p->m, say("page.voc voc=%d", (int)lround(voc)), buf + n, size - n);
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

/* Adds a text to another, with a sign between them where both are there. */
static void join(char *buf, size_t size, const char *between, const char *text)
{
    size_t n = strlen(buf);
    utf8_copy(buf + n, size - n, n && text[0] ? between : "");
    n = strlen(buf);
    utf8_copy(buf + n, size - n, text);
}

/* A list of texts as one. */
static void join_all(char *buf, size_t size, const json_t *list)
{
    for (size_t i = 0; i < json_array_size(list); i++)
        if (json_is_string(json_array_get(list, i)))
            join(buf, size, ", ", json_string_value(json_array_get(list, i)));
}

static void label_below(const struct paint *p, int row, int col, const json_t *label)
{
    char hazards[LINE_ROOM] = "", rest[LINE_ROOM] = "", with[LINE_ROOM] = "", bar[LINE_ROOM];
    join_all(hazards, sizeof hazards, json_object_get(label, "hazard_words"));
    join_all(rest, sizeof rest, json_object_get(label, "deviations"));
    join_all(with, SAID_ROOM, json_object_get(label, "with"));
    if (!hazards[0])
        utf8_copy(hazards, sizeof hazards, paint_word(p, "page.hazards_see"));
    if (with[0])
        join(rest, sizeof rest, "; ", model_text(p->m, say("page.with batches=%s", with), bar, sizeof bar));
    if (!shown_text(label, "use_by")[0]) {
        label_line(p, row, col, hazards, "", INK_PLAIN);
        label_line(p, row + 1, col, "", rest, INK_PLAIN);
        return;
    }
    /* The reversed bar, hazards below it. */
    model_text(p->m, say("page.use_by use_by=%s", shown_text(label, "use_by")), bar, sizeof bar);
    label_line(p, row, col, bar, "", INK_REVERSE);
    join(hazards, sizeof hazards, "; ", rest);
    label_line(p, row + 1, col, "", hazards, INK_PLAIN);
}

static void label_box(const struct paint *p, int row, int col)
{
    label_edge(p, row, col);
    label_edge(p, row + LABEL_ROWS - 1, col);
    for (int r = 1; r < LABEL_ROWS - 1; r++) {
        grid_char(p->g, row + r, col, '|', INK_PLAIN);
        grid_char(p->g, row + r, col + LABEL_COLS - 1, '|', INK_PLAIN);
    }
}

/* The label's text, line for line as it will be printed (the picture code is the printer's); the batch number stands
 * where the code will. */
static void paint_label(const struct paint *p, int row, int col)
{
    const json_t *l = json_object_get(p->m->lists.answer[LIST_LABEL], "label");
    const int in = col + 2, end = col + LABEL_COLS - 2;
    char text[LINE_ROOM], order[LINE_ROOM];
    if (strcmp(shown_text(l, "batch"), p->m->bench.batch) != 0)
        return;            /* not read yet */
    int cuts = p->g->cuts; /* the printer narrows a line that is cut here */
    label_box(p, row, col);
    label_line(p, row + 1, in, shown_text(l, "code"), shown_text(l, "name"), INK_PLAIN);
    grid_run(p->g, row + 2, in, end, p->g->utf8 ? 0x2550 : '=', INK_PLAIN);
    utf8_copy(text, sizeof text, shown_text(l, "variant"));
    join(text, sizeof text, ", ", shown_text(l, "made"));
    label_line(p, row + 3, in, model_name(p->m, "coat", shown_text(l, "coat")), text, INK_PLAIN);
    utf8_copy(text, sizeof text, shown_text(l, "vehicle"));
    if (shown_text(l, "order")[0])
        join(text, sizeof text, ", ",
             model_text(p->m, say("page.order order=%s", shown_text(l, "order")), order, sizeof order));
    label_line(p, row + 4, in, "", text, INK_PLAIN);
    int number = grid_text_right(p->g, row + 5, end, shown_text(l, "batch"), INK_BOLD);
    utf8_copy(text, sizeof text, shown_text(l, "time"));
    join(text, sizeof text, ", ", shown_text(l, "painter"));
    grid_text(p->g, row + 5, in, number - 1 - in, text, INK_PLAIN);
    label_below(p, row + 6, in, l);
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
