/* page_beside.c - the pages beside the bench: menu, find a colour, how much, a toner, writing, scrap, scales. It must
 * not know what may be done: menu.c does. */
#include "client/screen/page.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A rule and the page's name; [row + 2, ...) is the page's own. */
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

/* A line that a digit chooses; a shut one says why, below it where its own row has no room. Rows used; row below 0 only
 * counts. */
static int paint_choice(const struct paint *p, int row, int digit, const char *text, const char *why, bool chosen)
{
    int end = p->g->cols - END_PAGE, width = grid_width(p->g, text), room = end - COL_CODE;
    unsigned ink = why[0] ? INK_DIM : chosen ? INK_BOLD : INK_PLAIN;
    bool draws = row >= 0, beside = width + 2 + grid_width(p->g, why) <= room;
    if (draws && (digit >= 1 || chosen))
        paint_digit(p, row, digit, why[0] == '\0', chosen);
    int rows = paint_wrap(p, row, COL_CODE, end, 2, text, ink);
    if (why[0] && !beside)
        return rows + paint_wrap(p, draws ? row + rows : -1, COL_NAME, end, 2, why, INK_DIM);
    if (draws)
        grid_text_right(p->g, row, end, why, INK_DIM);
    return rows;
}

/* A line in one row: its aside in brackets and why it is shut are left out, the digit still says it when it is pressed.
 */
static int paint_short_choice(const struct paint *p, int row, int digit, struct menu_line line, bool chosen)
{
    unsigned ink = line.why[0] ? INK_DIM : chosen ? INK_BOLD : INK_PLAIN;
    char *aside = strstr(line.text, " (");
    if (aside)
        *aside = '\0';
    paint_digit(p, row, digit, line.why[0] == '\0', chosen);
    grid_text(p->g, row, COL_CODE, p->g->cols - END_PAGE - COL_CODE, line.text, ink);
    return 1;
}

/* All lines of a menu stand on the page, whatever its size: where they need more rows than there are each has one. */
static void paint_menu(const struct paint *p, int from, int to, bool tin)
{
    int rows = 0, lines = 0;
    paint_title(p, from, paint_word(p, tin ? "page.tin" : "page.menu"));
    for (int digit = 1; digit <= 9; digit++) {
        struct menu_line line = tin ? menu_tin(p->m, digit) : menu_line(p->m, digit);
        rows += line.there ? paint_choice(p, -1, digit, line.text, line.why, false) : 0;
        lines += line.there;
    }
    bool narrow = to - from - 2 < rows;
    int row = from + 2 + (to - from - 3 >= (narrow ? lines : rows));
    for (int digit = 1; digit <= 9 && row < to; digit++) {
        struct menu_line line = tin ? menu_tin(p->m, digit) : menu_line(p->m, digit);
        bool chosen = p->m->view.choice == digit;
        if (line.there && narrow)
            row += paint_short_choice(p, row, digit, line, chosen);
        else if (line.there)
            row += paint_choice(p, row, digit, line.text, line.why, chosen);
    }
    if (!tin && row < to)
        paint_wrap(p, row + (row + 2 < to), 2, p->g->cols - END_PAGE, 2, paint_word(p, "page.leave_screen"), INK_PLAIN);
}

/* Why the batch is scrapped: a digit and its word each. */
static void paint_scrap(const struct paint *p, int from, int to)
{
    char title[LINE_ROOM];
    paint_title(p, from, model_text(p->m, say("page.scrap batch=%s", p->m->bench.batch), title, sizeof title));
    int row = from + 3;
    for (int digit = 1; menu_scrap(digit) && row < to; digit++)
        row += paint_choice(p, row, digit, paint_word(p, menu_scrap(digit)), "", p->m->view.choice == digit);
}

/* One of several names beside each other; the open one reversed and in brackets, with its digit where `key` is not 0.
 * The column after it. */
static int paint_name(const struct paint *p, int row, int col, size_t key, const char *name, bool open)
{
    char text[LINE_ROOM], digit[8] = "";
    if (key > 0)
        snprintf(digit, sizeof digit, "%zu ", key % 100);
    snprintf(text, sizeof text, open ? "[%s%.200s]" : " %s%.200s ", digit, name);
    int width = grid_width(p->g, text);
    if (col + width > p->g->cols - END_PAGE)
        return p->g->cols;
    return grid_text(p->g, row, col, width, text, open ? INK_REVERSE | INK_BOLD : INK_PLAIN) + 1;
}

/* What a colour is: its finish or ratio, else its line. */
static const char *finish_of(const struct paint *p, const json_t *match)
{
    const char *finish = shown_text(match, lists_is_product(match) ? "ratio" : "finish");
    return model_name(p->m, "finish", finish);
}

/* Rows used. */
static int paint_open_match(const struct paint *p, int row, const json_t *match)
{
    char text[LINE_ROOM];
    const struct view *v = &p->m->view;
    const char *finish = finish_of(p, match), *line = model_name(p->m, "line", shown_text(match, "line"));
    size_t coats = lists_coats(match), variants = lists_variants(match, v->coat);
    int col = grid_text(p->g, row, COL_CODE, p->g->cols - COL_CODE, lists_id(match), INK_BOLD) + 2, at = row + 1;
    grid_text(p->g, row, col, p->g->cols - col - END_PAGE, shown_text(match, "name"), INK_BOLD);
    grid_char(p->g, row, 0, '>', INK_BOLD);
    snprintf(text, sizeof text, "%.200s%s%.200s", finish, finish[0] && line[0] ? ", " : "", line);
    grid_text(p->g, at++, COL_CODE, p->g->cols - COL_CODE, text, INK_PLAIN);
    col = COL_CODE - 1;
    for (size_t i = 0; i < coats; i++)
        col = paint_name(p, at, col, !v->writing && coats > 1 ? i + 1 : 0,
                         model_name(p->m, "coat", lists_coat(match, i)), i == v->coat);
    at += coats > 0;
    col = COL_CODE - 1;
    for (size_t i = 0; variants > 1 && i < variants; i++)
        col = paint_name(p, at, col, 0, lists_variant(match, v->coat, i), i == v->variant);
    return at + (variants > 1) - row;
}

/* A writing line, and the matches below it; the open one unfolds into its coats and variants. */
static void paint_find(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    paint_title(p, from, paint_word(p, "page.find"));
    paint_field(p, from + 2, paint_word(p, "page.code_or_name"), m->view.text, m->view.writing);
    int row = from + 4;
    size_t open = m->view.line, first = open > 2 ? open - 2 : 0;
    const json_t *match;
    for (size_t i = first; row + 3 < to && (match = lists_match(&m->lists, m->view.text, i)); i++) {
        struct line line = {"",       lists_id(match), shown_text(match, "name"), finish_of(p, match), "",
                            INK_BOLD, INK_PLAIN};
        if (i == open)
            row += paint_open_match(p, row, match);
        else
            paint_line(p, row++, &line);
    }
}

/* How much: four fields, the open one with its caret. Which batch or colour it is stands above. */
static void paint_amount(const struct paint *p, int from, int to)
{
    static const char *const names[AMOUNT_LINES] = {"page.amount_g", "page.amount_ml", "page.amount_order",
                                                    "page.amount_painter"};
    const struct view *v = &p->m->view;
    char title[LINE_ROOM];
    if (v->repeat[0])
        model_text(p->m, say("page.amount_again batch=%s", v->repeat), title, sizeof title);
    else
        snprintf(title, sizeof title, "%.60s %.200s  %.60s  %.60s", v->wanted.code, v->wanted.name,
                 model_name(p->m, "coat", v->wanted.coat), v->wanted.variant);
    paint_title(p, from, title);
    int row = from + 3;
    for (size_t i = 0; i < AMOUNT_LINES && row < to; i++, row++) {
        if (i == v->line)
            grid_char(p->g, row, 0, '>', INK_BOLD);
        paint_field(p, row, paint_word(p, names[i]), v->fields[i], i == v->line);
    }
    if (row + 1 < to)
        paint_wrap(p, row + 1, COL_CODE, p->g->cols - END_PAGE, 2, paint_word(p, "page.amount_keys"), INK_DIM);
}

/* Toners that match what is written; digits count from the first match. */
static void paint_toners(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    paint_title(p, from, paint_word(p, m->view.purpose == FOR_TINT ? "page.tint" : "page.wrong_tin"));
    paint_field(p, from + 2, paint_word(p, "page.code_or_name"), m->view.text, m->view.writing);
    int row = from + 4, keys = m->view.writing ? 0 : 1;
    size_t n = lists_toners(&m->lists, m->view.text), room = to > row ? (size_t)(to - row) : 0;
    size_t first = m->view.line >= room && room > 0 ? m->view.line - room + 1 : 0;
    for (size_t i = first; i < n && row < to; i++, row++) {
        const json_t *t = lists_toner(&m->lists, m->view.text, i);
        char text[LINE_ROOM];
        snprintf(text, sizeof text, "%s  %s", lists_id(t), shown_text(t, "name"));
        bool chosen = i == m->view.line && (keys || n == 1);
        paint_choice(p, row, keys ? (int)i + 1 : 0, text, "", chosen);
    }
}

/* One field for a note or a lot. */
static void paint_write(const struct paint *p, int from)
{
    bool lot = p->m->view.purpose == FOR_LOT;
    paint_title(p, from, paint_word(p, lot ? "page.lot_title" : "page.note_title"));
    paint_field(p, from + 3, paint_word(p, lot ? "page.lot" : "page.note"), p->m->view.text, true);
}

/* What a live scale shows, else why there is none. */
static void scale_text(const struct paint *p, const json_t *scale, char *buf, size_t size)
{
    struct number_style own = p->m->style;
    double d_g = shown_number(scale, "d_g"), capacity_g = shown_number(scale, "capacity_g");
    int age_ms = (int)json_number_value(json_object_get(scale, "age_ms"));
    const char *profile = shown_text(scale, "profile"), *why = shown_text(scale, "why");
    char g[NUMBER_ROOM];
    own.d_g = d_g;
    number_weight(&own, shown_number(scale, "weight_g"), false, g, sizeof g);
    if (strcmp(shown_text(scale, "state"), "live") != 0)
        snprintf(buf, size, "%s%s%s", profile, profile[0] && why[0] ? ", " : "", why);
    else if (isfinite(capacity_g))
        model_text(p->m,
                   say("page.scale_to weight=%s age=%d d_g=%f capacity=%d profile=%s", g, age_ms, d_g, (int)capacity_g,
                       profile),
                   buf, size);
    else
        model_text(p->m, say("page.scale weight=%s age=%d d_g=%f profile=%s", g, age_ms, d_g, profile), buf, size);
}

/* All benches' scales as the daemon last read them: which port, what it says, why it says nothing. */
static void paint_scales(const struct paint *p, int from, int to)
{
    static const char *const states[] = {"page.scale_live", "page.scale_stale", "page.scale_absent",
                                         "page.scale_seeking"};
    const json_t *scale;
    paint_title(p, from, paint_word(p, "page.scales"));
    int row = from + 3;
    for (size_t i = 0; row + 1 < to && (scale = lists_scale(&p->m->lists, i)); i++) {
        enum scale_state state = SCALE_ABSENT;
        char text[LINE_ROOM];
        shown_scale_state(shown_text(scale, "state"), &state);
        int end = grid_text_right(p->g, row, p->g->cols - END_PAGE, paint_word(p, states[state]), INK_BOLD);
        snprintf(text, sizeof text, "%s  %s", shown_text(scale, "station"), shown_text(scale, "port"));
        grid_text(p->g, row, COL_CODE, end - 2 - COL_CODE, text, INK_BOLD);
        scale_text(p, scale, text, sizeof text);
        row += 2 + paint_wrap(p, row + 1, COL_CODE, p->g->cols - END_PAGE, to - row - 1, text, INK_PLAIN);
    }
}

/* Which of the pages it is; the bench itself is drawn elsewhere. */
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
