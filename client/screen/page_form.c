/* page_form.c - the pages that are forms: how much, with the plan that comes of it; the panels; the cup as it stands.
 * It must not know what a line says to the daemon: form.c does. */
#include "client/screen/entry.h"
#include "client/screen/page.h"
#include "client/screen/premix.h"
#include "client/screen/workoff_offer.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { FEW_ROWS = 14 }; /* below it a form's empty rows give way */

/* Lines that share a row; FORM_LINES: none beside it. */
static const struct {
    enum form_line left, right;
} form_rows[] = {{FORM_ORDER, FORM_PAINTER},
                 {FORM_COAT, FORM_LINES},
                 {FORM_VARIANT, FORM_LINES},
                 {FORM_VEHICLE, FORM_LINES},
                 {FORM_DUE, FORM_FOLLOWS},
                 {FORM_COLOUR, FORM_LINES},
                 {FORM_COATS, FORM_LINES},
                 {FORM_GRAMS, FORM_ML},
                 {FORM_PANELS, FORM_LINES},
                 {FORM_MIDS, FORM_FILM},
                 {FORM_TRANSFER, FORM_LINES},
                 {FORM_LOSS, FORM_LINES},
                 {FORM_CONTROL, FORM_LINES},
                 {FORM_SHELF, FORM_LINES},
                 {FORM_PREMIX, FORM_LINES},
                 {FORM_WORKOFF, FORM_LINES},
                 {FORM_HAVE, FORM_HAVE_G},
                 {FORM_PRODUCT, FORM_LINES},
                 {FORM_HARDENER, FORM_LINES},
                 {FORM_REDUCER, FORM_LINES},
                 {FORM_CUP, FORM_LINES},
                 {FORM_POUR_ORDER, FORM_LINES},
                 {FORM_UNCOUNTED, FORM_LINES},
                 {FORM_LOST, FORM_LINES},
                 {FORM_PANEL_COATS, FORM_LINES},
                 {FORM_PANEL_AREA, FORM_LINES},
                 {FORM_PANEL_SHARE, FORM_LINES},
                 {FORM_PANEL_EDGES, FORM_LINES},
                 {FORM_CARD_COATS, FORM_CARD_MIDS},
                 {FORM_CARD_NOTE, FORM_LINES},
                 {FORM_PLACE, FORM_LINES},
                 {FORM_USE_BY, FORM_LINES}};
/* `3 left rear door 50 %, 2 bonnet`: coats, the panel, how much of it, and its jambs and edges. */
static void panels_text(const struct model *m, char *buf, size_t size)
{
    const json_t *all = json_object_get(m->lists.answer[LIST_PANELS], "panels");
    char share[NUMBER_ROOM + 4], number[NUMBER_ROOM], text[LINE_ROOM];
    buf[0] = '\0';
    for (size_t i = 0; i < PANELS_ROOM && i < json_array_size(all); i++) {
        const struct part *part = &m->view.parts[i];
        const char *name = member_text(json_array_get(all, i), "name");
        char name_of[80];
        snprintf(name_of, sizeof name_of, "%.60s ", name);
        snprintf(share, sizeof share, " %s %%",
                 number_fixed(&m->style, part->share_pct, 0, false, number, sizeof number));
        snprintf(text, sizeof text, "%d %.60s%s", part->coats, name, part->share_pct > 0 ? share : "");
        paint_join(buf, size, ", ", part->coats ? text : "");
        snprintf(text, sizeof text, "%s%.60s %s %%", part->coats ? "" : name_of, model_word(m, "page.edges"),
                 number_fixed(&m->style, part->edge_pct, 0, false, number, sizeof number));
        paint_join(buf, size, ", ", part->edge_coats ? text : "");
    }
}

/* The choices of a line from column col on, the chosen one among them where there is no room for all. */
static void paint_choices(const struct paint *p, int row, int col, enum form_line line)
{
    const struct view *v = &p->m->view;
    size_t n = form_choices(p->m, line), first = 0;
    int width = 0;
    char text[LINE_ROOM];
    for (size_t i = 0; i <= v->chosen[line] && i < n; i++)
        width += grid_width(p->g, form_choice(p->m, line, i, text, sizeof text)) + 5; /* digit, brackets, gaps */
    for (; first < v->chosen[line] && col + width > p->g->cols; first++)
        width -= grid_width(p->g, form_choice(p->m, line, first, text, sizeof text)) + 5;
    for (size_t i = first; i < n; i++)
        col = paint_name(p, row, col, v->line == line ? i + 1 : 0, form_choice(p->m, line, i, text, sizeof text),
                         line == FORM_COATS ? form_is_taken(p->m, i) : i == v->chosen[line]);
}

/* `cup 1042, stands: B 3, 40.0 g`: what need not be mixed. */
static void cup_text(const struct model *m, char *buf, size_t size)
{
    const json_t *cup = form_cup(m);
    double left_g = member_number(cup, "left_g");
    char number[NUMBER_ROOM];
    snprintf(buf, size, "%.40s, %.60s, %s g%s%.60s", member_text(cup, "batch"), member_text(cup, "place"),
             number_weight(&m->style, isfinite(left_g) ? left_g : member_number(cup, "total_g"), false, number,
                           sizeof number),
             isfinite(left_g) ? "" : ", ", isfinite(left_g) ? "" : model_word(m, "page.never_weighed"));
}

/* One line in columns [col, end). */
static void paint_form_line(const struct paint *p, int row, int col, int end, enum form_line line)
{
    const struct view *v = &p->m->view;
    const char *name = paint_word(p, form_name(line));
    bool open = v->line == line;
    char text[LINE_ROOM];
    if (form_kind(line) == FORM_CHOICE) {
        paint_choices(p, row, grid_text(p->g, row, col, end - col, name, INK_PLAIN) + 1, line);
        return;
    }
    if (line == FORM_PANELS)
        panels_text(p->m, text, sizeof text);
    if (line == FORM_SHELF)
        cup_text(p->m, text, sizeof text);
    if (line == FORM_PREMIX)
        premix_text(p->m, text, sizeof text);
    if (line == FORM_WORKOFF)
        workoff_brief(p->m, text, sizeof text);
    paint_field(p, row, col, end, name, form_kind(line) == FORM_LEADS ? text : v->form[line], open);
}

/* A row on which nothing was written or chosen gives way to the plan where rows are few; + brings it back. */
static bool gives_way(const struct paint *p, int rows, enum form_line left, enum form_line right)
{
    const struct view *v = &p->m->view;
    bool empty = !v->form[left][0] && (right == FORM_LINES || !v->form[right][0]);
    bool asked = v->page != PAGE_AMOUNT || (v->line >= FORM_PANELS && v->line <= FORM_CONTROL);
    /* What is rarely changed is there once somebody goes on from the panels. */
    if (left >= FORM_MIDS && left <= FORM_CONTROL)
        return empty && !asked && !(left == FORM_CONTROL && v->chosen[FORM_CONTROL]);
    if (form_is_usual(p->m, left))
        return v->line < FORM_HAVE;
    if (left == FORM_PANELS)
        empty = form_amount(p->m) != AMOUNT_PANELS;
    if ((left == FORM_COAT || left == FORM_VARIANT) && v->line >= FORM_SHELF) /* the title says them */
        return rows < FEW_ROWS && p->m->lists.answer[LIST_PLAN];
    return rows < FEW_ROWS && v->page == PAGE_AMOUNT && empty && form_kind(left) != FORM_CHOICE && v->line != left &&
           v->line != right && p->m->lists.answer[LIST_PLAN];
}

/* The lines that the page has, in the order of the rows. Returns the row after them. */
static int paint_form(const struct paint *p, int row, int to)
{
    size_t open = p->m->view.line;
    int end = p->g->cols - END_PAGE, middle = COL_CODE + (end - COL_CODE) / 2, rows = to - row;
    for (size_t i = 0; i < sizeof form_rows / sizeof *form_rows && row < to; i++) {
        enum form_line left = form_rows[i].left, right = form_rows[i].right;
        if (!form_has(p->m, left) && right != FORM_LINES) { /* alone it has the row */
            left = right;
            right = FORM_LINES;
        }
        if (!form_has(p->m, left) || gives_way(p, rows, left, right))
            continue;
        if (open == left || open == right)
            grid_char(p->g, row, 0, '>', INK_BOLD);
        bool alone = right == FORM_LINES || (right == FORM_HAVE_G && !form_has(p->m, right));
        paint_form_line(p, row, COL_CODE, alone ? end : middle - 1, left);
        if (right != FORM_LINES && form_has(p->m, right))
            paint_form_line(p, row, middle, end, right);
        row++;
    }
    return row;
}

/* What a plan comes to, in one sentence: colour, to spray, cup, cost. */
static void plan_text(const struct paint *p, const json_t *plan, char *buf, size_t size)
{
    const struct number_style *style = &p->m->style;
    double total_g = member_number(plan, "total_g"), ready_ml = member_number(plan, "ready_ml");
    double cup_ml = member_number(json_object_get(plan, "cup"), "ml"), cost = member_number(plan, "cost");
    bool fits = json_is_true(json_object_get(json_object_get(plan, "cup"), "fits"));
    char text[LINE_ROOM], amount[64], number[NUMBER_ROOM];
    model_text(p->m, shown_amounts(member_text(plan, "part"), total_g, ready_ml), buf, size);
    if (isfinite(cup_ml)) {
        size_t n = strlen(buf);
        snprintf(amount, sizeof amount, "%s mL", number_fixed(style, cup_ml, 0, false, number, sizeof number));
        model_text(p->m, fits ? say("plan.cup_fits cup=%s", amount) : say("plan.cup_small cup=%s", amount), text,
                   sizeof text);
        snprintf(buf + n, size - n, "; %.200s", text);
    }
    if (isfinite(cost)) {
        size_t n = strlen(buf);
        snprintf(amount, sizeof amount, "%s %.8s", number_fixed(style, cost, 2, false, number, sizeof number),
                 member_text(plan, "currency"));
        snprintf(buf + n, size - n, "; %.200s", model_text(p->m, say("plan.cost cost=%s", amount), text, sizeof text));
    }
}

/* What is poured, the n-th: colour, what goes on top, the reducer last where it is not among that. NULL beyond. */
static const json_t *plan_part(const json_t *plan, size_t n, double *grams)
{
    const json_t *parts = json_object_get(plan, "components"), *more = json_object_get(plan, "additions");
    const json_t *reducer = shown_object(plan, "reducer"), *one = json_array_get(parts, n);
    size_t colours = json_array_size(parts), all = colours + json_array_size(more);
    *grams = member_number(one, "aim_g");
    if (one)
        return one;
    one = n < all ? json_array_get(more, n - colours) : n == all ? reducer : NULL;
    *grams = member_number(one, "grams");
    return one;
}

/* As many whole parts of a running text as there are rows for; the rest is told by its dots. */
static void paint_whole_parts(const struct paint *p, int row, int to, char text[LINE_ROOM])
{
    int end = p->g->cols - END_PAGE;
    for (char *last; paint_wrap(p, -1, COL_CODE, end, to - row + 1, text, INK_PLAIN) > to - row;) {
        if (!(last = strrchr(text, ',')))
            return;
        last[0] = '\0';
        if ((last = strrchr(text, ',')))
            snprintf(last, 6, ", ...");
    }
    paint_wrap(p, row, COL_CODE, end, to - row, text, INK_PLAIN);
}

/* A line a part where all of them fit, else as many as do in running text. */
static void paint_parts(const struct paint *p, int row, int to, const json_t *plan)
{
    char text[LINE_ROOM] = "", weight[NUMBER_ROOM];
    const json_t *one;
    double grams;
    size_t parts = 0, n = 0;
    while (plan_part(plan, parts, &grams))
        parts++;
    bool lines = (int)parts <= to - row;
    for (size_t i = 0; (one = plan_part(plan, i, &grams)); i++) {
        number_weight(&p->m->style, grams, false, weight, sizeof weight);
        struct line line = {"", member_text(one, "toner"), member_text(one, "name"), weight, "", INK_BOLD, INK_PLAIN};
        if (lines)
            paint_line(p, row++, &line);
        else if (n < sizeof text)
            n += (size_t)snprintf(text + n, sizeof text - n, "%s%.40s %s", n ? ", " : "", line.code, weight);
    }
    if (!lines && row < to)
        paint_whole_parts(p, row, to, text);
}

/* The daemon's plan of what is written: what it comes to, its warnings, its parts; or why nothing can be planned. */
static void paint_plan(const struct paint *p, int row, int to)
{
    const json_t *plan = p->m->lists.answer[LIST_PLAN], *warnings = json_object_get(plan, "warnings");
    int end = p->g->cols - END_PAGE;
    char text[LINE_ROOM];
    if (!plan || row >= to)
        return;
    if (member_text(plan, "refused")[0]) {
        paint_wrap(p, row, COL_CODE, end, to - row, member_text(plan, "refused"), INK_RUBRIC);
        return;
    }
    plan_text(p, plan, text, sizeof text);
    row += paint_wrap(p, row, COL_CODE, end, to - row < 2 ? to - row : 2, text, INK_BOLD);
    const json_t *learnt = json_object_get(plan, "learnt");
    const json_t *cup = shown_object(shown_object(plan, "touch_up"), "said");
    if (cup && row < to) /* before anything is mixed anew */
        row += paint_wrap(p, row, COL_CODE, end, 2, model_told(p->m, cup, text, sizeof text), INK_BOLD);
    if (row < to && workoff_offered(p->m))
        row += paint_wrap(p, row, COL_CODE, end, 2, workoff_text(p->m, text, sizeof text), INK_BOLD);
    if (row < to && premix_taken(p->m, text, sizeof text)[0])
        row += paint_wrap(p, row, COL_CODE, end, 1, text, INK_PLAIN);
    for (size_t i = 0; i < json_array_size(learnt) && row < to; i++)
        row += paint_wrap(p, row, COL_CODE, end, 1, model_told(p->m, json_array_get(learnt, i), text, sizeof text),
                          INK_PLAIN);
    for (size_t i = 0; i < json_array_size(warnings) && row < to; i++)
        row += paint_wrap(p, row, COL_CODE, end, to - row < 3 ? to - row : 3,
                          model_sentence(p->m, json_array_get(warnings, i), text, sizeof text), INK_RUBRIC);
    paint_parts(p, row, to, plan);
}

/* How much: the form, and below it the plan. What is to be mixed stands above. */
void page_amount(const struct paint *p, int from, int to)
{
    const struct view *v = &p->m->view;
    const json_t *w = p->m->lists.answer[LIST_WANTED];
    char title[LINE_ROOM];
    if (v->as)
        model_text(p->m, say("page.amount_again batch=%s", lists_id(w)), title, sizeof title);
    else
        snprintf(title, sizeof title, "%.60s %.200s  %.60s  %.60s", lists_id(w), member_text(w, "name"),
                 model_name(p->m, "coat", lists_coat(w, v->chosen[FORM_COAT])),
                 lists_variant(w, v->chosen[FORM_COAT], v->chosen[FORM_VARIANT]));
    paint_title(p, from, title);
    int row = paint_form(p, from + 2, to);
    if (!p->m->lists.answer[LIST_PLAN] && row + 1 < to)
        paint_wrap(p, row + 1, COL_CODE, p->g->cols - END_PAGE, 2, paint_word(p, "page.amount_keys"), INK_DIM);
    else
        paint_plan(p, row + (to - row > 10), to);
}

/* An order: whose, its colour with the coats that it gets, and how much a coat. What was found stands beside the code.
 */
void page_order_form(const struct paint *p, int from, int to)
{
    const struct view *v = &p->m->view;
    char title[LINE_ROOM];
    paint_title(p, from,
                v->order[0] ? model_text(p->m, say("page.order order=%s", v->order), title, sizeof title)
                            : paint_word(p, "page.new_order"));
    const json_t *found = v->form[FORM_COLOUR][0] ? lists_match(&p->m->lists, "", 0) : NULL;
    int row = paint_form(p, from + 2, to);
    snprintf(title, sizeof title, "%.60s %.200s", lists_id(found), member_text(found, "name"));
    if (found && row + 1 < to)
        paint_words(p, row + 1, COL_CODE, p->g->cols - END_PAGE - COL_CODE, title, INK_BOLD);
    else if (row + 1 < to)
        paint_wrap(p, row + 1, COL_CODE, p->g->cols - END_PAGE, 2, paint_word(p, "page.amount_keys"), INK_DIM);
}

/* Kinds of panels, two a row where there is room: coats, name, area. What is not measured by the shop bears a `~`. */
void page_panels(const struct paint *p, int from, int to)
{
    const struct view *v = &p->m->view;
    const json_t *all = json_object_get(p->m->lists.answer[LIST_PANELS], "panels"), *one;
    size_t columns = p->g->cols < FULL_COLS ? 1 : 2, room = to - from > 3 ? columns * (size_t)(to - from - 3) : 0;
    size_t first = room && v->line >= room ? ((v->line - room) / columns + 1) * columns : 0;
    int width = (p->g->cols - END_PAGE - COL_CODE) / (int)columns;
    paint_title(p, from, paint_word(p, "page.panels"));
    grid_text(p->g, from + 2, COL_CODE, p->g->cols - END_PAGE - COL_CODE, paint_word(p, "page.panels_keys"), INK_DIM);
    for (size_t i = first; i < PANELS_ROOM && i < first + room && (one = json_array_get(all, i)); i++) {
        int row = from + 3 + (int)((i - first) / columns), col = COL_CODE + (int)((i - first) % columns) * width;
        char text[LINE_ROOM], coats[8] = "", area[NUMBER_ROOM];
        bool open = i == v->line;
        const struct part *part = &v->parts[i];
        if (form_is_painted(part))
            snprintf(coats, sizeof coats, "%dx", part->coats ? part->coats : part->edge_coats);
        bool kind = !(part->area_m2 > 0);
        int used = snprintf(text, sizeof text, "%c%-2s %.60s  %s%s %s", open ? '>' : ' ', coats,
                            member_text(one, "name"), kind && json_is_true(json_object_get(one, "default")) ? "~" : "",
                            number_fixed(&p->m->style, kind ? member_number(one, "area_m2") : part->area_m2, 1, false,
                                         area, sizeof area),
                            p->m->utf8 ? "m²" : "m2");
        if (part->share_pct > 0 || part->edge_coats) /* a blend, or edges: more than the whole outside */
            snprintf(text + used, sizeof text - (size_t)used, " %.0f %%%s",
                     part->share_pct > 0 ? part->share_pct : part->edge_pct,
                     part->coats && part->edge_coats ? "+" : "");
        grid_text(p->g, row, col - 1, width, text, open ? INK_REVERSE | INK_BOLD : coats[0] ? INK_BOLD : INK_PLAIN);
    }
}

/* A form of what stands already, or of one panel: its lines, and what may stay empty. */
void page_change(const struct paint *p, int from, int to)
{
    const struct view *v = &p->m->view;
    const json_t *all = json_object_get(p->m->lists.answer[LIST_PANELS], "panels");
    char title[LINE_ROOM];
    if (v->page == PAGE_PANEL)
        utf8_copy(title, sizeof title, member_text(json_array_get(all, v->part), "name"));
    else if (v->page == PAGE_COAT_FORM)
        entry_coat_name(p->m, entry_coat(p->m), title, sizeof title);
    else
        model_text(p->m,
                   v->page == PAGE_PLACE ? say("page.cup_of batch=%s", v->batch) : say("page.order order=%s", v->order),
                   title, sizeof title);
    paint_title(p, from, title);
    int row = paint_form(p, from + 2, to);
    if (row + 1 < to)
        paint_wrap(p, row + 1, COL_CODE, p->g->cols - END_PAGE, 2,
                   paint_word(p, v->page == PAGE_PANEL ? "page.panel_keys" : "page.amount_keys"), INK_DIM);
}

/* The cup as it stands now: two numbers that may stay empty. */
void page_retare(const struct paint *p, int from, int to)
{
    paint_title(p, from, paint_word(p, "menu.retare"));
    int row = paint_form(p, from + 3, to);
    paint_wrap(p, row + 1, COL_CODE, p->g->cols - END_PAGE, to > row + 1 ? to - row - 1 : 0,
               paint_word(p, "page.retare_keys"), INK_DIM);
}

/* Names beside each other, with the digit that chooses each. */
static void paint_choices_of(const struct paint *p, int row, const char *title, const char *kind,
                             const char *const names[], size_t n, size_t first_digit, unsigned taken)
{
    int col = grid_text(p->g, row, COL_CODE, p->g->cols - COL_CODE, paint_word(p, title), INK_PLAIN) + 1;
    for (size_t i = 0; i < n; i++)
        col = paint_name(p, row, col, first_digit ? first_digit + i : 0, model_name(p->m, kind, names[i]),
                         taken & 1U << i);
}

/* What a spray-out card showed: whether it matched, and in which lights it was held against the vehicle. */
void page_card(const struct paint *p, int from, int to)
{
    static const char *const verdicts[] = {"match", "near", "no"}, *const lights[] = {"sun", "shade", "lamp", "booth"};
    const struct view *v = &p->m->view;
    char text[LINE_ROOM], name[LINE_ROOM];
    snprintf(text, sizeof text, "%.100s: %.200s", paint_word(p, "page.keep_card"),
             entry_coat_name(p->m, entry_coat(p->m), name, sizeof name));
    paint_title(p, from, text);
    if (from + 5 >= to)
        return;
    bool seen = v->line == FORM_SEEN;
    if (seen)
        grid_char(p->g, from + 3, 0, '>', INK_BOLD);
    paint_choices_of(p, from + 3, "page.verdict", "page.card", verdicts, 3, seen ? 1 : 0,
                     v->choice ? 1U << (v->choice - 1) : 0);
    paint_choices_of(p, from + 5, "page.light", "page.light", lights, 4, seen ? 4 : 0, v->taken);
    paint_form(p, from + 7, to);
}
