/* page_find.c - what is looked for, and what was found: colours, products, batches, and the record of a batch. It must
 * not know what may be done with it: menu.c does. */
#include "client/screen/page.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { FEW_ROWS = 14 }; /* below it a record's head has a row each */

/* What a colour is: its finish or ratio, else its line. */
static const char *finish_of(const struct paint *p, const json_t *match)
{
    const char *finish = member_text(match, lists_is_product(match) ? "ratio" : "finish");
    return model_name(p->m, "finish", finish);
}

/* Whose a batch is: coat, variant, order, painter, when it was begun, how it stands. */
static void batch_text(const struct paint *p, const json_t *batch, char *buf, size_t size)
{
    const char *order = member_text(batch, "order");
    char text[LINE_ROOM], day[CLOCK_DAY];
    lists_begun(batch, day);
    buf[0] = '\0';
    paint_join(buf, size, ", ", model_name(p->m, "coat", member_text(batch, "coat")));
    paint_join(buf, size, ", ", lists_other_variant(batch));
    if (order[0])
        paint_join(buf, size, ", ", model_text(p->m, say("page.order order=%s", order), text, sizeof text));
    paint_join(buf, size, ", ", member_text(batch, "painter"));
    paint_join(buf, size, ", ", day);
    paint_join(buf, size, ", ", model_name(p->m, "state", member_text(batch, "state")));
}

/* A match in one row. */
static void paint_match(const struct paint *p, int row, const json_t *match)
{
    char text[LINE_ROOM], day[CLOCK_DAY], weight[NUMBER_ROOM] = "";
    struct line line = {"", lists_id(match), member_text(match, "name"), finish_of(p, match), "", INK_BOLD, INK_PLAIN};
    if (lists_is_batch(match)) {
        lists_begun(match, day);
        snprintf(text, sizeof text, "%.10s  %.60s %.200s", day, member_text(match, "formula"),
                 member_text(match, "name"));
        number_weight(&p->m->style, member_number(match, "total_g"), false, weight, sizeof weight);
        int end = grid_text_right(p->g, row, p->g->cols - END_NUMBER, weight, INK_BOLD);
        grid_text(p->g, row, COL_CODE, end - COL_CODE, lists_id(match), INK_BOLD);
        paint_words(p, row, COL_NAME + 1, end - 3 - COL_NAME, text, INK_PLAIN); /* a number of four digits and a gap */
        return;
    }
    paint_line(p, row, &line);
}

/* Rows used. */
static int paint_open_match(const struct paint *p, int row, const json_t *match)
{
    char text[LINE_ROOM];
    const struct view *v = &p->m->view;
    if (lists_is_batch(match)) {
        paint_match(p, row, match);
        grid_char(p->g, row, 0, '>', INK_BOLD);
        batch_text(p, match, text, sizeof text);
        paint_words(p, row + 1, COL_NAME, p->g->cols - END_PAGE - COL_NAME, text, INK_PLAIN);
        return 2;
    }
    const char *finish = finish_of(p, match), *line = model_name(p->m, "line", member_text(match, "line"));
    size_t coats = lists_coats(match), variants = lists_variants(match, v->chosen[FORM_COAT]);
    int col = grid_text(p->g, row, COL_CODE, p->g->cols - COL_CODE, lists_id(match), INK_BOLD) + 2, at = row + 1;
    grid_text(p->g, row, col, p->g->cols - col - END_PAGE, member_text(match, "name"), INK_BOLD);
    grid_char(p->g, row, 0, '>', INK_BOLD);
    snprintf(text, sizeof text, "%.200s%s%.200s", finish, finish[0] && line[0] ? ", " : "", line);
    grid_text(p->g, at++, COL_CODE, p->g->cols - COL_CODE, text, INK_PLAIN);
    col = COL_CODE - 1;
    for (size_t i = 0; i < coats; i++)
        col = paint_name(p, at, col, !v->writing && coats > 1 ? i + 1 : 0,
                         model_name(p->m, "coat", lists_coat(match, i)), i == v->chosen[FORM_COAT]);
    at += coats > 0;
    col = COL_CODE - 1;
    for (size_t i = 0; variants > 1 && i < variants; i++)
        col = paint_name(p, at, col, 0, lists_variant(match, v->chosen[FORM_COAT], i), i == v->chosen[FORM_VARIANT]);
    return at + (variants > 1) - row;
}

/* A writing line, and the matches below it; the open one unfolds into its coats and variants. */
void page_find(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    paint_title(p, from, paint_word(p, "page.find"));
    paint_field(p, from + 2, COL_CODE, p->g->cols - END_PAGE, paint_word(p, "page.code_or_name"), m->view.text,
                m->view.writing);
    int row = from + 4;
    size_t open = m->view.line, first = open > 2 ? open - 2 : 0;
    const json_t *match;
    for (size_t i = first; row + 3 < to && (match = lists_match(&m->lists, m->view.text, i)); i++) {
        if (i == open)
            row += paint_open_match(p, row, match);
        else
            paint_match(p, row++, match);
    }
}

/* ---- the record of a batch ---- */

/* A part as a step that is done, or of a batch that goes on as one that is still to come, with the lots that it was
 * poured from: below it where its own row has no room. Rows used. */
static int paint_part(const struct paint *p, int row, int to, const json_t *part)
{
    char name[LINE_ROOM], lots[LINE_ROOM];
    const char *lot = member_text(part, "lot");
    int room = p->g->cols - END_DOTS - COL_NAME - 5; /* a gap, and the leaders */
    snprintf(lots, sizeof lots, "%s %.120s", paint_word(p, "page.lot"), lot);
    snprintf(name, sizeof name, "%.200s%s%.160s", member_text(part, "name"), lot[0] ? ", " : "", lot[0] ? lots : "");
    bool below = lot[0] && grid_width(p->g, name) > room;
    bool waits = !(member_number(part, "poured_g") > 0) && lists_waits(p->m->lists.answer[LIST_BATCH]);
    struct shown_step step = {.toner = member_text(part, "toner"),
                              .name = below ? member_text(part, "name") : name,
                              .aim_g = member_number(part, "aim_g"),
                              .poured_g = member_number(part, "poured_g"),
                              .to_go_g = member_number(part, "aim_g"),
                              .deviation_pct = member_number(part, "deviation_pct"),
                              .looks = shown_object(shown_object(part, "de00"), "said"),
                              .state = waits ? STEP_NEXT : STEP_DONE};
    paint_step(p, row, &step, waits ? paint_word(p, "page.next") : "");
    return 1 +
           (below && row + 1 < to ? paint_wrap(p, row + 1, COL_NAME, p->g->cols - END_PAGE, 1, lots, INK_PLAIN) : 0);
}

/* The i-th line of a record: its facts and cautions first, since they go with the cup for good; then its parts, the
 * reducer, and last how sure they are. Rows used, 0 beyond the last. */
static int paint_record_line(const struct paint *p, int row, int to, size_t i)
{
    static const char *const lists[] = {"facts", "cautions", "parts"};
    const json_t *batch = p->m->lists.answer[LIST_BATCH];
    char text[LINE_ROOM];
    for (size_t k = 0; k < sizeof lists / sizeof *lists; k++) {
        const json_t *list = json_object_get(batch, lists[k]);
        const json_t *one = i < json_array_size(list) ? json_array_get(list, i) : NULL;
        if (!one) {
            i -= json_array_size(list);
            continue;
        }
        if (strcmp(lists[k], "parts") != 0)
            return paint_wrap(p, row, COL_CODE, p->g->cols - END_PAGE, to - row < 3 ? to - row : 3,
                              model_sentence(p->m, one, text, sizeof text), INK_BOLD | INK_RUBRIC);
        return paint_part(p, row, to, one);
    }
    if (shown_object(batch, "reducer") && i-- == 0)
        return paint_part(p, row, to, shown_object(batch, "reducer"));
    const json_t *sure = shown_object(shown_object(batch, "uncertainty"), "said");
    return i == 0 && sure ? paint_wrap(p, row, COL_CODE, p->g->cols - END_PAGE, to - row < 2 ? to - row : 2,
                                       model_told(p->m, sure, text, sizeof text), INK_DIM)
                          : 0;
}

/* What the cup holds, its VOC, what it cost, what is left of it: as far as they are known. */
static void sums_text(const struct paint *p, const json_t *batch, char *buf, size_t size)
{
    double g = member_number(batch, "total_g"), ml = member_number(batch, "total_ml"),
           cost = member_number(batch, "cost");
    double voc = member_number(json_object_get(batch, "voc"), "regulatory_g_per_l");
    const char *place = member_text(json_object_get(batch, "shelf"), "place");
    char text[LINE_ROOM], number[NUMBER_ROOM];
    buf[0] = '\0';
    if (isfinite(g))
        paint_join(buf, size, ", ", model_text(p->m, say("page.total total_g=%f", g), text, sizeof text));
    if (isfinite(ml))
        paint_join(buf, size, ", ", model_text(p->m, say("page.total_ml volume_ml=%f", ml), text, sizeof text));
    if (isfinite(voc))
        paint_join(buf, size, ", ", model_text(p->m, say("page.voc voc=%d", (int)lround(voc)), text, sizeof text));
    if (member_number(batch, "evaporated_g") > 0)
        paint_join(buf, size, ", ",
                   model_text(p->m, say("page.evaporated evaporated_g=%f", member_number(batch, "evaporated_g")), text,
                              sizeof text));
    if (isfinite(cost)) {
        snprintf(text, sizeof text, "%s %.8s", number_fixed(&p->m->style, cost, 2, false, number, sizeof number),
                 member_text(batch, "currency"));
        paint_join(buf, size, ", ", text);
    }
    paint_join(buf, size, ", ", place);
}

/* Whole where there are rows for it, else without its last words. Rows used. */
static int paint_head_text(const struct paint *p, int row, int most, const char *text, unsigned ink)
{
    int end = p->g->cols - END_PAGE;
    if (most > 1)
        return paint_wrap(p, row, COL_CODE, end, most, text, ink);
    paint_words(p, row, COL_CODE, end - COL_CODE, text, ink);
    return 1;
}

/* From top to bottom: what it is and whose, what it comes to, its lines as far as there is room from the open one on,
 * and what can be done with it. */
void page_record(const struct paint *p, int from, int to)
{
    const json_t *batch = p->m->lists.answer[LIST_BATCH];
    char title[LINE_ROOM], text[LINE_ROOM], number[LINE_ROOM];
    int end = p->g->cols - END_PAGE, menu = 0;
    model_text(p->m, say("page.batch batch=%s", p->m->view.batch), number, sizeof number);
    snprintf(title, sizeof title, "%.80s  %.60s %.200s", number, member_text(batch, "formula"),
             member_text(batch, "name"));
    paint_title(p, from, title);
    if (member_text(batch, "refused")[0]) {
        paint_wrap(p, from + 3, COL_CODE, end, 3, member_text(batch, "refused"), INK_RUBRIC);
        return;
    }
    batch_text(p, batch, text, sizeof text);
    int most = to - from < FEW_ROWS ? 1 : 2;
    int row = from + 2 + paint_head_text(p, from + 2, most, text, INK_PLAIN);
    sums_text(p, batch, text, sizeof text);
    row += paint_head_text(p, row, most, text, INK_BOLD);
    for (int digit = 1; digit <= 9; digit++)
        menu += menu_line(p->m, digit).there;
    int used = 1;
    size_t lines = lists_record_lines(batch), at = p->m->view.line;
    for (; row < to - menu && used > 0 && at < lines; at++)
        row += used = paint_record_line(p, row, to - menu, at);
    if (at < lines)
        paint_said_right(p, from + 1, end, say("page.more_below more=%d", (int)(lines - at)), INK_PLAIN);
    paint_menu(p, to - menu, to);
}
