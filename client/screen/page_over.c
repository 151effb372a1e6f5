/* page_over.c - an overpour: what is over, and the remedies as lines, nothing chosen that costs paint. It must not work
 * out a remedy: figures, what is open and why one is not are the daemon's. */
#include "client/screen/page.h"
#include "client/screen/ruler.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const names[MENU_REMEDIES + 1] = {
    "", "page.remedy_grow", "page.remedy_dip", "page.remedy_leave", "page.remedy_again", "page.remedy_rescue"};

static const char *const choices[MENU_REMEDIES + 1] = {"", "grow", "dip", "leave", "again", "rescue"};

/* Right ends of the columns, from the page's right edge. */
enum { END_BATCH = 34, END_WASTE = 20, END_COST = 1, NARROW_BATCH = 27, NARROW_WASTE = 14, COL_WHY = 25 };

static int batch_end(const struct paint *p)
{
    return p->g->cols - (p->g->cols < FULL_COLS ? NARROW_BATCH : END_BATCH);
}

static int waste_end(const struct paint *p)
{
    return p->g->cols - (p->g->cols < FULL_COLS ? NARROW_WASTE : END_WASTE);
}

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

static struct said sentence_of(const struct paint *p, int digit)
{
    const struct shown *b = &p->m->bench;
    const json_t *remedy = shown_object(b->remedies, choices[digit]);
    const struct shown_step *step = model_open_step(p->m);
    const json_t *off = step ? json_array_get(json_object_get(remedy, "deviation_pct"), b->step - 1) : NULL;
    char adds[SAID_ROOM - 80];
    adds_text(p, remedy, adds, sizeof adds);
    if (digit == 2)
        return adds[0] ? say("page.dip_adds take_g=%f adds=%s", shown_number(remedy, "take_g"), adds)
                       : say("page.dip take_g=%f", shown_number(remedy, "take_g"));
    if (digit == 3 && shown_text(remedy, "ratio")[0])
        return say("page.leave_ratio ratio=%s", shown_text(remedy, "ratio"));
    if (digit == 3)
        return json_is_number(off) ? say("page.leave_off toner=%s off_pct=%f", step->toner, json_number_value(off))
                                   : (struct said){.used = 0};
    return digit == 4 ? say("page.again_keeps") : say("page.grow_adds adds=%s", adds);
}

static void paint_cost(const struct paint *p, int row, double cost, unsigned ink)
{
    char number[NUMBER_ROOM], text[64];
    const char *currency = p->m->bench.currency[0] ? p->m->bench.currency : p->m->currency;
    if (!isfinite(cost))
        return;
    number_fixed(&p->m->style, cost, 2, true, number, sizeof number);
    snprintf(text, sizeof text, "%s %s", number, currency);
    grid_text_right(p->g, row, p->g->cols - END_COST, text, ink);
}

static void paint_figures(const struct paint *p, int row, const json_t *remedy, unsigned ink)
{
    double total_g = shown_number(remedy, "total_g"), volume_ml = shown_number(remedy, "volume_ml");
    double waste_g = shown_number(remedy, "waste_g");
    bool both = isfinite(volume_ml) && p->g->cols >= FULL_COLS;
    if (isfinite(total_g))
        paint_said_right(p, row, batch_end(p),
                         both ? say("page.total_both total_g=%f volume_ml=%f", total_g, volume_ml)
                              : say("page.total total_g=%f", total_g),
                         ink);
    if (isfinite(waste_g))
        paint_said_right(p, row, waste_end(p), say("page.total total_g=%f", waste_g), ink);
    paint_cost(p, row, shown_number(remedy, "cost"), ink);
}

/* One remedy: its figures, or why it cannot be chosen. */
static void paint_remedy(const struct paint *p, int row, int digit)
{
    const json_t *move = menu_remedy(p->m, digit);
    bool chosen = p->m->view.choice == digit, open = shown_is_open(move);
    char why[LINE_ROOM];
    paint_digit(p, row, digit, open, chosen);
    grid_text(p->g, row, COL_CODE - 1, COL_WHY - COL_CODE, paint_word(p, names[digit]), open ? INK_BOLD : INK_DIM);
    if (open)
        paint_figures(p, row, shown_object(p->m->bench.remedies, choices[digit]), chosen ? INK_BOLD : INK_PLAIN);
    else
        grid_text(p->g, row, COL_WHY, p->g->cols - COL_WHY - END_PAGE,
                  model_sentence(p->m, shown_object(move, "why"), why, sizeof why), INK_PLAIN);
}

static void paint_heads(const struct paint *p, int row)
{
    bool narrow = p->g->cols < FULL_COLS;
    grid_text_right(p->g, row, batch_end(p), paint_word(p, narrow ? "page.becomes" : "page.batch_becomes"), INK_PLAIN);
    grid_text_right(p->g, row, waste_end(p), paint_word(p, "page.to_waste"), INK_PLAIN);
    grid_text_right(p->g, row, p->g->cols - END_COST, paint_word(p, "page.cost"), INK_PLAIN);
}

static void paint_over(const struct paint *p, int row, int rows)
{
    struct main_figure f;
    const char *word = paint_word(p, "page.cue_over");
    paint_figure(p, rows, &f);
    f.style.ink = INK_RUBRIC;
    if (figures_width(f.text, &f.style) > p->g->cols - 20)
        f.style.rows = 3;
    int used = figures_draw(p->g, row + rows - f.style.rows, COL_CODE, f.text, &f.style) + 2;
    used = grid_text(p->g, row + rows - 1, used, p->g->cols - used, f.words, INK_RUBRIC | INK_BOLD);
    int from = p->g->cols - END_CUE - figures_word_width(word, rows);
    if (rows >= 5 && from >= used + 2)
        figures_word(p->g, row, from, word, rows, INK_RUBRIC);
    else
        from = grid_text_right(p->g, row + rows / 2, p->g->cols - END_CUE, word, INK_RUBRIC | INK_BOLD);
    if (from >= used + 4)
        grid_text(p->g, row + rows / 2, from - 3, 2, "/\\", INK_RUBRIC | INK_BOLD);
}

static void paint_open(const struct paint *p, int row)
{
    const struct shown_now *n = &p->m->bench.now;
    struct said s = say("page.aim_live aim_g=%f in_cup_g=%f", n->aim_g, n->in_cup_g);
    int from = paint_said_right(p, row, p->g->cols - END_PAGE, s, INK_PLAIN);
    grid_text(p->g, row, COL_MARGIN, COL_CODE - COL_MARGIN, paint_word(p, "page.now"), INK_PLAIN);
    int col = grid_text(p->g, row, COL_CODE, from - COL_CODE - 1, n->toner, INK_BOLD) + 2;
    if (col < COL_NAME)
        col = COL_NAME;
    if (n->name[0])
        grid_text(p->g, row, col, from - 2 - col, n->name, INK_PLAIN);
}

/* The thin ruler with the arrow: three rows. */
static void paint_thin_ruler(const struct paint *p, int row)
{
    const struct shown_now *n = &p->m->bench.now;
    struct ruler ruler;
    if (!ruler_make(&ruler, p->g->cols < FULL_COLS ? 60 : p->g->cols, n->aim_g, n->tolerance_g))
        return;
    struct ruler_look look = {
        .thin = true, .to_go_g = n->to_go_g, .lands_at_g = NAN, .point = p->m->style.point, .tooth_ink = INK_RUBRIC};
    ruler_draw(p->g, row, &ruler, &look);
}

/* The remedies, each with its sentence where there is room: the chosen one's first, then the others in their order. */
static void paint_remedies(const struct paint *p, int row, int to)
{
    int lines = 0, need[MENU_REMEDIES + 1] = {0}, col = COL_CODE - 1, end = p->g->cols - END_PAGE;
    char text[MENU_REMEDIES + 1][LINE_ROOM];
    for (int digit = 1; digit <= MENU_REMEDIES; digit++)
        lines += menu_remedy(p->m, digit) != NULL;
    int spare = to - row - lines;
    for (int turn = 0; turn <= MENU_REMEDIES; turn++) {
        int digit = turn ? turn : p->m->view.choice;
        if (digit < 1 || digit > MENU_REMEDIES || need[digit] || !menu_remedy_open(p->m, digit))
            continue;
        model_text(p->m, sentence_of(p, digit), text[digit], sizeof text[digit]);
        int rows = paint_wrap(p, -1, col, end, 3, text[digit], INK_PLAIN);
        if (rows <= spare) {
            need[digit] = rows;
            spare -= rows;
        }
    }
    for (int digit = 1; digit <= MENU_REMEDIES && row < to; digit++) {
        if (!menu_remedy(p->m, digit))
            continue;
        paint_remedy(p, row++, digit);
        if (need[digit])
            row += paint_wrap(p, row, col, end, need[digit], text[digit], INK_PLAIN);
    }
}

void page_over(const struct paint *p, int from, int to)
{
    int figures = to - from >= 18 ? 5 : 3, row = from;
    paint_rule(p, row++, '=', 0x2550);
    paint_open(p, row++);
    paint_over(p, row, figures);
    row += figures;
    paint_thin_ruler(p, row);
    row += 3;
    paint_heads(p, row++);
    paint_remedies(p, row, to);
}
