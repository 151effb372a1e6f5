/* entry_job.c - the lines of the orders, of one order and of its spray-out cards. It must not know how a coat is mixed:
 * batch.begin with `order` and `coat_n` does. */
#include "client/screen/calls.h"
#include "client/screen/entry.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Adds a text to another, with a sign between them where both are there. */
static void join(char *buf, size_t size, const char *between, const char *text)
{
    size_t n = strlen(buf);
    if (text[0] && n + 1 < size)
        snprintf(buf + n, size - n, "%s%s", n ? between : "", text);
}

/* ---- a coat ---- */

const char *entry_coat_name(const struct model *m, const json_t *coat, char *buf, size_t size)
{
    const char *formula = member_text(coat, "formula"), *product = member_text(coat, "product");
    buf[0] = '\0';
    join(buf, size, " ", model_name(m, "coat", member_text(coat, "coat")));
    join(buf, size, " ", formula[0] ? formula : product);
    join(buf, size, " ", lists_other_variant(coat));
    join(buf, size, " ", formula[0] ? product : "");
    return buf;
}

/* Grams go before panels, as batch.begin takes them. Areas are not told: the daemon has them. */
const char *entry_coat_amount(const struct model *m, const json_t *coat, char *buf, size_t size)
{
    double g = member_number(coat, "grams");
    const json_t *panels = json_object_get(coat, "panels");
    char number[NUMBER_ROOM], one[400];
    buf[0] = '\0';
    if (isfinite(g))
        snprintf(buf, size, "%s g", number_weight(&m->style, g, false, number, sizeof number));
    for (size_t i = 0; !isfinite(g) && i < json_array_size(panels); i++) {
        const json_t *panel = json_array_get(panels, i);
        double share = member_number(panel, "share_pct");
        bool edges = json_is_true(json_object_get(panel, "edges"));
        int used = snprintf(one, sizeof one, "%.0fx %.240s%s%.80s", member_number(panel, "coats"),
                            member_text(panel, "name"), edges ? " " : "", edges ? model_word(m, "page.edges") : "");
        if (share > 0 && share < 100)
            snprintf(one + used, sizeof one - (size_t)used, " %s %%",
                     number_fixed(&m->style, share, 0, false, number, sizeof number));
        join(buf, size, ", ", one);
    }
    return buf;
}

/* On the order's own page it is the open line, elsewhere the one that the page was opened for. */
const json_t *entry_coat(const struct model *m)
{
    size_t n = m->view.page == PAGE_ORDER ? m->view.line + 1 : m->view.coat;
    return n ? json_array_get(json_object_get(m->lists.answer[LIST_ORDER], "coats"), n - 1) : NULL;
}

/* The open card where the page is that of the cards, else the open coat. */
json_t *entry_wanted(const struct model *m)
{
    const json_t *cards = json_object_get(m->lists.answer[LIST_CARDS], "cards");
    const json_t *of = m->view.page == PAGE_CARDS ? json_array_get(cards, m->view.line) : entry_coat(m);
    const char *formula = member_text(of, "formula"), *coat = member_text(of, "coat");
    const char *variant = member_text(of, "variant");
    if (formula[0])
        return json_pack("{s:s, s:s, s:[{s:s, s:[s]}]}", "code", formula, "name", "", "coats", "coat", coat, "variants",
                         variant[0] ? variant : "standard");
    if (member_text(of, "product")[0])
        return json_pack("{s:s, s:s, s:s}", "id", member_text(of, "product"), "name", "", "role", coat);
    return NULL;
}

/* ---- orders ---- */

bool entry_orders(const struct model *m, size_t n, struct entry *e)
{
    const json_t *orders = json_object_get(m->lists.answer[LIST_ORDERS], "orders"), *o = json_array_get(orders, n);
    size_t all = json_array_size(orders), mixed = 0;
    char text[ENTRY_TEXT];
    e->act = ACT_PAGE;
    if (n >= all) {
        e->value = n == all ? PAGE_ORDER_FORM : PAGE_CARDS;
        utf8_copy(e->text, sizeof e->text, model_word(m, n == all ? "page.new_order" : "page.cards"));
        return n < all + 2;
    }
    const json_t *coats = json_object_get(o, "coats");
    for (size_t i = 0; i < json_array_size(coats); i++) {
        const char *state = member_text(json_array_get(coats, i), "state");
        mixed += strcmp(state, "mixed") == 0 || strcmp(state, "left_over") == 0;
    }
    snprintf(e->text, sizeof e->text, "%.240s  %.240s", member_text(o, "order"), member_text(o, "vehicle"));
    join(e->detail, sizeof e->detail, ", ", member_text(o, "painter"));
    if (lists_next_coat(o))
        join(e->detail, sizeof e->detail, ", ", entry_coat_name(m, lists_next_coat(o), text, sizeof text));
    if (json_array_size(coats))
        model_text(m, say("page.coats_mixed mixed=%d all=%d", (int)mixed, (int)json_array_size(coats)), e->figure,
                   sizeof e->figure);
    model_text(m, say("page.order order=%s", member_text(o, "order")), e->says, sizeof e->says);
    e->value = PAGE_ORDER;
    e->dot = ACT_PAGE;
    e->dot_value = PAGE_ORDER_FORM;
    utf8_copy(e->second, sizeof e->second, model_word(m, "page.new_order"));
    return true;
}

/* Whose an order is and until when; its cost stands on the record of each batch. */
void entry_order_under(const struct model *m, char *buf, size_t size)
{
    const json_t *o = m->lists.answer[LIST_ORDER];
    char text[ENTRY_TEXT];
    join(buf, size, ", ", member_text(o, "vehicle"));
    join(buf, size, ", ", member_text(o, "painter"));
    if (member_text(o, "due")[0])
        join(buf, size, ", ", model_text(m, say("page.due due=%s", member_text(o, "due")), text, sizeof text));
}

/* What Enter does with a coat: begin it, ask how much of it, or show what was mixed of it. */
static void coat_act(const struct model *m, const json_t *coat, struct entry *e)
{
    const json_t *begin = shown_move(&m->bench, "batch.begin", NULL, NULL);
    const json_t *batches = json_object_get(coat, "batches");
    const char *state = member_text(coat, "state");
    char name[ENTRY_TEXT], amount[ENTRY_TEXT];
    if (strcmp(state, "not_mixed") != 0) {
        const char *batch = json_string_value(json_array_get(batches, json_array_size(batches) - 1));
        e->act = ACT_RECORD;
        model_text(m, say("page.batch batch=%s", batch ? batch : ""), e->says, sizeof e->says);
        return;
    }
    if (!begin || !shown_is_open(begin)) {
        utf8_copy(e->why, sizeof e->why, model_word(m, "page.find_shut"));
        return;
    }
    e->act = entry_coat_amount(m, coat, amount, sizeof amount)[0] ? ACT_CALL : ACT_AMOUNT;
    e->value = e->act == ACT_CALL ? (uint32_t)CALL_COAT : (uint32_t)AMOUNT_OF_COAT;
    model_text(m, say("page.begin_coat coat=%s order=%s", entry_coat_name(m, coat, name, sizeof name), m->view.order),
               e->says, sizeof e->says);
}

/* What can be done with the whole order, the n-th. */
static bool order_act(const struct model *m, size_t n, bool closed, struct entry *e)
{
    static const struct {
        const char *words;
        enum act act;
        uint32_t value;
    } acts[] = {{"page.add_coats", ACT_PAGE, PAGE_ORDER_FORM},
                {"page.change_order", ACT_PAGE, PAGE_ORDER_HEAD},
                {"page.layers", ACT_PAGE, PAGE_LAYERS},
                {"page.close_order", ACT_CALL, CALL_CLOSE}};
    if (n >= sizeof acts / sizeof *acts)
        return false;
    e->act = acts[n].act;
    e->value = acts[n].value;
    utf8_copy(e->text, sizeof e->text,
              model_word(m, closed && e->act == ACT_CALL ? "page.reopen_order" : acts[n].words));
    return true;
}

/* Coats in spraying order, then what can be done with the whole. An order that is not read yet has no lines. */
bool entry_order(const struct model *m, size_t n, struct entry *e)
{
    const json_t *o = m->lists.answer[LIST_ORDER], *coats = json_object_get(o, "coats"),
                 *coat = json_array_get(coats, n);
    size_t all = json_array_size(coats);
    const char *station = member_text(coat, "station");
    char at[ENTRY_TEXT];
    if (!member_text(o, "order")[0])
        return false;
    if (!coat)
        return order_act(m, n - all, json_is_true(json_object_get(o, "closed")), e);
    entry_coat_name(m, coat, e->text, sizeof e->text);
    entry_coat_amount(m, coat, e->detail, sizeof e->detail);
    utf8_copy(e->figure, sizeof e->figure, model_name(m, "state", member_text(coat, "state")));
    if (station[0])
        join(e->figure, sizeof e->figure, " ", model_text(m, say("page.at_bench station=%s", station), at, sizeof at));
    coat_act(m, coat, e);
    e->dot = ACT_PAGE;
    e->dot_value = PAGE_COAT;
    utf8_copy(e->second, sizeof e->second, model_word(m, "page.coat_acts"));
    return true;
}

/* Whether a coat may still be changed is the daemon's to say. A coat that is no colour has no cards. */
bool entry_coat_acts(const struct model *m, size_t n, struct entry *e)
{
    static const struct {
        const char *words;
        enum act act;
        uint32_t value;
    } acts[] = {{"page.cards", ACT_PAGE, PAGE_CARDS},
                {"page.what_it_takes", ACT_PAGE, PAGE_COAT_FORM},
                {"page.coat_off", ACT_CALL, CALL_COAT_OFF},
                {"page.record", ACT_RECORD, 0}};
    const json_t *coat = entry_coat(m);
    bool colour = member_text(coat, "formula")[0] != '\0',
         mixed = json_array_size(json_object_get(coat, "batches")) > 0;
    if (!coat || n >= sizeof acts / sizeof *acts)
        return false;
    utf8_copy(e->text, sizeof e->text, model_word(m, acts[n].words));
    e->act = acts[n].act;
    e->value = acts[n].value;
    if (n == 0 && colour) {
        e->dot = ACT_PAGE;
        e->dot_value = PAGE_CARD;
        utf8_copy(e->second, sizeof e->second, model_word(m, "page.keep_card"));
    }
    if ((n == 0 && !colour) || (n == 3 && !mixed)) {
        e->act = ACT_NONE;
        utf8_copy(e->why, sizeof e->why, model_word(m, n == 0 ? "page.no_colour" : "state.not_mixed"));
    }
    return true;
}

/* ---- spray-out cards ---- */

/* `standard, ground, 2 coats, sun, shade, order 4417, Ines`. */
static void card_detail(const struct model *m, const json_t *card, char *buf, size_t size)
{
    const json_t *light = json_object_get(card, "light");
    char lights[ENTRY_TEXT] = "", text[ENTRY_TEXT];
    for (size_t i = 0; i < json_array_size(light); i++) {
        const char *one = json_string_value(json_array_get(light, i));
        join(lights, sizeof lights, ", ", model_name(m, "page.light", one ? one : ""));
    }
    join(buf, size, ", ", member_text(card, "variant"));
    join(buf, size, ", ", model_name(m, "coat", member_text(card, "coat")));
    join(buf, size, ", ",
         model_text(m, say("page.card_in coats=%d light=%s", (int)member_number(card, "coats"), lights), text,
                    sizeof text));
    if (member_text(card, "order")[0])
        join(buf, size, ", ", model_text(m, say("page.order order=%s", member_text(card, "order")), text, sizeof text));
    join(buf, size, ", ", member_text(card, "note"));
    join(buf, size, ", ", member_text(card, "who"));
}

/* What matched comes first, as card.match sends it. Enter mixes by it: that is what a card is looked up for. */
bool entry_cards(const struct model *m, size_t n, struct entry *e)
{
    const json_t *cards = json_object_get(m->lists.answer[LIST_CARDS], "cards"), *card = json_array_get(cards, n);
    const json_t *begin = shown_move(&m->bench, "batch.begin", NULL, NULL);
    char name[ENTRY_TEXT];
    if (!card) {
        e->act = ACT_PAGE;
        e->value = PAGE_CARD;
        utf8_copy(e->text, sizeof e->text, model_word(m, "page.keep_card"));
        return m->view.coat && n == json_array_size(cards);
    }
    model_text(m, say("page.card card=%s", member_text(card, "card")), e->text, sizeof e->text);
    join(e->text, sizeof e->text, "  ", member_text(card, "formula"));
    card_detail(m, card, e->detail, sizeof e->detail);
    utf8_copy(e->figure, sizeof e->figure, model_name(m, "page.card", member_text(card, "verdict")));
    e->act = begin && shown_is_open(begin) ? ACT_AMOUNT : ACT_NONE;
    e->value = AMOUNT_OF_COAT;
    utf8_copy(e->why, sizeof e->why, e->act == ACT_NONE ? model_word(m, "page.find_shut") : "");
    model_text(m, say("footline.how_much coat=%s", entry_coat_name(m, card, name, sizeof name)), e->says,
               sizeof e->says);
    if (m->view.coat) {
        e->dot = ACT_PAGE;
        e->dot_value = PAGE_CARD;
        utf8_copy(e->second, sizeof e->second, model_word(m, "page.keep_card"));
    }
    return true;
}
