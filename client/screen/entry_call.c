/* entry_call.c - what the lists of the day ask the daemon to do, and which page its answer leads to. It must not know
 * whether anything is allowed: a refusal is the daemon's. */
#include "client/screen/calls.h"
#include "client/screen/entry.h"
#include "client/screen/learn.h"
#include "client/screen/order_put.h"
#include "client/screen/premix.h"
#include "client/screen/workoff_offer.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- params ---- */

/* What the card is about: the batch of the coat where one was mixed, else its colour. */
static json_t *card_params(const struct model *m)
{
    static const char *const verdicts[] = {"match", "near", "no"}, *const lights[] = {"sun", "shade", "lamp", "booth"};
    const struct view *v = &m->view;
    const json_t *coat = entry_coat(m), *batches = json_object_get(coat, "batches");
    json_t *put = json_object(), *light = json_array();
    for (size_t i = 0; i < sizeof lights / sizeof *lights; i++)
        if (v->taken & 1U << i)
            json_array_append_new(light, json_string(lights[i]));
    json_object_set_new(put, "light", light);
    form_set_text(put, "verdict", v->choice >= 1 && v->choice <= 3 ? verdicts[v->choice - 1] : "");
    form_set_text(put, "order", v->order);
    form_set_number(put, "coats", v->form[FORM_CARD_COATS]);
    form_set_number(put, "mids", v->form[FORM_CARD_MIDS]);
    form_set_text(put, "note", v->form[FORM_CARD_NOTE]);
    if (json_array_size(batches)) {
        json_object_set(put, "batch", json_array_get(batches, json_array_size(batches) - 1));
        return put;
    }
    for (const char *const *name = (const char *const[]){"formula", "variant", "coat", NULL}; *name; name++)
        form_set_text(put, *name, member_text(coat, *name));
    return put;
}

/* A number where one is written, else the text: the daemon says what is wrong with it. */
static json_t *setting_params(const struct model *m)
{
    const struct view *v = &m->view;
    const json_t *s = json_array_get(json_object_get(m->lists.answer[LIST_SETTINGS], "settings"), v->line);
    double number;
    if (v->page == PAGE_SETTINGS)
        return json_pack("{s:s, s:O*}", "key", member_text(s, "key"), "value",
                         json_object_get(entry_next_offer(s), "value"));
    if (form_number(v->text, &number))
        return json_pack("{s:s, s:f}", "key", v->key, "value", number);
    return json_pack("{s:s, s:s}", "key", v->key, "value", v->text);
}

/* Of one person: signed in, or put again as one who has left. */
static json_t *person_params(const struct model *m, bool left)
{
    const json_t *p = entry_person(m, m->view.line - (m->bench.signed_in[0] ? 1 : 0));
    if (!p)
        return NULL;
    if (!left)
        return json_pack("{s:s, s:s}", "station", m->station, "painter", member_text(p, "painter"));
    json_t *put = json_pack("{s:s, s:b}", "painter", member_text(p, "painter"), "retired", 1);
    json_object_set(put, "glance", json_object_get(p, "glance"));
    form_set_text(put, "trained", member_text(p, "trained"));
    return put;
}

/* The coat that the open line, or the open line of an idle bench, stands for. */
static json_t *coat_params(const struct model *m)
{
    const struct view *v = &m->view;
    bool idle = v->page == PAGE_BENCH;
    const json_t *order = idle && v->line ? lists_waiting(&m->lists, v->line - 1) : m->lists.answer[LIST_ORDER];
    const json_t *coat = idle ? lists_next_coat(order) : entry_coat(m);
    if (!coat)
        return NULL;
    return json_pack("{s:s, s:s, s:i}", "station", m->station, "order", member_text(order, "order"), "coat_n",
                     (int)member_number(coat, "n"));
}

/* The whole order, as the page changes it. */
static json_t *order_of(const struct model *m, uint32_t value)
{
    if (value == CALL_ORDER_PUT)
        return order_params(m);
    if (value == CALL_ORDER_HEAD)
        return order_head_params(m);
    if (value == CALL_COAT_PUT)
        return order_coat_params(m);
    if (value == CALL_COAT_OFF)
        return order_without_coat(m);
    json_t *put = order_again(m->lists.answer[LIST_ORDER]);
    json_object_set_new(put, "closed", json_boolean(!json_is_true(json_object_get(put, "closed"))));
    return put;
}

/* Without a day the line's own shelf life counts. */
static json_t *place_params(const struct model *m)
{
    char day[FORM_DAY];
    json_t *put = json_pack("{s:s}", "batch", m->view.batch);
    form_set_text(put, "place", m->view.form[FORM_PLACE]);
    form_day(m->view.form[FORM_USE_BY], day);
    form_set_text(put, "use_by", day);
    return put;
}

/* The cup on the scale, and the job that a touch-up was poured for. */
static json_t *weigh_params(const struct model *m)
{
    json_t *put = json_pack("{s:s, s:f}", "batch", m->view.batch, "gross_g", m->weight.g);
    form_set_text(put, "order", m->view.text);
    return put;
}

/* A tint, under the name that is written where one is. */
static json_t *variant_params(const struct model *m)
{
    json_t *put = json_pack("{s:s}", "batch", m->view.batch);
    if (m->view.page == PAGE_WRITE)
        form_set_text(put, "variant", m->view.text);
    return put;
}

/* What each asks the daemon. */
static const struct {
    uint32_t value;
    const char *method;
} methods[] = {{CALL_COAT, "batch.begin"},       {CALL_ORDER_PUT, "order.put"},    {CALL_CLOSE, "order.put"},
               {CALL_CARD, "card.put"},          {CALL_SIGN_IN, "people.sign_in"}, {CALL_SIGN_OUT, "people.sign_out"},
               {CALL_PERSON, "people.put"},      {CALL_RETIRE, "people.put"},      {CALL_SETTING, "settings.put"},
               {CALL_WEIGH, "batch.weigh_back"}, {CALL_PLACE, "batch.shelve"},     {CALL_DISCARD, "batch.discard"},
               {CALL_ORDER_HEAD, "order.put"},   {CALL_COAT_PUT, "order.put"},     {CALL_COAT_OFF, "order.put"},
               {CALL_KEEP, "formula.keep"},      {CALL_PREMIX, "batch.begin"},     {CALL_RECEIPT, "stock.receive"},
               {CALL_COUNT, "stock.count"},      {CALL_USE_UP, "batch.begin"},     {CALL_STIR, "stock.stir"}};

/* The method is told even where the params cannot be made: the caller then does nothing. */
json_t *entry_params(const struct model *m, uint32_t value, const char **method)
{
    const struct view *v = &m->view;
    double grams = 0;
    *method = NULL;
    if (value >= CALL_LEARN)
        return learn_params(m, value, method);
    for (size_t i = 0; i < sizeof methods / sizeof *methods; i++)
        if (methods[i].value == value)
            *method = methods[i].method;
    switch (value) {
    case CALL_COAT:
        return coat_params(m);
    case CALL_ORDER_PUT:
    case CALL_ORDER_HEAD:
    case CALL_COAT_PUT:
    case CALL_COAT_OFF:
    case CALL_CLOSE:
        return order_of(m, value);
    case CALL_CARD:
        return card_params(m);
    case CALL_SIGN_IN:
    case CALL_RETIRE:
        return person_params(m, value == CALL_RETIRE);
    case CALL_SIGN_OUT:
        return json_pack("{s:s}", "station", m->station);
    case CALL_PERSON:
        return json_pack("{s:s}", "painter", v->text);
    case CALL_SETTING:
        return setting_params(m);
    case CALL_WEIGH:
        return weigh_params(m);
    case CALL_PLACE:
        return place_params(m);
    case CALL_DISCARD:
        return json_pack("{s:s}", "batch", v->batch);
    case CALL_KEEP:
        return variant_params(m);
    case CALL_PREMIX:
        return premix_params(m);
    case CALL_STIR:
        return json_pack("{s:b}", "all", 1);
    case CALL_USE_UP:
        return workoff_begins(m);
    case CALL_RECEIPT:
    case CALL_COUNT:
        form_number(v->text, &grams);
        return json_pack("{s:s, s:f}", "toner", v->key, "grams", grams);
    default:
        return NULL;
    }
}

/* ---- answers ---- */

/* What is told of an answer; "": nothing but the page itself. */
static void told(const struct model *m, const char *method, const json_t *result, char *buf, size_t size)
{
    buf[0] = '\0';
    if (strcmp(method, "batch.weigh_back") == 0)
        model_text(m,
                   say("page.weighed_back left_g=%f used_g=%f", member_number(result, "left_g"),
                       member_number(result, "used_g")),
                   buf, size);
    if (strcmp(method, "batch.shelve") == 0)
        model_text(m, say("page.stands place=%s", member_text(json_object_get(result, "shelf"), "place")), buf, size);
    if (strcmp(method, "batch.discard") == 0)
        model_sentence(m, shown_object(result, "said"), buf, size);
    if (strcmp(method, "formula.keep") == 0)
        model_text(m, say("page.variant_kept variant=%s", member_text(result, "variant")), buf, size);
    if (strcmp(method, "stock.stir") == 0)
        utf8_copy(buf, size, model_word(m, "page.stirred"));
    if (strcmp(method, "card.put") == 0)
        model_text(m, say("page.card_kept card=%s", member_text(result, "card")), buf, size);
}

/* An answer leads to where its effect is seen: a put order opens, a discarded cup is gone from the shelf. */
bool entry_answer(struct model *m, const char *method, const json_t *result, struct moment now)
{
    static const struct {
        const char *method;
        enum page page;
    } leads[] = {{"order.put", PAGE_ORDER},       {"card.put", PAGE_CARDS},       {"people.put", PAGE_PEOPLE},
                 {"settings.put", PAGE_SETTINGS}, {"batch.weigh_back", PAGE_CUP}, {"batch.shelve", PAGE_CUP},
                 {"batch.discard", PAGE_SHELF},   {"formula.keep", PAGE_RECORD},  {"stock.receive", PAGE_ROUND},
                 {"stock.count", PAGE_ROUND},     {"stock.stir", PAGE_ROUND}};
    char text[FOOT_ROOM];
    for (size_t i = 0; i < sizeof leads / sizeof *leads; i++) {
        if (strcmp(method, leads[i].method) != 0)
            continue;
        size_t line = m->view.page == leads[i].page ? m->view.line : 0;
        if (strcmp(method, "order.put") == 0)
            utf8_copy(m->view.order, sizeof m->view.order, member_text(result, "order"));
        model_open_page(m, leads[i].page, now);
        m->view.line = line; /* what was changed stays the open line */
        told(m, method, result, text, sizeof text);
        if (text[0])
            model_say(m, false, text);
        return true;
    }
    return false;
}
