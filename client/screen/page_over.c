/* page_over.c - an overpour: what is over, and the remedies as lines, nothing chosen that costs paint. It must not work
 * out a remedy: figures, what is open and why one is not are the daemon's. */
#include "client/screen/menu.h"
#include "client/screen/paint.h"
#include "client/screen/ruler.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const names[MENU_REMEDIES + 1] = {
    "", "page.remedy_grow", "page.remedy_dip", "page.remedy_leave", "page.remedy_again", "page.remedy_rescue"};

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

static const struct remedy *remedy_of(const struct shown *b, int digit)
{
    const struct remedy *const all[] = {&b->grow, &b->dip, &b->leave, NULL, &b->rescue};
    return all[digit - 1];
}

/* `B20 19.3, P12 28.3`: what is poured on, in the order of the formula. */
static void adds_text(const struct paint *p, const struct remedy *r, char *buf, size_t size)
{
    const struct shown *b = &p->m->bench;
    size_t n = 0;
    buf[0] = '\0';
    for (size_t i = 0; i < b->n_steps && i < r->n && n + SHOWN_ID + NUMBER_ROOM < size; i++) {
        char g[NUMBER_ROOM];
        if (!(r->add_g[i] >= p->m->style.d_g / 2)) /* nothing that this scale shows */
            continue;
        number_weight(&p->m->style, r->add_g[i], false, g, sizeof g);
        n += (size_t)snprintf(buf + n, size - n, "%s%s %s", n ? ", " : "", b->steps[i].toner, g);
    }
}

static void sentence_of(const struct paint *p, int digit, char *buf, size_t size)
{
    const struct shown *b = &p->m->bench;
    const struct remedy *r = remedy_of(b, digit);
    const struct shown_step *step = model_open_step(p->m);
    char adds[SAID_ROOM - 80];
    buf[0] = '\0';
    if (r)
        adds_text(p, r, adds, sizeof adds);
    switch (digit) {
    case 1:
        model_text(p->m, say("page.grow_adds adds=%s", adds), buf, size);
        break;
    case 2:
        model_text(p->m,
                   adds[0] ? say("page.dip_adds take_g=%f adds=%s", r->take_g, adds)
                           : say("page.dip take_g=%f", r->take_g),
                   buf, size);
        break;
    case 3:
        if (r->ratio[0])
            model_text(p->m, say("page.leave_ratio ratio=%s", r->ratio), buf, size);
        else if (step && b->step <= r->n && isfinite(r->deviation_pct[b->step - 1]))
            model_text(p->m, say("page.leave_off toner=%s off_pct=%f", step->toner, r->deviation_pct[b->step - 1]), buf,
                       size);
        break;
    case 4:
        snprintf(buf, size, "%s", paint_word(p, "page.again_keeps"));
        break;
    default:
        model_text(p->m, say("page.grow_adds adds=%s", adds), buf, size);
        break;
    }
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

static void paint_figures(const struct paint *p, int row, const struct remedy *r, unsigned ink)
{
    bool both = isfinite(r->volume_ml) && p->g->cols >= FULL_COLS;
    struct said total = both ? say("page.total_both total_g=%f volume_ml=%f", r->total_g, r->volume_ml)
                             : say("page.total total_g=%f", r->total_g);
    if (isfinite(r->total_g))
        paint_said_right(p, row, batch_end(p), total, ink);
    if (isfinite(r->waste_g))
        paint_said_right(p, row, waste_end(p), say("page.total total_g=%f", r->waste_g), ink);
    paint_cost(p, row, r->cost, ink);
}

/* One remedy: its figures, or why it cannot be chosen. True: it is open. */
static bool paint_remedy(const struct paint *p, int row, int digit)
{
    const struct shown_move *move = menu_remedy(p->m, digit);
    const struct remedy *r = remedy_of(&p->m->bench, digit);
    bool chosen = p->m->view.choice == digit;
    char why[LINE_ROOM];
    paint_digit(p, row, digit, move->open, chosen);
    grid_text(p->g, row, COL_CODE - 1, COL_WHY - COL_CODE, paint_word(p, names[digit]),
              move->open ? INK_BOLD : INK_DIM);
    if (!move->open)
        grid_text(p->g, row, COL_WHY, p->g->cols - COL_WHY - END_PAGE, model_told(p->m, &move->why, why, sizeof why),
                  INK_PLAIN);
    else if (r)
        paint_figures(p, row, r, chosen ? INK_BOLD : INK_PLAIN);
    else
        paint_cost(p, row, p->m->bench.again_cost, chosen ? INK_BOLD : INK_PLAIN);
    return move->open;
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
        sentence_of(p, digit, text[digit], sizeof text[digit]);
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
