/* order_put.c - the params of order.put: a new order, coats added to one, and what was changed of one. A put replaces
 * the whole, so each begins with the order as it stands. It must not know which page was written on it for. */
#include "client/screen/order_put.h"
#include "client/screen/entry.h"

#include <string.h>

/* Members that are there, of those that a put takes. */
static void copy(json_t *to, const json_t *from, const char *const names[])
{
    for (; *names; names++)
        if (!json_is_null(json_object_get(from, *names)))
            json_object_set(to, *names, json_object_get(from, *names));
}

json_t *order_again(const json_t *order)
{
    static const char *const of_order[] = {"order", "vehicle", "painter", "due", "card", "closed", NULL};
    static const char *const of_coat[] = {"coat", "formula", "variant",      "product", "panels",       "grams",
                                          "mids", "film_um", "transfer_pct", "loss_ml", "control_coat", NULL};
    json_t *put = json_object(), *coats = json_array(), *coat;
    size_t i;
    copy(put, order, of_order);
    json_array_foreach(json_object_get(order, "coats"), i, coat)
    {
        json_t *one = json_object();
        copy(one, coat, of_coat);
        json_array_append_new(coats, one);
    }
    json_object_set_new(put, "coats", coats);
    return put;
}

/* What is written, or nothing: an empty line takes away what stood there. */
static void replace(json_t *put, const char *name, const char *text)
{
    json_object_del(put, name);
    form_set_text(put, name, text);
}

json_t *order_head_params(const struct model *m)
{
    const struct view *v = &m->view;
    char day[FORM_DAY];
    json_t *put = order_again(m->lists.answer[LIST_ORDER]);
    replace(put, "painter", v->form[FORM_PAINTER]);
    replace(put, "vehicle", v->form[FORM_VEHICLE]);
    form_day(v->form[FORM_DUE], day);
    replace(put, "due", day);
    replace(put, "card", v->form[FORM_FOLLOWS]);
    return put;
}

json_t *order_coat_params(const struct model *m)
{
    static const char *const asked[] = {"grams", "mids", "film_um", "transfer_pct", "loss_ml", "control_coat"};
    const struct view *v = &m->view;
    json_t *put = order_again(m->lists.answer[LIST_ORDER]);
    json_t *coat = json_array_get(json_object_get(put, "coats"), v->coat - 1);
    double grams = 0;
    if (!v->coat || !coat) {
        json_decref(put);
        return NULL;
    }
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++)
        json_object_del(coat, asked[i]);
    form_set_estimate(m, coat);
    if (v->parts_changed) /* else they stay as they are, those too that the shop's list does not have */
        form_set_panels(m, coat);
    if (form_above_0(v->form[FORM_GRAMS], &grams)) {
        json_object_set_new(coat, "grams", json_real(grams));
        json_object_del(coat, "panels"); /* in place of panels */
    }
    return put;
}

json_t *order_without_coat(const struct model *m)
{
    const struct view *v = &m->view;
    json_t *put = order_again(m->lists.answer[LIST_ORDER]);
    if (v->coat)
        json_array_remove(json_object_get(put, "coats"), v->coat - 1);
    return put;
}

/* Coats in the order that they are sprayed. */
static const char *const sprayed[] = {"sealer", "primer", "ground", "base", "mid", "single", "clear"};

json_t *order_params(const struct model *m)
{
    const struct view *v = &m->view;
    json_t *put = v->order[0] ? order_again(m->lists.answer[LIST_ORDER]) : json_pack("{s:[]}", "coats");
    json_t *coats = json_object_get(put, "coats");
    double grams = 0;
    bool weighs = form_above_0(v->form[FORM_GRAMS], &grams);
    if (!v->order[0]) {
        form_set_text(put, "order", v->form[FORM_ORDER]);
        form_set_text(put, "painter", v->form[FORM_PAINTER]);
        form_set_text(put, "vehicle", v->form[FORM_VEHICLE]);
    }
    for (size_t rank = 0; rank < sizeof sprayed / sizeof *sprayed; rank++)
        for (size_t i = 0; i < form_choices(m, FORM_COATS); i++) {
            json_t *coat = form_is_taken(m, i) ? form_order_coat(m, i) : NULL;
            if (!coat || strcmp(member_text(coat, "coat"), sprayed[rank]) != 0) {
                json_decref(coat);
                continue;
            }
            if (weighs)
                json_object_set_new(coat, "grams", json_real(grams));
            else
                form_set_panels(m, coat);
            json_array_append_new(coats, coat);
        }
    return put;
}
