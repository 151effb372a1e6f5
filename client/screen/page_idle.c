/* page_idle.c - nothing is open: what waits, newest first; after a while only the clock. It must not know a pour. */
#include "client/screen/entry.h"
#include "client/screen/page.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { COL_BATCH_NAME = COL_NAME + 1 };

/* What is in the cup for good beside its formula: toners by eye, and toners that are not in it. */
static void add_facts(const struct paint *p, const json_t *toners, const char *what, char *buf, size_t size)
{
    char text[LINE_ROOM];
    for (size_t i = 0; i < json_array_size(toners); i++) {
        const json_t *one = json_array_get(toners, i);
        const char *toner = member_text(one, "toner");
        double g = member_number(one, "grams");
        struct said s = strcmp(what, "tinted") == 0 ? say("fact_tinted toner=%s poured_g=%f", toner, g)
                                                    : say("fact_foreign toner=%s poured_g=%f", toner, g);
        paint_join(buf, size, "   ", model_text(p->m, s, text, sizeof text));
    }
}

/* Until when it can be used, whose it is, and where it is held: below its own line, which has no room for them. */
static void owner_text(const struct paint *p, const json_t *batch, char *buf, size_t size)
{
    const char *order = member_text(batch, "order"), *station = member_text(batch, "station");
    char text[LINE_ROOM], hour[CLOCK_HOUR];
    buf[0] = '\0';
    if (lists_is_order(batch)) { /* what is mixed next of it, and how much */
        paint_join(buf, size, "   ", entry_coat_amount(p->m, lists_next_coat(batch), text, sizeof text));
        paint_join(buf, size, "   ", member_text(batch, "painter"));
        return;
    }
    if (!lists_use_by(batch, hour))
        paint_join(buf, size, "   ", lists_activated(batch) ? paint_word(p, "page.activated") : "");
    else if (lists_past_use(batch, p->now.wall_s))
        paint_join(buf, size, "   ", paint_word(p, "page.pot_life_over"));
    else
        paint_join(buf, size, "   ", model_text(p->m, say("page.use_by_hour use_by=%s", hour), text, sizeof text));
    if (order[0])
        paint_join(buf, size, "   ", model_text(p->m, say("page.order order=%s", order), text, sizeof text));
    paint_join(buf, size, "   ", member_text(batch, "painter"));
    if (lists_waits(batch) && station[0] && strcmp(station, p->m->station) != 0)
        paint_join(buf, size, "   ", model_text(p->m, say("page.held_at station=%s", station), text, sizeof text));
    add_facts(p, json_object_get(batch, "tinted"), "tinted", buf, size);
    add_facts(p, json_object_get(batch, "foreign"), "foreign", buf, size);
}

/* In at most `most` rows; in a single one what has no room is left out. Rows used: 0 where nothing is known of it. */
static int paint_owner(const struct paint *p, int row, int most, const json_t *batch)
{
    char text[LINE_ROOM];
    int end = p->g->cols - END_PAGE;
    owner_text(p, batch, text, sizeof text);
    if (most > 1)
        return paint_wrap(p, row, COL_BATCH_NAME, end, most, text, INK_PLAIN);
    paint_words(p, row, COL_BATCH_NAME, end - COL_BATCH_NAME, text, INK_PLAIN);
    return text[0] != '\0';
}

/* `10:51` where it is finished, else that it waits. */
static const char *state_text(const struct paint *p, const json_t *batch, char hour[CLOCK_HOUR])
{
    lists_finished(batch, hour);
    if (hour[0])
        return hour;
    if (!lists_waits(batch))
        return paint_word(p, "page.finished");
    return paint_word(p, strcmp(member_text(batch, "state"), "open") == 0 ? "page.open" : "page.held");
}

/* Batch, colour, grams, state. A name loses whole words before it is cut. */
static void paint_batch_line(const struct paint *p, int row, size_t i, const json_t *batch)
{
    bool open = p->m->view.line == i + 1;
    char text[LINE_ROOM], name[LINE_ROOM], weight[NUMBER_ROOM], hour[CLOCK_HOUR];
    unsigned ink = open ? INK_BOLD : INK_PLAIN;
    double total_g = member_number(batch, "total_g");
    int end = p->g->cols - 11;
    paint_digit(p, row, (int)i + 1, i < 9, open);
    if (lists_is_order(batch)) {
        model_text(p->m, say("page.order order=%s", member_text(batch, "order")), text, sizeof text);
        int least = COL_CODE + grid_width(p->g, text) + 2; /* the number goes before the coat, which Enter names */
        paint_join(text, sizeof text, "  ", member_text(batch, "vehicle"));
        end = p->g->cols - END_PAGE;
        entry_coat_name(p->m, lists_next_coat(batch), name, sizeof name);
        if (least + grid_width(p->g, name) <= end)
            end = grid_text_right(p->g, row, end, name, ink);
        else
            end += 2;
        paint_words(p, row, COL_CODE, end - 2 - COL_CODE, text, ink);
        return;
    }
    grid_text(p->g, row, COL_CODE - 1, 7, member_text(batch, "batch"), INK_BOLD);
    grid_text_right(p->g, row, p->g->cols - END_PAGE, state_text(p, batch, hour), ink);
    if (isfinite(total_g)) {
        snprintf(text, sizeof text, "%s g", number_weight(&p->m->style, total_g, false, weight, sizeof weight));
        end = grid_text_right(p->g, row, end, text, ink);
    }
    snprintf(text, sizeof text, "%s  %s  %s  %s", member_text(batch, "formula"), member_text(batch, "name"),
             model_name(p->m, "coat", member_text(batch, "coat")), lists_other_variant(batch));
    paint_words(p, row, COL_BATCH_NAME, end - 2 - COL_BATCH_NAME, text, ink);
}

/* What ails scale or link, with what helps: the foot line names the next move of an idle bench. Rows used. */
static int paint_trouble(const struct paint *p, int row)
{
    const struct model *m = p->m;
    int end = p->g->cols - END_PAGE;
    char text[LINE_ROOM];
    if (!m->linked)
        return paint_wrap(p, row, COL_CODE, end, 2, paint_word(p, "page.lost"), INK_RUBRIC);
    if (!m->bench.trouble)
        return paint_wrap(p, row, COL_CODE, end, 2, paint_word(p, "page.no_weight_yet"), INK_RUBRIC);
    int used = paint_wrap(p, row, COL_CODE, end, 2, model_sentence(m, m->bench.trouble, text, sizeof text), INK_RUBRIC);
    return used +
           paint_wrap(p, row + used, COL_CODE, end, 2, model_sentence(m, m->bench.fix, text, sizeof text), INK_PLAIN);
}

/* The live weight and what the list below is; of a weight that is not live what ails it. Rows used. */
static int paint_weight(const struct paint *p, int row)
{
    char g[NUMBER_ROOM], text[NUMBER_ROOM + 4];
    if (p->dead)
        return paint_trouble(p, row);
    if (p->life != LIFE_LIVE)
        return 1;
    snprintf(text, sizeof text, "%s g", number_weight(&p->m->style, p->m->weight.g, false, g, sizeof g));
    grid_text_right(p->g, row, p->g->cols - END_PAGE, text, INK_PLAIN);
    const char *below = p->m->home[0]                  ? "page.practise_here"
                        : lists_batch(&p->m->lists, 0) ? "page.today"
                                                       : "page.nothing_today";
    grid_text(p->g, row, COL_CODE, 50, paint_word(p, below), INK_PLAIN);
    return 1;
}

/* After a while untouched: a page that lights nothing up. */
static void paint_drowsy(const struct paint *p, int row)
{
    char clock[CLOCK_ROOM];
    paint_clock(p->now.wall_s, false, clock);
    grid_run(p->g, 0, 0, p->g->cols, ' ', INK_PLAIN);
    grid_text(p->g, row, COL_CODE, 20, clock, INK_DIM);
    grid_text(p->g, row, COL_NAME + 2, 20, paint_word(p, "page.idle"), INK_DIM);
}

/* From top to bottom: a rule, the live weight or what ails the scale, and the day's batches, those that wait among
 * them. Enter goes on with the open one, or mixes it again. Each batch has two rows where all of them fit, else the
 * open one alone, and the list follows it. */
void page_idle(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    if (p->now.ms - m->view.touched_ms >= DROWSY_MS) {
        paint_drowsy(p, (from + to) / 2);
        return;
    }
    paint_rule(p, from, '-', 0x2500);
    grid_text(p->g, from + 1, COL_MARGIN, COL_CODE - COL_MARGIN, paint_word(p, "page.now"), INK_PLAIN);
    int row = from + 2 + paint_weight(p, from + 1);
    size_t room = to > row ? (size_t)(to - row) : 0, all = lists_batches(&m->lists);
    bool owners = all * 2 <= room; /* else of the open line alone */
    size_t first = !owners && m->view.line + 1 > room ? m->view.line + 1 - room : 0;
    const json_t *batch;
    for (size_t i = first; row < to && (batch = lists_batch(&m->lists, i)); i++) {
        paint_batch_line(p, row++, i, batch);
        if ((owners || m->view.line == i + 1) && row < to)
            row += paint_owner(p, row, row + 1 < to && all * 3 <= room ? 2 : 1, batch);
    }
}
