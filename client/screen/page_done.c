/* page_done.c - the cup is mixed: every line with its deviation, the batch, the label as text. It must not judge a
 * line: that is the daemon's. */
#include "client/screen/page.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The label's box at its least: edges, code, rule, coat, order, time, and two rows of hazards. */
enum { LABEL_COLS = 40, LABEL_ROWS = 9, LABEL_HAZARDS = 4, PLAIN_ROWS = 4 };

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
static void amounts(const struct paint *p, bool with_voc, char *buf, size_t size)
{
    const struct shown *b = &p->m->bench;
    const json_t *record = p->m->lists.answer[LIST_RECORD];
    double voc = member_number(json_object_get(record, "voc"), "regulatory_g_per_l");
    buf[0] = '\0';
    if (isfinite(b->colour_g))
        model_text(p->m, shown_amounts(b->part, b->colour_g, b->spray_ml), buf, size);
    size_t n = strlen(buf);
    if (!with_voc || strcmp(member_text(record, "batch"), b->batch) != 0 || !isfinite(voc) || n + 4 >= size)
        return;
    n += (size_t)snprintf(buf + n, size - n, "%s", n ? ", " : "");
    model_text(p->m, say("page.voc voc=%d", (int)lround(voc)), buf + n, size - n);
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

/* A list of texts as one. */
static void join_all(char *buf, size_t size, const json_t *list)
{
    for (size_t i = 0; i < json_array_size(list); i++)
        if (json_is_string(json_array_get(list, i)))
            paint_join(buf, size, ", ", json_string_value(json_array_get(list, i)));
}

/* A word in the label's own language, which is the shop's and may be another than the page's. */
static const char *label_word(const struct paint *p, const json_t *label, const char *code)
{
    enum words_language language = p->m->language;
    words_language_of(member_text(label, "language"), &language);
    return words_of(language, code);
}

/* The signal word, then all hazard words, gravest first, as the label has them: none of them is cut here. */
static void hazard_text(const struct paint *p, const json_t *label, char *buf, size_t size)
{
    const char *signal = member_text(label, "signal");
    char words[LINE_ROOM] = "";
    buf[0] = '\0';
    join_all(words, sizeof words, json_object_get(label, "hazard_words"));
    if (!words[0]) {
        utf8_copy(buf, size, label_word(p, label, "label.hazards_see_sheet"));
        return;
    }
    if (signal[0])
        utf8_copy(buf, size, label_word(p, label, signal[0] == 'd' ? "hazard.danger" : "hazard.warning"));
    paint_join(buf, size, ": ", words);
}

/* What departs from the formula and which leftovers are in it: last, since hazards and use-by go before. */
static void rest_text(const struct paint *p, const json_t *label, char *buf, size_t size)
{
    char with[LINE_ROOM] = "", text[LINE_ROOM];
    buf[0] = '\0';
    join_all(buf, size, json_object_get(label, "deviations"));
    join_all(with, SAID_ROOM, json_object_get(label, "with"));
    if (with[0])
        paint_join(buf, size, "; ", model_text(p->m, say("page.with batches=%s", with), text, sizeof text));
}

/* The use-by in its reversed bar, the hazards, what departs from the book. Rows used; row below 0 only counts. */
static int label_below(const struct paint *p, int row, int col, const json_t *label)
{
    char text[LINE_ROOM];
    bool draws = row >= 0;
    int used = 0, end = col + LABEL_COLS - 4;
    if (member_text(label, "use_by")[0]) {
        model_text(p->m, say("page.use_by use_by=%s", member_text(label, "use_by")), text, sizeof text);
        if (draws)
            label_line(p, row, col, text, "", INK_REVERSE);
        used++;
    }
    hazard_text(p, label, text, sizeof text);
    used += paint_wrap(p, draws ? row + used : -1, col, end, LABEL_HAZARDS, text, INK_BOLD);
    rest_text(p, label, text, sizeof text);
    return used + paint_wrap(p, draws ? row + used : -1, col, end, 2, text, INK_PLAIN);
}

/* The label of the batch on the page; an older answer is that of another cup. */
static const json_t *label_of(const struct paint *p)
{
    const json_t *l = json_object_get(p->m->lists.answer[LIST_LABEL], "label");
    return strcmp(member_text(l, "batch"), p->m->bench.batch) == 0 ? l : NULL; /* NULL: not read yet */
}

/* Its height grows with its hazards, which are shown whole. */
static int label_rows(const struct paint *p)
{
    int rows = 7 + label_below(p, -1, 2, label_of(p));
    return rows > LABEL_ROWS ? rows : LABEL_ROWS;
}

/* Drawn in ASCII at every terminal: a label is paper, no line of the page. */
static void label_box(const struct paint *p, int row, int rows, int col)
{
    int right = col + LABEL_COLS - 1, last = row + rows - 1;
    for (int r = row; r <= last; r++) {
        bool edge = r == row || r == last;
        grid_char(p->g, r, col, edge ? '+' : '|', INK_PLAIN);
        grid_char(p->g, r, right, edge ? '+' : '|', INK_PLAIN);
        if (edge)
            grid_run(p->g, r, col + 1, right, '-', INK_PLAIN);
    }
}

/* The label's text, line for line as it will be printed (the picture code is the printer's); the batch number stands
 * where the code will. */
static void paint_label(const struct paint *p, int row, int rows, int col)
{
    const json_t *l = label_of(p);
    const int in = col + 2, end = col + LABEL_COLS - 2;
    char text[LINE_ROOM], order[LINE_ROOM];
    if (!l)
        return;
    int cuts = p->g->cuts; /* the printer narrows a line that is cut here */
    label_box(p, row, rows, col);
    label_line(p, row + 1, in, member_text(l, "code"), member_text(l, "name"), INK_PLAIN);
    grid_run(p->g, row + 2, in, end, p->g->utf8 ? 0x2550 : '=', INK_PLAIN);
    utf8_copy(text, sizeof text, member_text(l, "variant"));
    paint_join(text, sizeof text, ", ", member_text(l, "made"));
    label_line(p, row + 3, in, model_name(p->m, "coat", member_text(l, "coat")), text, INK_PLAIN);
    utf8_copy(text, sizeof text, member_text(l, "vehicle"));
    if (member_text(l, "order")[0])
        paint_join(text, sizeof text, ", ",
                   model_text(p->m, say("page.order order=%s", member_text(l, "order")), order, sizeof order));
    label_line(p, row + 4, in, "", text, INK_PLAIN);
    int number = grid_text_right(p->g, row + 5, end, member_text(l, "batch"), INK_BOLD);
    utf8_copy(text, sizeof text, member_text(l, "time"));
    paint_join(text, sizeof text, ", ", member_text(l, "painter"));
    grid_text(p->g, row + 5, in, number - 1 - in, text, INK_PLAIN);
    label_below(p, row + 6, in, l);
    p->g->cuts = cuts;
}

static struct said copies_said(const struct paint *p)
{
    return p->m->home[0] ? (struct said){.used = 0} : say("page.copies copies=%d", p->m->view.copies);
}

/* What the cup holds as a large figure, or where there are few rows as a sentence of its own. The row below it. */
static int paint_content(const struct paint *p, int row, int rows, int end)
{
    char g[NUMBER_ROOM], text[LINE_ROOM];
    struct number_style plain = p->m->style;
    plain.minus = false; /* figures have a minus of their own */
    number_weight(&plain, p->m->bench.spray_g, false, g, sizeof g);
    struct main_figure f = {.words = paint_word(p, "page.g_in_cup"), .style = {3, -1, FIGURE_LIVE, INK_PLAIN}};
    utf8_copy(f.text, sizeof f.text, g);
    if (rows < 3 + 2) {
        snprintf(text, sizeof text, "%s %s", g, f.words);
        grid_text(p->g, row, COL_CODE, end - COL_CODE, text, INK_BOLD);
        return row + 1;
    }
    if (rows >= 14)
        f.style.rows = paint_figure_rows(p, &f, end, false, rows - 5);
    if (paint_figure_cols(p, &f) > end)
        f.style.rows = 3;
    bool beside = paint_figure_cols(p, &f) <= end; /* else the words stand below */
    if (!beside)
        grid_text(p->g, row + f.style.rows, COL_CODE, end - COL_CODE, f.words, INK_PLAIN);
    f.words = beside ? f.words : "";
    paint_figure_at(p, row, f.style.rows, &f);
    row += f.style.rows + !beside;
    return row + (rows > f.style.rows + 4);
}

/* What does not fit whole is left out: how sure the shares are first, the VOC, then the amounts. The judgement never
 * is. */
static void paint_batch(const struct paint *p, int row, int to, int end)
{
    char text[LINE_ROOM];
    row = paint_content(p, row, to - row, end);
    judgement(p, text, sizeof text);
    if (row < to)
        row += paint_wrap(p, row, COL_CODE, end, to - row < 3 ? to - row : 3, text, INK_BOLD);
    for (int voc = 1; voc >= 0; voc--) {
        amounts(p, voc, text, sizeof text);
        if (row + paint_wrap(p, -1, COL_CODE, end, 9, text, INK_PLAIN) <= to) {
            row += paint_wrap(p, row, COL_CODE, end, 9, text, INK_PLAIN);
            break;
        }
    }
    if (!p->m->bench.sure)
        return;
    model_told(p->m, p->m->bench.sure, text, sizeof text);
    if (row + paint_wrap(p, -1, COL_CODE, end, 9, text, INK_DIM) <= to)
        paint_wrap(p, row, COL_CODE, end, 9, text, INK_DIM);
}

/* The margin word of a line is the daemon's verdict. */
static const char *margin_of(const struct paint *p, const struct shown_step *s)
{
    static const char *const codes[] = {"page.done", "page.done",    "page.short", "page.over",
                                        "page.left", "page.foreign", "page.tinted"};
    return s->state == STEP_DONE ? paint_word(p, codes[s->verdict]) : "";
}

/* Nothing is left to pour: every line with the daemon's verdict, and before the label is printed, what will be on it.
 * The lines of the formula stand above; below them what the cup holds, beside it the label. Of a long formula the last
 * lines are seen: + and - are the copies here. */
void page_done(const struct paint *p, int from, int to)
{
    const struct shown *b = &p->m->bench;
    int tall = label_rows(p), lines = (int)b->n_steps;
    bool beside = p->g->cols >= FULL_COLS && to - from >= tall + 4;
    int below = beside ? tall + 1 : PLAIN_ROWS, room = to - from - below - 1;
    if (room < 1)
        room = 1;
    int shown = lines <= room ? lines : room, first = lines - shown;
    for (int i = first > 0; i < shown; i++)
        paint_step(p, from + i, &b->steps[first + i], margin_of(p, &b->steps[first + i]));
    if (first > 0)
        paint_said(p, from, COL_CODE, p->g->cols - COL_CODE, say("page.more_before more=%d", first + 1), INK_DIM);
    int row = from + shown, col = p->g->cols - LABEL_COLS - END_PAGE;
    paint_rule(p, row++, '-', 0x2500);
    if (beside) {
        paint_batch(p, row, to, col - 2);
        paint_label(p, row, tall, col);
        paint_said(p, row + tall, col, LABEL_COLS, copies_said(p), INK_PLAIN);
        paint_said_right(p, row + tall, p->g->cols - END_PAGE, say("page.batch batch=%s", b->batch), INK_PLAIN);
        return;
    }
    paint_batch(p, row, to, p->g->cols - END_PAGE);
    paint_said_right(p, row, p->g->cols - END_PAGE, copies_said(p), INK_PLAIN);
}
