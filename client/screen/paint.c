/* paint.c - what the pages share: text put into rows, the lines of a formula, the large figure. It must not know which
 * page it draws on, and judges nothing: verdicts, deviations, cues and weights are the daemon's. */
#include "client/screen/page.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void paint_rule(const struct paint *p, int row, char32_t ascii, char32_t fine)
{
    grid_run(p->g, row, 0, p->g->cols, p->g->utf8 ? fine : ascii, INK_PLAIN);
}

const char *paint_word(const struct paint *p, const char *code)
{
    return model_word(p->m, code);
}

int paint_said(const struct paint *p, int row, int col, int width, struct said s, unsigned ink)
{
    char text[LINE_ROOM];
    return grid_text(p->g, row, col, width, model_text(p->m, s, text, sizeof text), ink);
}

int paint_said_right(const struct paint *p, int row, int end, struct said s, unsigned ink)
{
    char text[LINE_ROOM];
    return grid_text_right(p->g, row, end, model_text(p->m, s, text, sizeof text), ink);
}

/* Whether a blank stands between a figure and its unit: a row never begins with a lonely `g`. */
static bool before_unit(const char *at)
{
    static const char *const units[] = {"g", "mL", "min", "%"};
    if (at[-1] < '0' || at[-1] > '9')
        return false;
    size_t n = strcspn(at + 1, " ,.;:");
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strlen(units[i]) == n && strncmp(at + 1, units[i], n) == 0)
            return true;
    return false;
}

/* Bytes of the text that one row of `width` columns takes: up to a space where there is one. */
static size_t row_bytes(const struct paint *p, const char *text, int width)
{
    char one[LINE_ROOM];
    size_t all = 0, space = 0, n;
    int taken = 0;
    if (grid_width(p->g, text) <= width) /* as nearly every text does */
        return strlen(text);
    while ((n = utf8_character(text + all)) > 0 && all + n < sizeof one) {
        memcpy(one, text + all, n);
        one[n] = '\0';
        taken += grid_width(p->g, one);
        if (text[all] == ' ' && all > 0 && !before_unit(text + all))
            space = all;
        if (taken > width)
            return space ? space : all ? all : n;
        all += n;
    }
    return all;
}

/* The last row takes all that is left, so what does not fit is cut there with its mark. */
int paint_wrap(const struct paint *p, int row, int col, int end, int most, const char *text, unsigned ink)
{
    int rows = 0;
    if (end - col < 1)
        return 0;
    for (; *text && rows < most; rows++) {
        size_t n = row_bytes(p, text, end - col);
        char part[LINE_ROOM];
        bool last = rows + 1 == most && text[n];
        snprintf(part, sizeof part, "%.*s", (int)(last ? sizeof part - 1 : n), text);
        if (row >= 0)
            grid_text(p->g, row + rows, col, end - col, part, ink);
        for (text += n; *text == ' ';)
            text++;
    }
    return rows;
}

/* Beside a code half a name tells nothing: it is left out rather than cut, unless a dozen columns are there. */
int paint_words(const struct paint *p, int row, int col, int width, const char *text, unsigned ink)
{
    char part[LINE_ROOM];
    size_t n = width > 0 ? row_bytes(p, text, width) : 0;
    /* row_bytes stops inside a word only where that word is the first: then it is cut, with its mark. */
    bool whole = n > 0 && (text[n] == '\0' || text[n] == ' ');
    while (whole && (text[n - 1] == ' ' || text[n - 1] == ',') && n > 1)
        n--;
    utf8_copy(part, whole && n + 1 < sizeof part ? n + 1 : sizeof part, text);
    return whole || width >= 12 ? grid_text(p->g, row, col, width, part, ink) : col;
}

void paint_join(char *buf, size_t size, const char *between, const char *text)
{
    size_t n = strlen(buf);
    utf8_copy(buf + n, size - n, n && text[0] ? between : "");
    n = strlen(buf);
    utf8_copy(buf + n, size - n, text);
}

/* Chosen is shown twice, by `>` and by reverse: no terminal shows only one of them. */
void paint_digit(const struct paint *p, int row, int digit, bool open, bool chosen)
{
    char key[16] = "   ";
    if (open && digit >= 1 && digit <= 9)
        snprintf(key, sizeof key, " %d ", digit);
    grid_text(p->g, row, 1, 3, key, chosen ? INK_REVERSE | INK_BOLD : INK_BOLD);
    if (chosen)
        grid_char(p->g, row, 0, '>', INK_BOLD);
}

/* ---- the lines of a formula: done, now, next, and all that comes then ---- */

/* Leaders end in one column for all lines, so the eye finds the number; a long name only shortens them. */
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

/* Done and over: what was poured and its deviation. Else what the step still asks for. */
void paint_step(const struct paint *p, int row, const struct shown_step *step, const char *margin)
{
    char number[NUMBER_ROOM] = "", deviation[NUMBER_ROOM + 4] = "";
    bool done = step->state == STEP_DONE || step->verdict == VERDICT_OVER;
    double g = done ? step->poured_g : step->to_go_g;
    if (isfinite(g))
        number_weight(&p->m->style, g, false, number, sizeof number);
    const char *shown = done && !shown_poured(step) ? paint_word(p, "page.left_out") : number;
    if (done && shown_poured(step))
        deviation_text(p, step->deviation_pct, deviation, sizeof deviation);
    char name[LINE_ROOM], looks[LINE_ROOM];
    utf8_copy(name, sizeof name, step->shelf_cup ? paint_word(p, "page.shelf_cup") : step->name);
    if (done && step->looks)
        paint_join(name, sizeof name, ", ", model_told(p->m, step->looks, looks, sizeof looks));
    struct line line = {margin, step->toner, name, shown, deviation, INK_BOLD, INK_PLAIN};
    paint_line(p, row, &line);
}

const struct shown_step *paint_last_done(const struct model *m)
{
    for (size_t i = m->bench.n_steps; i-- > 0;)
        if (m->bench.steps[i].state == STEP_DONE)
            return &m->bench.steps[i];
    return NULL;
}

/* True for a step that is poured after the open one, a second time included. */
static bool waits(const struct shown *b, size_t i)
{
    return i + 1 != b->step && (b->steps[i].state == STEP_NEXT || b->steps[i].state == STEP_AGAIN);
}

/* `next` stands once, at the first step that was not poured yet. */
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
        number_weight(&p->m->style, b->steps[i].to_go_g, false, number, sizeof number);
        snprintf(one, sizeof one, "%s%.60s %s", between, b->steps[i].toner, number);
        bool fits = grid_width(p->g, text) + grid_width(p->g, one) <= room;
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "%s", fits ? one : between[0] == ',' ? ", ..." : " ...");
        if (!fits)
            break;
        between = ", ";
    }
    grid_text(p->g, row, COL_NAME, p->g->cols - END_PAGE - COL_NAME, text, INK_PLAIN);
}

/* At least the next step stands in a line of its own; the painter looks for its tin while this one is poured. */
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

/* Of a long formula the open step and the one before it are always seen. */
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

/* ---- the large figure, and the word of the cue ---- */

/* The text padded on the left to the length that the aim has, so that the point does not move within a step. */
static void padded(const struct model *m, double value, double widest, char *buf, size_t size)
{
    char number[NUMBER_ROOM], measure[NUMBER_ROOM];
    struct number_style plain = m->style;
    plain.minus = false; /* figures have a minus of their own */
    number_weight(&plain, value, false, number, sizeof number);
    number_weight(&plain, widest, false, measure, sizeof measure);
    size_t n = strlen(number), least = strlen(measure);
    snprintf(buf, size, "%*s%s", n < least ? (int)(least - n) : 0, "", number);
}

/* The first character finer than the tolerance, or -1. */
static int finer_at(const char *text, double tolerance_g)
{
    const char *point = strpbrk(text, ".,");
    if (!point || !isfinite(tolerance_g))
        return -1;
    double place = 0.1;
    for (const char *digit = point + 1; *digit; digit++) {
        if (place * 10 <= tolerance_g + 1e-9)
            return (int)(digit - text);
        place /= 10;
    }
    return -1;
}

/* What the figure counts: to go, or by eye what is in the cup; the pan's weight where no pour is open. */
static double figure_value(const struct paint *p)
{
    const struct shown *b = &p->m->bench;
    if (b->state != BENCH_POUR && b->state != BENCH_OVER)
        return p->m->weight.known ? p->m->weight.g : (double)NAN;
    return isfinite(b->now.to_go_g) ? b->now.to_go_g : b->now.in_cup_g;
}

/* What the figure counts, in words: a number alone could be read as in cup. */
static const char *figure_words(const struct paint *p, double value)
{
    const struct shown *b = &p->m->bench;
    if (b->state != BENCH_POUR && b->state != BENCH_OVER)
        return "g";
    if (b->now.take_out)
        return model_word(p->m, value >= p->m->style.d_g / 2 ? "page.g_too_much" : "page.g_to_take_out");
    if (!isfinite(b->now.to_go_g))
        return model_word(p->m, "page.g_in_cup");
    if (value >= 0)
        return model_word(p->m, "page.g_to_go");
    return model_word(p->m, p->m->cue == CUE_OVER || b->state == BENCH_OVER ? "page.g_over" : "page.g_past");
}

/* A figure without a weight is a row of dashes; one that is old is dotted. In state over what was accepted stands,
 * whatever the scale says by now. */
void paint_figure(const struct paint *p, int rows, struct main_figure *f)
{
    const struct shown *b = &p->m->bench;
    double value = figure_value(p), aim = fabs(b->now.aim_g);
    bool pour = b->state == BENCH_POUR || b->state == BENCH_OVER;
    bool to_go = pour && isfinite(b->now.to_go_g);
    double widest = !pour ? 100 : aim > 1 ? aim : 1;
    bool none = !isfinite(value) || (p->m->weight.none && b->state != BENCH_OVER);
    padded(p->m, none ? 0 : to_go ? fabs(value) : value, widest, f->text, sizeof f->text);
    for (char *c = f->text; none && *c; c++)
        if (*c >= '0' && *c <= '9')
            *c = '-';
    f->words = figure_words(p, value);
    f->style = (struct figure_style){rows, finer_at(f->text, to_go ? b->now.tolerance_g : (double)NAN), FIGURE_LIVE,
                                     INK_PLAIN};
    if (b->state == BENCH_OVER)
        return; /* what was accepted is a fact, whatever the scale says now */
    if (p->dead) {
        f->style.life = none ? FIGURE_GREY : FIGURE_DEAD;
        f->style.ink = INK_DIM;
        f->words = "";
    } else if (p->life == LIFE_GREY) {
        f->style.life = FIGURE_GREY;
        f->style.ink = INK_DIM;
    }
}

int paint_figure_cols(const struct paint *p, const struct main_figure *f)
{
    int words = grid_width(p->g, f->words);
    return COL_CODE + figures_width(f->text, &f->style) + (words ? 2 + words : 0);
}

/* The widest word that may come to stand beside a figure in the course of a step. */
static int widest_cue(const struct paint *p, int rows)
{
    int most = 0;
    for (int cue = CUE_POUR; cue <= CUE_OVER; cue++) {
        int width = cue == CUE_OK ? 0 : figures_word_width(paint_cue_word(p, (enum cue)cue), rows);
        most = width > most ? width : most;
    }
    return most + 2 + 3; /* a gap, and the cone of an overpour */
}

/* The width is that of the widest cue in this language, so a change of cue never changes the size. */
int paint_figure_rows(const struct paint *p, const struct main_figure *f, int end, bool cue, int most)
{
    bool grows = p->g->cols >= WIDE_COLS || p->g->rows >= TALL_ROWS;
    struct main_figure tried = *f;
    if (p->g->cols < FULL_COLS || most < 5)
        return 3;
    for (int rows = !grows ? 5 : most < FIGURE_ROWS_MAX ? most : FIGURE_ROWS_MAX; rows > 5; rows--) {
        tried.style.rows = rows;
        if (paint_figure_cols(p, &tried) + (cue ? widest_cue(p, rows) : 0) <= end)
            return rows;
    }
    return 5;
}

int paint_figure_at(const struct paint *p, int row, int rows, const struct main_figure *f)
{
    int col = figures_draw(p->g, row + rows - f->style.rows, COL_CODE, f->text, &f->style);
    if (!f->words[0])
        return col;
    col += 2;
    return grid_text(p->g, row + rows - 1, col, p->g->cols - col, f->words, f->style.ink);
}

const char *paint_cue_word(const struct paint *p, enum cue cue)
{
    static const char *const codes[] = {NULL,          "page.cue_pour", "page.cue_ease", "page.cue_stop",
                                        "page.on_aim", "page.cue_over"};
    return codes[cue] ? model_word(p->m, codes[cue]) : "";
}

void paint_cue(const struct paint *p, int row, int rows, int used, enum cue cue)
{
    const char *word = paint_cue_word(p, cue);
    unsigned ink = cue == CUE_OVER ? INK_RUBRIC : INK_PLAIN;
    int width = figures_word_width(word, rows), from = p->g->cols - END_CUE - width, middle = row + rows / 2;
    if (rows >= 5 && width > 0 && from >= used + 2)
        figures_word(p->g, row, from, word, rows, ink);
    else
        from = grid_text_right(p->g, middle, p->g->cols - END_CUE, word, INK_BOLD | ink);
    if (cue == CUE_OVER && from >= used + 4) /* a cone, point up: the sign of what is too much */
        grid_text(p->g, middle, from - 3, 2, "/\\", INK_BOLD | ink);
}

void paint_open(const struct paint *p, int row, int rows, const struct open_line *line)
{
    int last = row + rows - 1, end = p->g->cols - END_PAGE, blocks = figures_word_width(line->code, rows);
    grid_text(p->g, row, COL_MARGIN, COL_CODE - COL_MARGIN, line->margin, INK_PLAIN);
    int from = line->right.code[0] ? paint_said_right(p, last, end, line->right, INK_PLAIN) : end;
    int col = COL_CODE + blocks;
    if (rows >= 5 && blocks > 0 && col < end / 2)
        figures_word(p->g, row, COL_CODE, line->code, rows, INK_PLAIN);
    else
        col = grid_text(p->g, last, COL_CODE, from - COL_CODE - 1, line->code, INK_BOLD);
    col = col + 2 < COL_NAME ? COL_NAME : col + 2;
    if (line->name[0])
        paint_words(p, last, col, from - 2 - col, line->name, INK_PLAIN);
}

void paint_clock(int64_t wall_s, bool seconds, char buf[CLOCK_ROOM])
{
    int second = (int)(((wall_s % 86400) + 86400) % 86400);
    int used = snprintf(buf, CLOCK_ROOM, "%02d:%02d", second / 3600, second / 60 % 60);
    if (seconds)
        snprintf(buf + used, CLOCK_ROOM - (size_t)used, ":%02d", second % 60);
}
