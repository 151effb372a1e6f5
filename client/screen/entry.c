/* entry.c - which list of the day is open, its title, and what is kept of the open line when the page turns. It must
 * not know what a line does: the noun's own file does. */
#include "client/screen/entry.h"

#include "client/screen/learn.h"

#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* One row a page; a page that is none of these has no function. */
static const struct {
    enum page page, back;
    bool (*at)(const struct model *m, size_t n, struct entry *e);
    const char *title; /* a code; NULL: entry_title makes it */
} pages[] = {
    {PAGE_ORDERS, PAGE_BENCH, entry_orders, "page.job"},
    {PAGE_ORDER, PAGE_ORDERS, entry_order, NULL},
    {PAGE_COAT, PAGE_ORDER, entry_coat_acts, NULL},
    {PAGE_LAYERS, PAGE_ORDER, entry_layers, NULL},
    {PAGE_CARDS, PAGE_COAT, entry_cards, "page.cards"},
    {PAGE_SHELF, PAGE_BENCH, entry_shelf, "page.shelf"},
    {PAGE_CUP, PAGE_SHELF, entry_cup, NULL},
    {PAGE_ROUND, PAGE_SHELF, entry_round, "page.round"},
    {PAGE_PEOPLE, PAGE_BENCH, entry_people, "page.people"},
    {PAGE_SETTINGS, PAGE_BENCH, entry_settings, "page.settings"},
    {PAGE_PRACTICE, PAGE_BENCH, entry_practice, "page.practice"},
    {PAGE_LEARNT, PAGE_BENCH, entry_learnt, "page.practice"},
};
enum { PAGES = sizeof pages / sizeof *pages };

/* PAGES where the page is none of these. */
static size_t place_of(enum page page)
{
    size_t i = 0;
    while (i < PAGES && pages[i].page != page)
        i++;
    return i;
}

bool entry_is_page(enum page page)
{
    return place_of(page) < PAGES;
}

/* Where a page was opened from, so that Esc undoes one key and not all of them. Cards without an order are those of the
 * shop, which stand beside the orders. */
enum page entry_back(const struct model *m)
{
    const struct view *v = &m->view;
    size_t i = place_of(v->page);
    if (v->page == PAGE_WEIGH || v->page == PAGE_PLACE)
        return PAGE_CUP;
    if (v->page == PAGE_ORDER_HEAD)
        return PAGE_ORDER;
    if (v->page == PAGE_COAT_FORM)
        return PAGE_COAT;
    if (v->page == PAGE_CARD)
        return PAGE_CARDS;
    if (v->page == PAGE_ORDER_FORM || (v->page == PAGE_CARDS && !v->coat))
        return v->order[0] ? PAGE_ORDER : PAGE_ORDERS;
    if (v->page == PAGE_WRITE)
        return v->purpose == FOR_PERSON                               ? PAGE_PEOPLE
               : v->purpose == FOR_VALUE                              ? PAGE_SETTINGS
               : v->purpose == FOR_VARIANT                            ? PAGE_RECORD
               : v->purpose == FOR_LEARNER                            ? PAGE_PRACTICE
               : v->purpose == FOR_RECEIPT || v->purpose == FOR_COUNT ? PAGE_ROUND
                                                                      : PAGE_BENCH;
    return i < PAGES ? pages[i].back : PAGE_BENCH;
}

/* Made anew for each look: a list is short, and what is never kept can never be old. */
bool entry_at(const struct model *m, size_t n, struct entry *e)
{
    size_t i = place_of(m->view.page);
    memset(e, 0, sizeof *e);
    return i < PAGES && pages[i].at(m, n, e);
}

/* Counted by asking, so that no list needs a second rule of how long it is. */
size_t entry_count(const struct model *m)
{
    struct entry e;
    size_t n = 0;
    while (entry_at(m, n, &e))
        n++;
    return n;
}

/* A thing has its name for a title, a list of things its word. */
const char *entry_title(const struct model *m, char *buf, size_t size)
{
    const struct view *v = &m->view;
    size_t i = place_of(v->page);
    if (v->page == PAGE_ORDER || v->page == PAGE_LAYERS)
        return model_text(m, say("page.order order=%s", v->order), buf, size);
    if (v->page == PAGE_COAT)
        return entry_coat_name(m, entry_coat(m), buf, size);
    if (v->page == PAGE_CUP)
        return model_text(m, say("page.cup_of batch=%s", v->batch), buf, size);
    snprintf(buf, size, "%s", i < PAGES && pages[i].title ? model_word(m, pages[i].title) : "");
    return buf;
}

/* Only what is open has more to tell than its title. */
const char *entry_under(const struct model *m, char *buf, size_t size)
{
    buf[0] = '\0';
    if (m->view.page == PAGE_COAT)
        entry_coat_amount(m, entry_coat(m), buf, size);
    else if (m->view.page == PAGE_LAYERS)
        entry_layers_under(m, buf, size);
    else if (m->view.page == PAGE_ORDER)
        entry_order_under(m, buf, size);
    else if (m->view.page == PAGE_CUP)
        entry_cup_under(m, buf, size);
    return buf;
}

/* The text member of the open line of a list, "" where the line is none of it. */
static const char *open_of(const struct model *m, enum list_kind kind, const char *list, const char *member)
{
    return member_text(json_array_get(json_object_get(m->lists.answer[kind], list), m->view.line), member);
}

/* A number of it; fmax passes one that is not known by. */
static double number_of(const struct model *m, enum list_kind kind, const char *list, const char *member)
{
    return member_number(json_array_get(json_object_get(m->lists.answer[kind], list), m->view.line), member);
}

/* The round lists cups first and then toners. */
static const char *round_toner(const struct model *m)
{
    size_t cups = json_array_size(json_object_get(m->lists.answer[LIST_DUE], "cups"));
    const json_t *stock = json_object_get(m->lists.answer[LIST_STOCK], "stock");
    return m->view.line < cups ? "" : member_text(json_array_get(stock, m->view.line - cups), "toner");
}

/* Ids, never pointers into a list: the list is read anew when its page comes back. */
void entry_choose(struct model *m, enum page next)
{
    struct view *v = &m->view;
    if (next == PAGE_ORDERS)
        v->order[0] = '\0';
    if (next == PAGE_ORDER && v->page == PAGE_ORDERS)
        utf8_copy(v->order, sizeof v->order, open_of(m, LIST_ORDERS, "orders", "order"));
    if (next == PAGE_ORDER && v->page == PAGE_BENCH && v->line)
        utf8_copy(v->order, sizeof v->order, member_text(lists_waiting(&m->lists, v->line - 1), "order"));
    if (next == PAGE_COAT && v->page == PAGE_ORDER)
        v->coat = v->line + 1;
    if (next == PAGE_COAT && v->page == PAGE_LAYERS)
        v->coat = (size_t)fmax(0, number_of(m, LIST_LAYERS, "layers", "coat_n"));
    if (next == PAGE_CARDS && v->page == PAGE_ORDERS)
        v->coat = 0;
    if ((next == PAGE_CUP || next == PAGE_WEIGH) && v->page == PAGE_SHELF)
        utf8_copy(v->batch, sizeof v->batch, open_of(m, LIST_SHELF, "cups", "batch"));
    if (next == PAGE_CUP && v->page == PAGE_ROUND)
        utf8_copy(v->batch, sizeof v->batch, open_of(m, LIST_DUE, "cups", "batch"));
    if (next == PAGE_WRITE && v->page == PAGE_ROUND)
        utf8_copy(v->key, sizeof v->key, round_toner(m));
    if (next == PAGE_WRITE && v->page == PAGE_PRACTICE)
        learn_choose(m);
    if (next == PAGE_WRITE && v->page == PAGE_SETTINGS)
        utf8_copy(v->key, sizeof v->key, open_of(m, LIST_SETTINGS, "settings", "key"));
}
