/* entry_shelf.c - the lines of the shelf, of one cup and of the round. It must not judge a date: shelf.list says what
 * is past and what is activated. */
#include "client/screen/calls.h"
#include "client/screen/entry.h"
#include "client/screen/workoff_offer.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Adds a text to another with a comma where both are there. */
static void add(char *buf, size_t size, const char *text)
{
    size_t n = strlen(buf);
    if (text[0] && n + 1 < size)
        snprintf(buf + n, size - n, "%s%s", n ? ", " : "", text);
}

/* What was weighed back, else all that was mixed. */
static const char *left_text(const struct model *m, const json_t *cup, char buf[NUMBER_ROOM + 4])
{
    double left_g = member_number(cup, "left_g");
    char number[NUMBER_ROOM];
    snprintf(buf, NUMBER_ROOM + 4, "%s g",
             number_weight(&m->style, isfinite(left_g) ? left_g : member_number(cup, "total_g"), false, number,
                           sizeof number));
    return buf;
}

/* A day, of activated paint an hour beside it. */
static void add_use_by(const struct model *m, const json_t *cup, char *buf, size_t size)
{
    char text[ENTRY_TEXT], day[16], hour[CLOCK_HOUR];
    const char *use_by = member_text(cup, "use_by");
    if (!use_by[0])
        return;
    if (!lists_use_by(cup, hour) || !lists_activated(cup))
        hour[0] = '\0';
    snprintf(day, sizeof day, "%.10s", use_by);
    model_text(m, say("page.use_by_day day=%s hour=%s", day, hour), text, sizeof text);
    for (size_t n = strlen(text); n && text[n - 1] == ' '; n--)
        text[n - 1] = '\0';
    add(buf, size, text);
}

/* Until when it is good, what it is and for whom it was mixed. */
static void cup_detail(const struct model *m, const json_t *cup, char *buf, size_t size)
{
    char text[ENTRY_TEXT];
    add_use_by(m, cup, buf, size); /* first: it is what the shelf is looked at for */
    add(buf, size, model_text(m, say("page.batch batch=%s", member_text(cup, "batch")), text, sizeof text));
    add(buf, size, model_name(m, "coat", member_text(cup, "coat")));
    add(buf, size, lists_other_variant(cup));
    if (member_text(cup, "order")[0])
        add(buf, size, model_text(m, say("page.order order=%s", member_text(cup, "order")), text, sizeof text));
}

/* A cup in a list: Enter shows what can be done with it, `.` weighs it back at once. */
static void cup_line(const struct model *m, const json_t *cup, struct entry *e)
{
    const char *place = member_text(cup, "place"), *why = member_text(cup, "why");
    snprintf(e->text, sizeof e->text, "%.160s  %.40s %.240s", place[0] ? place : "?", member_text(cup, "formula"),
             member_text(cup, "name"));
    cup_detail(m, cup, e->detail, sizeof e->detail);
    left_text(m, cup, e->figure);
    e->gone = why[0] != '\0';
    utf8_copy(e->why, sizeof e->why, why[0] ? model_name(m, "page.why", why) : "");
    model_text(m, say("page.cup_of batch=%s", member_text(cup, "batch")), e->says, sizeof e->says);
    e->act = e->dot = ACT_PAGE;
    e->value = PAGE_CUP;
    e->dot_value = PAGE_WEIGH;
    utf8_copy(e->second, sizeof e->second, model_word(m, "page.weigh_back"));
}

/* Oldest first, as the daemon sends them: the oldest is used up first. */
bool entry_shelf(const struct model *m, size_t n, struct entry *e)
{
    const json_t *cups = json_object_get(m->lists.answer[LIST_SHELF], "cups"), *cup = json_array_get(cups, n);
    if (cup) {
        cup_line(m, cup, e);
        return true;
    }
    e->act = ACT_PAGE;
    e->value = PAGE_ROUND;
    utf8_copy(e->text, sizeof e->text, model_word(m, "page.round"));
    return n == json_array_size(cups);
}

/* ---- one cup ---- */

/* batch.get of the open cup, with what the shelf knows of it beside. */
static const json_t *shelf_of(const json_t *batch)
{
    return json_object_get(batch, "shelf");
}

/* A cup that was never weighed back may hold all of it. */
static double left_of(const json_t *batch)
{
    double left_g = member_number(shelf_of(batch), "left_g");
    return isfinite(left_g) ? left_g : member_number(batch, "total_g");
}

/* What stands in it and where, in one line, so that the digits below keep their places. */
void entry_cup_under(const struct model *m, char *buf, size_t size)
{
    const json_t *b = m->lists.answer[LIST_BATCH], *shelf = shelf_of(b);
    char text[ENTRY_TEXT], number[NUMBER_ROOM];
    if (!member_text(b, "batch")[0])
        return;
    snprintf(text, sizeof text, "%.40s %.240s", member_text(b, "formula"), member_text(b, "name"));
    add(buf, size, text);
    snprintf(text, sizeof text, "%s g", number_weight(&m->style, left_of(b), false, number, sizeof number));
    add(buf, size, text);
    if (member_text(shelf, "place")[0])
        add(buf, size, model_text(m, say("page.stands place=%s", member_text(shelf, "place")), text, sizeof text));
    json_t *cup = json_pack("{s:s, s:b}", "use_by", member_text(shelf, "use_by"), "activated", lists_activated(b));
    add_use_by(m, cup, buf, size);
    json_decref(cup);
}

/* A line of the cup's page by its code. */
static void cup_does(const struct model *m, struct entry *e, const char *code, enum act act, uint32_t value)
{
    utf8_copy(e->text, sizeof e->text, model_word(m, code));
    e->act = act;
    e->value = value;
}

/* The waste's caution stands beside the line, not after it: who throws away reads it before. */
static void discard_line(const struct model *m, const json_t *b, struct entry *e)
{
    char left[NUMBER_ROOM + 4], number[NUMBER_ROOM];
    snprintf(left, sizeof left, "%s g", number_weight(&m->style, left_of(b), false, number, sizeof number));
    model_text(m, say("page.discard left=%s", left), e->text, sizeof e->text);
    utf8_copy(e->why, sizeof e->why, model_word(m, lists_activated(b) ? "page.discard_open" : "page.discard_how"));
    e->act = ACT_CALL;
    e->value = CALL_DISCARD;
}

/* Into the colour that an order waits for, with whatever else of the shelf goes into it. */
static void workoff_line(const struct model *m, struct entry *e)
{
    const json_t *coat = NULL, *order = workoff_order(m, &coat);
    if (!order)
        utf8_copy(e->text, sizeof e->text, model_word(m, "page.workoff_into_none"));
    else
        model_text(m,
                   say("page.workoff_into formula=%s coat=%s order=%s", member_text(coat, "formula"),
                       member_text(coat, "coat"), member_text(order, "order")),
                   e->text, sizeof e->text);
    if (order && workoff_uses_cup(m))
        workoff_text(m, e->detail, sizeof e->detail);
    else
        workoff_why(m, e->why, sizeof e->why);
    e->act = ACT_CALL;
    e->value = CALL_USE_UP;
}

/* The places are the same for every cup; what an activated one cannot do any more is shut. */
bool entry_cup(const struct model *m, size_t n, struct entry *e)
{
    const json_t *b = m->lists.answer[LIST_BATCH], *begin = shown_move(&m->bench, "batch.begin", NULL, NULL);
    bool free = begin && shown_is_open(begin), activated = lists_activated(b);
    if (!member_text(b, "batch")[0] || n > CUP_DISCARD)
        return false;
    if (n == 0)
        cup_does(m, e, "page.take_from_cup", ACT_PAGE, PAGE_WEIGH);
    else if (n == 1)
        cup_does(m, e, "page.weigh_back", ACT_PAGE, PAGE_WEIGH);
    else if (n == 2)
        cup_does(m, e, "page.give_place", ACT_PAGE, PAGE_PLACE);
    else if (n == 3)
        cup_does(m, e, "page.pour_on_cup", ACT_AMOUNT, AMOUNT_OF_CUP);
    else if (n == 4)
        workoff_line(m, e);
    else if (n == 5)
        cup_does(m, e, "page.record", ACT_RECORD, 0);
    else
        discard_line(m, b, e);
    if (n == 0)
        utf8_copy(e->detail, sizeof e->detail, model_word(m, "page.take_from_cup_how"));
    if ((n == 0 || n == 3 || n == 4) && activated)
        utf8_copy(e->why, sizeof e->why, model_word(m, "page.activated_cup"));
    else if ((n == 3 || n == 4) && !free)
        utf8_copy(e->why, sizeof e->why, model_word(m, "page.find_shut"));
    if (e->why[0] && n != CUP_DISCARD)
        e->act = ACT_NONE;
    return true;
}

/* ---- the round: what must go, then what must be ordered ---- */

static void toner_line(const struct model *m, const json_t *t, struct entry *e)
{
    double grams = member_number(t, "grams"), low_g = member_number(t, "reorder_g");
    char text[ENTRY_TEXT], number[NUMBER_ROOM];
    snprintf(e->text, sizeof e->text, "%.40s %.240s", member_text(t, "toner"), member_text(t, "name"));
    add(e->detail, sizeof e->detail, member_text(t, "place"));
    if (isfinite(low_g))
        add(e->detail, sizeof e->detail,
            model_text(m, say("page.reorder_below reorder_g=%f", low_g), text, sizeof text));
    if (member_text(t, "runs_out")[0])
        add(e->detail, sizeof e->detail,
            model_text(m, say("page.runs_out day=%s", member_text(t, "runs_out")), text, sizeof text));
    snprintf(e->figure, sizeof e->figure, "%s g",
             isfinite(grams) ? number_weight(&m->style, grams, false, number, sizeof number) : "?");
    e->act = e->dot = ACT_ASK;
    e->value = FOR_RECEIPT;
    e->dot_value = FOR_COUNT;
    utf8_copy(e->says, sizeof e->says, model_word(m, "page.tin_came"));
    utf8_copy(e->second, sizeof e->second, model_word(m, "page.count_stock"));
}

/* Who walks the round has the bank before them: pigment, pearl and flake settle over night. */
static void stir_line(const struct model *m, struct entry *e)
{
    utf8_copy(e->text, sizeof e->text, model_word(m, "page.stir_all"));
    utf8_copy(e->detail, sizeof e->detail, model_word(m, "page.stir_all_how"));
    e->act = ACT_CALL;
    e->value = CALL_STIR;
}

/* Cups first: what must go harms sooner than what is missing. */
bool entry_round(const struct model *m, size_t n, struct entry *e)
{
    const json_t *cups = json_object_get(m->lists.answer[LIST_DUE], "cups");
    const json_t *stock = json_object_get(m->lists.answer[LIST_STOCK], "stock");
    size_t due = json_array_size(cups);
    if (n < due)
        cup_line(m, json_array_get(cups, n), e);
    else if (n < due + json_array_size(stock))
        toner_line(m, json_array_get(stock, n - due), e);
    else if (n == due + json_array_size(stock))
        stir_line(m, e);
    else
        return false;
    if (n < due) { /* its weight is asked for on the cup's own page */
        e->dot = ACT_NONE;
        e->second[0] = '\0';
    }
    return true;
}
