/* page.c - the frame that every page has (head, footnote, foot line), which page stands in it, and the page that is one
 * line. It must not work out a weight: to go, in cup and the cue are the daemon's. */
#include "client/screen/page.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LEAST_COLS = 60, LEAST_ROWS = 16 }; /* a smaller terminal gets one line */

/* The head's last word. A scale that says it is live but sends nothing is stale: the screen's own clock is the last
 * judge. */
static const char *scale_word(const struct paint *p)
{
    if (!p->m->linked)
        return "page.scale_lost";
    switch (p->m->scale) {
    case SCALE_LIVE:
        if (p->m->weight.none) /* over, under or an error: it speaks, and weighs nothing */
            return "page.scale_limit";
        return p->life == LIFE_DEAD ? "page.scale_stale" : "page.scale_live";
    case SCALE_STALE:
        return "page.scale_stale";
    case SCALE_ABSENT:
        return "page.scale_absent";
    case SCALE_SEEKING:
        break;
    }
    return "page.scale_seeking";
}

/* Puts a part of the head behind what stands there, where there is room for all of it. */
static int head_part(const struct paint *p, int col, int end, const char *text, unsigned ink)
{
    int width = grid_width(p->g, text);
    return text[0] && col + 3 + width < end ? grid_text(p->g, 0, col + 3, width, text, ink) : col;
}

/* How long the mixed cup can still be used, counted down since the screen came; what is unknown is shown as well. The
 * ink that it is written in: rubric once it is past. */
static unsigned pot_text(const struct paint *p, char *buf, size_t size)
{
    double left_s = p->m->bench.pot_left_s - (double)(p->now.ms - p->m->screen_ms) / 1000;
    buf[0] = '\0';
    if (left_s > 0)
        model_text(p->m, say("page.pot_life left_min=%d", (int)ceil(left_s / 60)), buf, size);
    else if (isfinite(left_s))
        utf8_copy(buf, size, paint_word(p, "page.pot_life_over"));
    else if (p->m->bench.activated)
        utf8_copy(buf, size, paint_word(p, "page.activated"));
    return INK_BOLD | (left_s <= 0 ? INK_RUBRIC : 0u);
}

/* Who the page is about: as many of the parts as there is room for, none of them cut in favour of another. */
static void paint_head(const struct paint *p)
{
    const struct shown *b = &p->m->bench;
    const char *word = scale_word(p);
    bool live = strcmp(word, "page.scale_live") == 0;
    int end = grid_text_right(p->g, 0, p->g->cols - END_PAGE, paint_word(p, word), INK_BOLD | (live ? 0u : INK_RUBRIC));
    char text[LINE_ROOM], pot[64];
    const char *mark = page_practice_mark(p->m, text, sizeof text);
    mark = mark[0] && p->g->cols < FULL_COLS ? paint_word(p, "page.practice") : mark;
    const char *bench = mark[0] ? mark : p->m->station;
    int from = end;
    if (mark[0] || grid_width(p->g, bench) + 3 < end / 2)
        from = grid_text_right(p->g, 0, end - 2, bench, mark[0] ? INK_BOLD | INK_REVERSE : INK_PLAIN);
    if (b->state == BENCH_IDLE) {
        paint_clock(p->now.wall_s, false, text);
        grid_text(p->g, 0, COL_MARGIN, from - 2 - COL_MARGIN, text, INK_BOLD);
        return;
    }
    int room = from - 2 - COL_MARGIN;
    snprintf(text, sizeof text, "%s%s%s", b->formula, b->name[0] ? " " : "", b->name);
    int most = room * 2 / 3; /* a long name leaves room for the coat */
    int col = grid_text(p->g, 0, COL_MARGIN, b->name[0] ? most : room, text, INK_BOLD);
    unsigned pot_ink = pot_text(p, pot, sizeof pot);
    if (shown_object(b->held, "premix")) /* it is not the colour that it is named after */
        col = head_part(p, col, from, paint_word(p, "page.premix"), INK_BOLD);
    col = head_part(p, col, from, pot, pot_ink);
    col = head_part(p, col, from, model_name(p->m, "coat", b->coat), INK_PLAIN);
    col = head_part(p, col, from, b->variant, INK_PLAIN);
    if (b->order[0])
        col = head_part(p, col, from, model_text(p->m, say("page.order order=%s", b->order), text, sizeof text),
                        INK_PLAIN);
    head_part(p, col, from, b->painter, INK_PLAIN);
}

/* On a page beside the pour: what is poured, what is to go, the cue. */
static void paint_pour_head(const struct paint *p, int row)
{
    const struct shown_now *n = &p->m->bench.now;
    struct main_figure f;
    char text[LINE_ROOM];
    paint_figure(p, 3, &f);
    const char *figure = f.text + strspn(f.text, " ");
    const char *code = n->take_out ? paint_word(p, "page.take_out") : n->toner;
    const char *word = paint_word(p, p->m->bench.lifted ? "page.lifted" : "page.no_weight");
    if (p->dead)
        snprintf(text, sizeof text, "%s   %s", code, word);
    else if (p->life == LIFE_LIVE)
        snprintf(text, sizeof text, "%s   %s %s   %s", code, figure, f.words, paint_cue_word(p, p->m->cue));
    else
        snprintf(text, sizeof text, "%s   (%s %s)", code, figure, f.words);
    bool stop = p->m->cue == CUE_STOP;
    if (stop)
        grid_run(p->g, row, 0, p->g->cols, ' ', INK_REVERSE);
    grid_text(p->g, row, COL_CODE, p->g->cols - COL_CODE - END_PAGE, text, INK_BOLD | (stop ? INK_REVERSE : 0u));
}

/* What kind of line it is, as a shape: `[by hand]` and `[Enter]` never look alike. */
static void foot_label(const struct paint *p, const struct footline *f, char *buf, size_t size)
{
    size_t n = 0;
    buf[0] = '\0';
    switch (f->kind) {
    case FOOTLINE_HAND:
        utf8_copy(buf, size, paint_word(p, "key.hand"));
        break;
    case FOOTLINE_KEY:
        utf8_copy(buf, size, paint_word(p, "key.enter"));
        break;
    case FOOTLINE_WAIT:
        utf8_copy(buf, size, paint_word(p, "key.wait"));
        break;
    case FOOTLINE_SENT:
        utf8_copy(buf, size, "[///////]");
        break;
    case FOOTLINE_DIGIT: /* over: the digits that can be chosen */
        for (int digit = 1; p->m->view.page == PAGE_BENCH && digit <= MENU_REMEDIES; digit++)
            if (menu_remedy_open(p->m, digit))
                n += (size_t)snprintf(buf + n, size - n, "%s%d", n ? " " : "[", digit);
        snprintf(buf + n, size - n, "%s", n ? "]" : paint_word(p, "key.digit"));
        break;
    }
}

/* The next move, what `.` does on its right, and what 0 does. The next move goes before all: what has no room beside
 * it moves into the rule above, then gives way. */
static void paint_footline(const struct paint *p, int row)
{
    struct footline f;
    footline_of(p->m, p->now, &f);
    char label[48], right[256];
    foot_label(p, &f, label, sizeof label);
    unsigned ink = f.kind == FOOTLINE_KEY ? INK_REVERSE | INK_BOLD : INK_BOLD;
    if (f.kind == FOOTLINE_KEY) /* a key's foot line is a solid bar */
        grid_run(p->g, row, 0, p->g->cols, ' ', INK_REVERSE);
    int col = grid_text(p->g, row, COL_MARGIN, p->g->cols, label, ink) + 2;
    if (col < COL_NAME)
        col = COL_NAME;
    int end = p->g->cols - END_PAGE;
    int need = col + grid_width(p->g, f.text) + 2;
    ink &= ~(unsigned)INK_BOLD;
    snprintf(right, sizeof right, "%s%s%s%s", f.second[0] ? ". " : "", f.second, f.second[0] ? "    " : "", f.zero);
    if (need + grid_width(p->g, right) > end && f.second[0])
        snprintf(right, sizeof right, ". %s", f.second);
    int room = end - need, width = grid_width(p->g, right);
    if (width <= room)
        grid_text_right(p->g, row, end, right, ink);
    else if (f.second[0]) /* the next move itself is never cut for the second one, which then stands in the rule above
                           */
        grid_text_right(p->g, row - 1, end, right, INK_PLAIN);
    /* An aside in brackets at the end gives way before the line is cut. */
    char *aside = strstr(f.text, " (");
    if (aside && grid_width(p->g, f.text) > end - col)
        *aside = '\0';
    grid_text(p->g, row, col, end - col, f.text, ink | INK_BOLD);
}

/* Whether this stands among the cautions below, by its code. */
static bool is_caution(const struct model *m, const json_t *said)
{
    for (size_t i = 0; i < json_array_size(m->bench.cautions); i++)
        if (strcmp(member_text(json_array_get(m->bench.cautions, i), "code"), member_text(said, "code")) == 0)
            return true;
    return false;
}

/* What the footnote says above the cautions: an answer to a key, else a trouble that leaves the weight alone, else what
 * the station did by itself. What the page or the foot line says already is not said twice. */
static unsigned note_text(const struct paint *p, char *buf, size_t size)
{
    const struct model *m = p->m;
    char next[LINE_ROOM];
    if (m->foot[0]) {
        utf8_copy(buf, size, m->foot);
        return m->foot_rubric ? INK_BOLD | INK_RUBRIC : INK_PLAIN;
    }
    if (m->bench.trouble && (!p->dead || m->view.page != PAGE_BENCH || m->bench.state > BENCH_POUR)) {
        model_sentence(m, m->bench.trouble, buf, size);
        return INK_BOLD | INK_RUBRIC;
    }
    bool figure = m->bench.state == BENCH_OVER && strcmp(member_text(m->bench.said, "code"), "over") == 0;
    model_sentence(m, m->bench.said, buf, size);
    model_sentence(m, m->bench.next_said, next, sizeof next);
    if ((m->view.page == PAGE_BENCH && (figure || strcmp(buf, next) == 0)) || is_caution(m, m->bench.said))
        buf[0] = '\0';
    return INK_PLAIN;
}

/* The cautions in at most `most` rows from `row` on (below 0: only counted), each on rows of its own, gravest first:
 * the first one in any case, of the others as many as are shown whole. Returns the rows used. */
static int paint_cautions(const struct paint *p, int row, int most)
{
    char text[FOOT_ROOM];
    int used = 0;
    for (size_t i = 0; i < json_array_size(p->m->bench.cautions) && used < most; i++) {
        model_sentence(p->m, json_array_get(p->m->bench.cautions, i), text, sizeof text);
        int need = paint_wrap(p, -1, COL_MARGIN, p->g->cols - END_PAGE, 9, text, INK_PLAIN);
        if (i > 0 && used + need > most)
            break;
        used += paint_wrap(p, row < 0 ? -1 : row + used, COL_MARGIN, p->g->cols - END_PAGE, most - used, text,
                           INK_BOLD | INK_RUBRIC);
    }
    return used;
}

/* Rows that footnote and cautions may take together: an answer to a key has one more, for a few seconds; so have the
 * cautions of a mixed cup, since nothing on its page is in a hurry. */
static int foot_rows(const struct paint *p)
{
    bool more = p->m->foot[0] || p->m->bench.state == BENCH_DONE;
    return (p->g->rows < 24 ? 3 : 5) + more;
}

/* The footnote, and below it what to beware of, in at most `most` rows above `end`. Hazards come first: the footnote
 * has one row, and beyond it what they leave. Returns the first row; one is always taken. */
static int paint_foot(const struct paint *p, int end, int most)
{
    int right = p->g->cols - END_PAGE;
    char said[FOOT_ROOM * 2];
    unsigned ink = note_text(p, said, sizeof said);
    int below = paint_cautions(p, -1, most - (said[0] && most > 1));
    int above = paint_wrap(p, -1, COL_MARGIN, right, most - below, said, ink);
    int row = end - (above + below < 1 ? 1 : above + below);
    paint_wrap(p, row, COL_MARGIN, right, above, said, ink);
    paint_cautions(p, row + above, below);
    return row;
}

/* The frame, from top to bottom:
 *
 *   head       code, name, pot life, coat, variant, order, painter; bench and scale
 *   (pour)     on a page beside a pour: toner, what is to go, the cue
 *   ...        the page's own rows
 *   footnote   an answer to a key, a trouble, what the station did by itself; below it what to beware of
 *   rule
 *   foot line  the next move, the second one, the menu
 *
 * The rows that every page has: the head above, footnote, rule and foot line below. Returns the first row after the
 * head; *foot is the footnote's first row, so [first, *foot) is the page's own. */
static int paint_frame(const struct paint *p, int *foot)
{
    int rows = p->g->rows;
    bool pour = p->m->view.page != PAGE_BENCH && p->m->bench.state == BENCH_POUR;
    paint_head(p);
    if (pour)
        paint_pour_head(p, 1);
    paint_rule(p, rows - 2, '-', 0x2500);
    paint_footline(p, rows - 1);
    int hand = page_hand(p, -1);
    page_hand(p, rows - 2 - hand);
    *foot = paint_foot(p, rows - 2 - hand, foot_rows(p));
    return pour ? 2 : 1;
}

/* All of a pour in one line: what, how much, which way. A weight that is not live never stands beside a cue. */
static void tiny_text(const struct paint *p, char *buf, size_t size)
{
    const struct shown *b = &p->m->bench;
    struct main_figure f;
    paint_figure(p, 3, &f);
    const char *figure = f.text + strspn(f.text, " ");
    const char *code = b->now.toner; /* "" while paint is taken out: the words after the figure say so */
    const char *dead = paint_word(p, b->lifted ? "page.lifted" : "page.no_weight");
    char g[NUMBER_ROOM];
    if (p->dead && b->state <= BENCH_POUR)
        snprintf(buf, size, "%s  %s", b->state == BENCH_POUR ? code : "", dead);
    else if (b->state == BENCH_POUR && p->life == LIFE_LIVE)
        snprintf(buf, size, "%s %s %s  %s", code, figure, f.words, paint_cue_word(p, p->m->cue));
    else if (b->state == BENCH_POUR)
        snprintf(buf, size, "%s (%s %s)", code, figure, f.words); /* greying: no cue from an old weight */
    else if (b->state == BENCH_OVER)
        snprintf(buf, size, "%s %s %s", code, figure, f.words);
    else if (b->state == BENCH_CUP && p->life == LIFE_LIVE)
        snprintf(buf, size, "%s %s g", paint_word(p, "page.cup"), figure);
    else if (b->state == BENCH_DONE)
        snprintf(buf, size, "%s  %s %s", b->formula, number_weight(&p->m->style, b->spray_g, false, g, sizeof g),
                 paint_word(p, "page.g_in_cup"));
    else
        snprintf(buf, size, "%s", paint_word(p, b->state == BENCH_CUP ? "page.cup" : "page.idle"));
}

/* The choices of an overpour, as many as fit: a digit and its word each. The row of the last one. */
static int tiny_remedies(const struct paint *p, int row, int col)
{
    for (int digit = 1; digit <= MENU_REMEDIES; digit++) {
        char text[64];
        if (!menu_remedy_open(p->m, digit))
            continue;
        snprintf(text, sizeof text, "%d %s", digit, paint_word(p, menu_remedy_name(digit)));
        if (col + grid_width(p->g, text) > p->g->cols && row + 2 < p->g->rows) {
            row++;
            col = 0;
        }
        unsigned ink = p->m->view.choice == digit ? INK_REVERSE | INK_BOLD : INK_PLAIN;
        col = grid_text(p->g, row, col, p->g->cols - col, text, ink) + 2;
    }
    return row;
}

/* The last row says the next move, the one above it the second, and above that stands what to beware of. Returns the
 * first row that is taken. */
static int tiny_foot(const struct paint *p, int from)
{
    struct footline f;
    int row = p->g->rows - 1, col = 0;
    char second[160], pot[64];
    footline_of(p->m, p->now, &f);
    if (row < from)
        return row + 1;
    if (f.kind == FOOTLINE_KEY)
        col = grid_text(p->g, row, 0, p->g->cols, paint_word(p, "key.enter"), INK_BOLD) + 1;
    grid_text(p->g, row, col, p->g->cols - col, f.text, INK_PLAIN);
    snprintf(second, sizeof second, ". %s", f.second);
    if (f.second[0] && row - 1 >= from)
        grid_text(p->g, --row, 0, p->g->cols, second, INK_PLAIN);
    if (row - 1 >= from)
        row = paint_foot(p, row, row - from < 5 ? row - from : 5);
    unsigned pot_ink = pot_text(p, pot, sizeof pot);
    if (pot[0] && row - 1 >= from)
        grid_text(p->g, --row, 0, p->g->cols, pot, pot_ink);
    return row;
}

/* The page between its first row and the footnote's. */
static void body(const struct paint *p, int from, int foot)
{
    if (p->m->view.page != PAGE_BENCH) {
        page_beside(p, from, foot);
        return;
    }
    switch (p->m->bench.state) {
    case BENCH_IDLE:
        page_idle(p, from, foot);
        break;
    case BENCH_CUP:
    case BENCH_POUR:
        page_pour(p, from, foot);
        break;
    case BENCH_OVER:
        page_over(p, from, foot);
        break;
    case BENCH_DONE:
        page_done(p, from, foot);
        break;
    }
}

/* Below 60x16: one line for the pour. A list (idle, a page beside the bench) stands below it where there are rows. */
static void page_tiny(const struct paint *p)
{
    enum { LIST_ROWS = 5, LIST_COLS = 30 };
    char text[LINE_ROOM];
    bool lists = p->m->view.page != PAGE_BENCH || p->m->bench.state == BENCH_IDLE;
    unsigned ink = INK_BOLD | (p->m->cue == CUE_STOP ? INK_REVERSE : 0u);
    int row = 0;
    tiny_text(p, text, sizeof text);
    int col = grid_text(p->g, 0, 0, p->g->cols, text + strspn(text, " "), ink);
    if (p->m->bench.state == BENCH_OVER)
        row = tiny_remedies(p, 0, col + 2);
    if (page_practice_mark(p->m, text, sizeof text)[0] && row + 2 < p->g->rows)
        grid_text(p->g, ++row, 0, p->g->cols, text, INK_REVERSE | INK_BOLD);
    int foot = tiny_foot(p, row + 1);
    if (lists && foot - row - 1 >= LIST_ROWS && p->g->cols >= LIST_COLS)
        body(p, row + 1, foot);
}

/* What a page is drawn with. */
static struct paint paint_of(const struct model *m, struct moment now, struct grid *g)
{
    return (struct paint){.m = m, .now = now, .g = g, .life = model_life(m, now), .dead = model_dead(m, now)};
}

/* Any size is drawn: below LEAST_COLS by LEAST_ROWS as a line, else with the frame around the state's page. */
int page_draw(const struct model *m, struct moment now, int cols, int rows, struct grid *g)
{
    grid_clear(g, cols, rows, m->utf8);
    struct paint p = paint_of(m, now, g);
    if (g->cols < LEAST_COLS || g->rows < LEAST_ROWS) {
        page_tiny(&p);
        return 0;
    }
    int foot;
    int from = paint_frame(&p, &foot);
    body(&p, from, foot);
    return foot;
}

/* On the bench the head has one row, so the page begins below it. */
bool page_weight_rows(const struct model *m, struct moment now, int foot, struct grid *g, struct page_rows *rows)
{
    struct paint p = paint_of(m, now, g);
    if (foot < 2 || m->view.page != PAGE_BENCH || m->bench.state != BENCH_POUR || p.dead || p.life != LIFE_LIVE)
        return false;
    page_pour_rows(&p, 1, foot, rows);
    return true;
}

bool page_draw_weight(const struct model *m, struct moment now, int foot, struct grid *g, const struct page_rows *rows)
{
    struct paint p = paint_of(m, now, g);
    return page_pour_weight(&p, 1, foot, rows);
}
