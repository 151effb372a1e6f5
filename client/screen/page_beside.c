/* page_beside.c - the pages beside the bench: which one it is, and those that are short: menus, a toner, writing. It
 * must not know what may be done: menu.c does. */
#include "client/screen/entry.h"
#include "client/screen/instead.h"
#include "client/screen/page.h"
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

/* A menu by its name; below it what no digit does. */
static void paint_contents(const struct paint *p, int from, int to)
{
    char title[LINE_ROOM];
    enum page page = p->m->view.page;
    paint_title(p, from,
                page == PAGE_SCRAP
                    ? model_text(p->m, say("page.scrap batch=%s", p->m->bench.batch), title, sizeof title)
                    : paint_word(p, page == PAGE_TIN    ? "page.tin"
                                    : page == PAGE_SHOP ? "page.shop"
                                                        : "page.menu"));
    int row = paint_menu(p, from + 2, to);
    if (page == PAGE_MENU && row < to)
        paint_wrap(p, row + (row + 2 < to), 2, p->g->cols - END_PAGE, 2, paint_word(p, "page.leave_screen"), INK_PLAIN);
    if (page == PAGE_TIN && row < to)
        paint_wrap(p, row + (row + 2 < to), 2, p->g->cols - END_PAGE, 2, instead_text(p->m, title, sizeof title),
                   INK_PLAIN);
}

/* Toners that match what is written; digits count from the first match. */
static void paint_toners(const struct paint *p, int from, int to)
{
    const struct model *m = p->m;
    paint_title(p, from, paint_word(p, m->view.purpose == FOR_TINT ? "page.tint" : "page.wrong_tin"));
    paint_field(p, from + 2, COL_CODE, p->g->cols - END_PAGE, paint_word(p, "page.code_or_name"), m->view.text,
                m->view.writing);
    int row = from + 4, keys = m->view.writing ? 0 : 1;
    size_t n = lists_toners(&m->lists, m->view.text), room = to > row ? (size_t)(to - row) : 0;
    size_t first = m->view.line >= room && room > 0 ? m->view.line - room + 1 : 0;
    for (size_t i = first; i < n && row < to; i++, row++) {
        const json_t *t = lists_toner(&m->lists, m->view.text, i);
        char text[LINE_ROOM];
        snprintf(text, sizeof text, "%s  %s", lists_id(t), member_text(t, "name"));
        bool chosen = i == m->view.line && (keys || n == 1);
        paint_choice(p, row, keys ? (int)i + 1 : 0, text, "", chosen);
    }
}

/* One field for a note, a lot, a check weight, or what a list of the day asks for. */
static void paint_write(const struct paint *p, int from)
{
    static const struct {
        const char *title, *name;
    } fields[] = {
        [FOR_NOTE] = {"page.note_title", "page.note"},           [FOR_LOT] = {"page.lot_title", "page.lot"},
        [FOR_CHECK] = {"page.check_weight", "page.check_grams"}, [FOR_PERSON] = {"page.new_person", "member.name"},
        [FOR_VALUE] = {"page.settings", "member.value"},         [FOR_RECEIPT] = {"page.tin_came", "page.grams"},
        [FOR_COUNT] = {"page.count_stock", "page.grams"},        [FOR_GLANCE] = {"page.who_looked", "member.name"},
        [FOR_VARIANT] = {"page.keep_variant_as", "member.name"}, [FOR_LEARNER] = {"page.who_practises", "member.name"},
        [FOR_HAND_POUR] = {"hand_pour_g", "page.grams"},         [FOR_HAND_TAKE] = {"hand_remove_g", "page.grams"}};
    enum purpose purpose = p->m->view.purpose;
    bool stock = purpose == FOR_RECEIPT || purpose == FOR_COUNT;
    char title[LINE_ROOM], of[LINE_ROOM] = "";
    if (purpose == FOR_VALUE) /* by its name, and what it is now */
        model_told(p->m, shown_object(entry_setting(p->m), "said"), of, sizeof of);
    else if (stock)
        utf8_copy(of, sizeof of, p->m->view.key);
    snprintf(title, sizeof title, "%.200s%s%.200s", paint_word(p, fields[purpose].title), of[0] ? ": " : "", of);
    paint_title(p, from, title);
    if (purpose == FOR_VALUE)
        paint_words(p, from + 5, COL_CODE, p->g->cols - END_PAGE - COL_CODE,
                    model_told(p->m, shown_object(entry_setting(p->m), "shown"), of, sizeof of), INK_PLAIN);
    paint_field(p, from + 3, COL_CODE, p->g->cols - END_PAGE, paint_word(p, fields[purpose].name), p->m->view.text,
                true);
}

/* Which of the pages it is; the bench itself is drawn elsewhere. */
void page_beside(const struct paint *p, int from, int to)
{
    switch (p->m->view.page) {
    case PAGE_BENCH:
        break;
    case PAGE_MENU:
    case PAGE_TIN:
    case PAGE_SCRAP:
    case PAGE_SHOP:
        paint_contents(p, from, to);
        break;
    case PAGE_FIND:
        page_find(p, from, to);
        break;
    case PAGE_RECORD:
        page_record(p, from, to);
        break;
    case PAGE_AMOUNT:
        page_amount(p, from, to);
        break;
    case PAGE_PANELS:
        page_panels(p, from, to);
        break;
    case PAGE_RETARE:
        page_retare(p, from, to);
        break;
    case PAGE_TONER:
        paint_toners(p, from, to);
        break;
    case PAGE_WRITE:
        paint_write(p, from);
        break;
    case PAGE_SCALES:
    case PAGE_SCALE:
    case PAGE_CHECK:
        page_scales(p, from, to);
        break;
    case PAGE_ORDER_FORM:
        page_order_form(p, from, to);
        break;
    case PAGE_ORDER_HEAD:
    case PAGE_COAT_FORM:
    case PAGE_PANEL:
    case PAGE_PLACE:
        page_change(p, from, to);
        break;
    case PAGE_WEIGH:
        page_weigh(p, from, to);
        break;
    case PAGE_CARD:
        page_card(p, from, to);
        break;
    case PAGE_LEARNT:
        page_learnt(p, from, to);
        break;
    default:
        page_entry(p, from, to);
        break;
    }
}
