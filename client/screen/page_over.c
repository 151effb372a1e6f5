/* page_over.c - an overpour: what is over, and the remedies as lines, nothing chosen that costs paint. It must not work
 * out a remedy: figures, what is open and why one is not are the daemon's. */
#include "client/screen/page.h"
#include "client/screen/ruler.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Right ends of the columns, from the page's right edge; below FULL_COLS there is no room for the millilitres. */
struct columns {
    int colour, spray, waste, cost, time; /* spray, time 0: left out */
};

static struct columns columns_of(const struct paint *p)
{
    int cols = p->g->cols;
    if (cols < FULL_COLS)
        return (struct columns){cols - 27, 0, cols - 14, cols - END_PAGE, 0};
    return (struct columns){cols - 48, cols - 34, cols - 22, cols - 9, cols - END_PAGE};
}

enum { COL_WHY = 25 };

/* `B20 19.3, P12 28.3`: what is poured on, in the order of the formula. */
static void adds_text(const struct paint *p, const json_t *remedy, char *buf, size_t size)
{
    const struct shown *b = &p->m->bench;
    const json_t *adds = json_object_get(remedy, "add_g");
    size_t n = 0;
    buf[0] = '\0';
    for (size_t i = 0; i < b->n_steps && n + 2 < size; i++) {
        double add_g = json_number_value(json_array_get(adds, i));
        char g[NUMBER_ROOM];
        if (!(add_g >= p->m->style.d_g / 2)) /* nothing that this scale shows */
            continue;
        number_weight(&p->m->style, add_g, false, g, sizeof g);
        int wrote = snprintf(buf + n, size - n, "%s%.60s %s", n ? ", " : "", b->steps[i].toner, g);
        n += wrote > 0 ? (size_t)wrote : 0;
    }
}

/* `1031 23.5, 1033 8.0`: the cups of the shelf with what is poured of each. */
static void cups_text(const struct paint *p, const json_t *remedy, char *buf, size_t size)
{
    const json_t *cups = json_object_get(remedy, "batches"), *cup;
    size_t i, n = 0;
    char g[NUMBER_ROOM];
    buf[0] = '\0';
    json_array_foreach(cups, i, cup)
    {
        number_weight(&p->m->style, member_number(cup, "grams"), false, g, sizeof g);
        if (n < size)
            n += (size_t)snprintf(buf + n, size - n, "%s#%.23s %s g", n ? ", " : "", member_text(cup, "batch"), g);
    }
}

/* Paint out first where that is needed, then the cups, then what is still fresh. */
static struct said rescue_sentence(const struct paint *p, const json_t *remedy, const char *adds)
{
    char cups[4 * 48];
    double take_g = member_number(remedy, "take_g");
    cups_text(p, remedy, cups, sizeof cups);
    if (!cups[0])
        return (struct said){.used = 0};
    if (take_g > 0)
        return adds[0] ? say("page.rescue_out_adds take_g=%f cups=%s adds=%s", take_g, cups, adds)
                       : say("page.rescue_out take_g=%f cups=%s", take_g, cups);
    return adds[0] ? say("page.rescue_adds cups=%s adds=%s", cups, adds) : say("page.rescue cups=%s", cups);
}

/* What the painter then has to do, in the remedy's own figures. Of a foreign toner no deviation is known. */
static struct said sentence_of(const struct paint *p, int digit)
{
    const struct shown *b = &p->m->bench;
    const json_t *remedy = shown_object(b->remedies, menu_remedy_choice(digit));
    const struct shown_step *step = model_open_step(p->m);
    const json_t *off = step ? json_array_get(json_object_get(remedy, "deviation_pct"), b->step - 1) : NULL;
    char adds[SAID_ROOM - 280];
    adds_text(p, remedy, adds, sizeof adds);
    if (digit == 2)
        return adds[0] ? say("page.dip_adds take_g=%f adds=%s", member_number(remedy, "take_g"), adds)
                       : say("page.dip take_g=%f", member_number(remedy, "take_g"));
    if (digit == 5)
        return rescue_sentence(p, remedy, adds);
    if (digit == 3 && member_text(remedy, "ratio")[0])
        return say("page.leave_ratio ratio=%s", member_text(remedy, "ratio"));
    if (digit == 3)
        return json_is_number(off) ? say("page.leave_off toner=%s off_pct=%f", step->toner, json_number_value(off))
                                   : (struct said){.used = 0};
    return digit == 4 ? say("page.again_keeps") : say("page.grow_adds adds=%s", adds);
}

/* Grams are colour, millilitres ready to spray: what must fit the cup. What is not known is left out. */
static void paint_figures(const struct paint *p, int row, const json_t *remedy, unsigned ink)
{
    struct columns at = columns_of(p);
    const char *currency = p->m->bench.currency[0] ? p->m->bench.currency : p->m->currency;
    double total_g = member_number(remedy, "total_g"), volume_ml = member_number(remedy, "volume_ml");
    double waste_g = member_number(remedy, "waste_g"), cost = member_number(remedy, "cost");
    char number[NUMBER_ROOM], text[NUMBER_ROOM + 64];
    if (isfinite(total_g))
        paint_said_right(p, row, at.colour, say("page.total total_g=%f", total_g), ink);
    if (isfinite(volume_ml) && at.spray)
        paint_said_right(p, row, at.spray, say("page.total_ml volume_ml=%f", volume_ml), ink);
    if (isfinite(waste_g))
        paint_said_right(p, row, at.waste, say("page.total total_g=%f", waste_g), ink);
    if (at.time && json_object_get(remedy, "minutes")) {
        snprintf(text, sizeof text, "%d min", (int)member_number(remedy, "minutes"));
        grid_text_right(p->g, row, at.time, text, ink);
    }
    if (!isfinite(cost))
        return;
    snprintf(text, sizeof text, "%s %s", number_fixed(&p->m->style, cost, 2, true, number, sizeof number), currency);
    grid_text_right(p->g, row, at.cost, text, ink);
}

/* Why a remedy cannot be chosen, as far as it has room beside its name; else it stands below. */
static bool why_beside(const struct paint *p, const char *why)
{
    return grid_width(p->g, why) <= p->g->cols - COL_WHY - END_PAGE;
}

static const char *why_text(const struct paint *p, int digit, char *buf, size_t size)
{
    return model_sentence(p->m, shown_object(menu_remedy(p->m, digit), "why"), buf, size);
}

/* One remedy: its figures, or why it cannot be chosen. */
static void paint_remedy(const struct paint *p, int row, int digit)
{
    bool chosen = p->m->view.choice == digit, open = menu_remedy_open(p->m, digit);
    char why[LINE_ROOM];
    paint_digit(p, row, digit, open, chosen);
    grid_text(p->g, row, COL_CODE - 1, COL_WHY - COL_CODE, paint_word(p, menu_remedy_name(digit)),
              open ? INK_BOLD : INK_DIM);
    if (open)
        paint_figures(p, row, shown_object(p->m->bench.remedies, menu_remedy_choice(digit)),
                      chosen ? INK_BOLD : INK_PLAIN);
    else if (why_beside(p, why_text(p, digit, why, sizeof why)))
        grid_text(p->g, row, COL_WHY, p->g->cols - COL_WHY - END_PAGE, why, INK_PLAIN);
}

/* What the figures of each column are: grams are colour, millilitres ready to spray. */
static void paint_heads(const struct paint *p, int row)
{
    struct columns at = columns_of(p);
    const char *part = p->m->bench.part;
    grid_text_right(p->g, row, at.colour, part[0] ? part : paint_word(p, "page.colour_head"), INK_PLAIN);
    if (at.spray)
        grid_text_right(p->g, row, at.spray, paint_word(p, "page.spray_head"), INK_PLAIN);
    grid_text_right(p->g, row, at.waste, paint_word(p, "page.to_waste"), INK_PLAIN);
    grid_text_right(p->g, row, at.cost, paint_word(p, "page.cost"), INK_PLAIN);
    if (at.time)
        grid_text_right(p->g, row, at.time, paint_word(p, "column.time"), INK_PLAIN);
}

/* The thin ruler with the arrow: three rows. */
static void paint_thin_ruler(const struct paint *p, int row)
{
    const struct shown_now *n = &p->m->bench.now;
    struct ruler ruler;
    if (!ruler_make(&ruler, p->g->cols < FULL_COLS ? SMALL_RULER : p->g->cols, n->aim_g, n->tolerance_g))
        return;
    struct ruler_look look = {
        .thin = true, .to_go_g = n->to_go_g, .lands_at_g = NAN, .point = p->m->style.point, .tooth_ink = INK_RUBRIC};
    ruler_draw(p->g, row, &ruler, &look);
}

/* The sentence of each remedy, and the rows that it takes: as far as there is room the chosen one's first, then the
 * others in their order. A sentence is shown whole or not at all: half of what to pour is worse than none. */
struct sentences {
    char text[MENU_REMEDIES + 1][LINE_ROOM];
    int rows[MENU_REMEDIES + 1]; /* 0: not shown */
};

enum { COL_SENTENCE = COL_CODE - 1 };

/* The sentence, and what the cup then looks like. */
static void remedy_text(const struct paint *p, int digit, char *buf, size_t size)
{
    const json_t *remedy = shown_object(p->m->bench.remedies, menu_remedy_choice(digit));
    const json_t *looks = shown_object(shown_object(remedy, "de00"), "said");
    char text[LINE_ROOM];
    model_text(p->m, sentence_of(p, digit), buf, size);
    if (looks)
        paint_join(buf, size, " ", model_told(p->m, looks, text, sizeof text));
}

/* Rows of all remedies alone; with `all` the rows that every sentence would take as well. */
static int remedy_rows(const struct paint *p, struct sentences *s, int spare, bool all)
{
    int lines = 0;
    memset(s, 0, sizeof *s);
    for (int digit = 1; digit <= MENU_REMEDIES; digit++)
        lines += menu_remedy(p->m, digit) != NULL;
    spare -= lines;
    for (int turn = 0; turn <= MENU_REMEDIES; turn++) {
        int digit = turn ? turn : p->m->view.choice;
        if (digit < 1 || digit > MENU_REMEDIES || s->rows[digit] || !menu_remedy(p->m, digit))
            continue;
        if (menu_remedy_open(p->m, digit))
            remedy_text(p, digit, s->text[digit], sizeof s->text[digit]);
        else if (why_beside(p, why_text(p, digit, s->text[digit], sizeof s->text[digit])))
            continue;
        int rows = paint_wrap(p, -1, COL_SENTENCE, p->g->cols - END_PAGE, 3, s->text[digit], INK_PLAIN);
        if (!all && rows > spare)
            continue;
        s->rows[digit] = rows;
        spare -= rows;
        lines += rows;
    }
    return lines;
}

/* Returns the row below them. */
static int paint_remedies(const struct paint *p, int row, int to)
{
    struct sentences s;
    remedy_rows(p, &s, to - row, false);
    for (int digit = 1; digit <= MENU_REMEDIES && row < to; digit++) {
        if (!menu_remedy(p->m, digit))
            continue;
        paint_remedy(p, row++, digit);
        if (s.rows[digit])
            row += paint_wrap(p, row, COL_SENTENCE, p->g->cols - END_PAGE, s.rows[digit], s.text[digit], INK_PLAIN);
    }
    return row;
}

/* From top to bottom: a doubled rule, the open line, how much is over with its word, the ruler with its arrow, the
 * remedies under the heads of their columns, and on a large page the formula. Nothing is chosen beforehand: each of
 * them costs paint. The remedies' own lines come first, then what heads their columns, the ruler, their sentences; what
 * is left lets the figure grow, then the code, and shows the formula. */
void page_over(const struct paint *p, int from, int to)
{
    const struct shown_now *n = &p->m->bench.now;
    struct main_figure f;
    struct sentences s;
    int lines = remedy_rows(p, &s, 0, false), all = remedy_rows(p, &s, 0, true), have = to - from, row = from;
    paint_figure(p, 5, &f);
    f.style.ink = INK_RUBRIC;
    int grow = have - 7 - all; /* rule, open line, ruler, heads, and a row between figure and ruler */
    int rows = paint_figure_rows(p, &f, p->g->cols - END_CUE, true, have < 18 ? 3 : grow < 5 ? 5 : grow);
    int code_rows = grow - rows >= 6 ? 5 : 1;
    bool heads = have >= 2 + rows + 1 + lines, ruler = have >= 2 + rows + 1 + 3 + lines;
    f.style.rows = rows;
    struct open_line open = {paint_word(p, "page.now"), n->toner, n->name,
                             say("page.aim_live aim_g=%f in_cup_g=%f", n->aim_g, n->in_cup_g)};
    paint_rule(p, row++, '=', 0x2550);
    paint_open(p, row, code_rows, &open);
    row += code_rows + (code_rows > 1);
    int word = figures_word_width(paint_cue_word(p, CUE_OVER), rows) + 5 + END_CUE;
    if (paint_figure_cols(p, &f) + word > p->g->cols)
        f.style.rows = 3;
    paint_cue(p, row, rows, paint_figure_at(p, row, rows, &f), CUE_OVER);
    row += rows;
    if (ruler)
        paint_thin_ruler(p, row);
    row += ruler ? 3 : 0;
    if (heads)
        paint_heads(p, row++);
    row = paint_remedies(p, row, to);
    if (to - row > (int)p->m->bench.n_steps + 1)
        paint_formula(p, row + 1, to, 0);
}
