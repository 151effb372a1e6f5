/* form.c - the lines of the pages that are forms, and what they say to the daemon; what is chosen by digits is in
 * form_choice.c. It must not know how a line looks, nor work out an amount. */
#include "client/screen/form.h"

#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What is to be mixed, kept as it stood when it was chosen. */
static const json_t *wanted(const struct model *m)
{
    return m->lists.answer[LIST_WANTED];
}

const json_t *form_cup(const struct model *m)
{
    const json_t *cups = json_object_get(m->lists.answer[LIST_SHELF], "cups"), *w = wanted(m);
    size_t coat = m->view.chosen[FORM_COAT];
    bool batch = lists_is_batch(w);
    const char *formula = batch ? member_text(w, "formula") : lists_id(w);
    const char *of = batch ? member_text(w, "coat") : lists_coat(w, coat);
    const char *variant = batch ? member_text(w, "variant") : lists_variant(w, coat, m->view.chosen[FORM_VARIANT]);
    for (size_t i = 0; w && i < json_array_size(cups); i++) {
        const json_t *cup = json_array_get(cups, i);
        if (!member_text(cup, "why")[0] && strcmp(member_text(cup, "formula"), formula) == 0 &&
            strcmp(member_text(cup, "coat"), of) == 0 && strcmp(member_text(cup, "variant"), variant) == 0)
            return cup;
    }
    return NULL;
}

/* Exactly one of three is an amount; two of them are a slip that nobody resolves in silence. */
enum form_amount form_amount(const struct model *m)
{
    const struct view *v = &m->view;
    const char *grams = v->form[FORM_GRAMS], *ml = v->form[FORM_ML];
    bool panels = false;
    double value;
    for (size_t i = 0; i < PANELS_ROOM; i++)
        panels |= form_is_painted(&v->parts[i]);
    if ((grams[0] != 0) + (ml[0] != 0) + panels > 1)
        return AMOUNT_TWO;
    if (panels || (!grams[0] && !ml[0]))
        return panels ? AMOUNT_PANELS : AMOUNT_NONE;
    if (!form_above_0(grams[0] ? grams : ml, &value))
        return AMOUNT_WRONG;
    return grams[0] ? AMOUNT_GRAMS : AMOUNT_ML;
}

/* A batch mixed again has an amount already. */
bool form_whole(const struct model *m)
{
    enum form_amount amount = form_amount(m);
    return (amount >= AMOUNT_GRAMS || (amount == AMOUNT_NONE && m->view.as)) && !form_have_half(m);
}

/* What is to be begun: a formula's coat, a product, or a batch again. */
static void set_wanted(const struct model *m, json_t *params)
{
    const json_t *w = wanted(m);
    size_t coat = m->view.chosen[FORM_COAT];
    if (m->view.as) {
        form_set_text(params, "repeat", lists_id(w));
        form_set_text(params, "as", m->view.as);
    } else if (lists_is_product(w)) {
        form_set_text(params, "product", lists_id(w));
    } else {
        form_set_text(params, "formula", lists_id(w));
        form_set_text(params, "coat", lists_coat(w, coat));
        form_set_text(params, "variant", lists_variant(w, coat, m->view.chosen[FORM_VARIANT]));
    }
    form_set_choices(m, params);
}

bool form_is_painted(const struct part *part)
{
    return part->coats > 0 || (part->edge_coats > 0 && part->edge_pct > 0);
}

/* One panel of a form as the daemon takes it; what was not written has its default there. */
static void add_part(json_t *panels, const char *name, unsigned coats, double area_m2, double share_pct, bool edges)
{
    json_t *panel = json_pack("{s:s, s:i}", "name", name, "coats", (int)coats);
    if (area_m2 > 0)
        json_object_set_new(panel, "area_m2", json_real(area_m2));
    if (share_pct > 0)
        json_object_set_new(panel, "share_pct", json_real(share_pct));
    if (edges)
        json_object_set_new(panel, "edges", json_true());
    json_array_append_new(panels, panel);
}

void form_set_panels(const struct model *m, json_t *params)
{
    const json_t *all = json_object_get(m->lists.answer[LIST_PANELS], "panels");
    json_t *panels = json_array();
    for (size_t i = 0; i < PANELS_ROOM && i < json_array_size(all); i++) {
        const struct part *part = &m->view.parts[i];
        const char *name = member_text(json_array_get(all, i), "id");
        if (part->edge_coats && part->edge_pct > 0)
            add_part(panels, name, part->edge_coats, part->area_m2, part->edge_pct, true);
        if (part->coats)
            add_part(panels, name, part->coats, part->area_m2, part->share_pct, false);
    }
    json_object_set_new(params, "panels", panels);
}

void form_set_estimate(const struct model *m, json_t *params)
{
    static const struct {
        enum form_line line;
        const char *member;
    } members[] = {
        {FORM_MIDS, "mids"}, {FORM_FILM, "film_um"}, {FORM_TRANSFER, "transfer_pct"}, {FORM_LOSS, "loss_ml"}};
    for (size_t i = 0; i < sizeof members / sizeof *members; i++)
        form_set_number(params, members[i].member, m->view.form[members[i].line]);
    if (m->view.chosen[FORM_CONTROL])
        json_object_set_new(params, "control_coat", json_true());
}

void form_params(const struct model *m, json_t *params)
{
    const struct view *v = &m->view;
    if (v->page == PAGE_RETARE) {
        form_set_number(params, "uncounted_g", v->form[FORM_UNCOUNTED]);
        form_set_number(params, "lost_g", v->form[FORM_LOST]);
        return;
    }
    set_wanted(m, params);
    form_set_number(params, "grams", v->form[FORM_GRAMS]);
    form_set_number(params, "ml", v->form[FORM_ML]);
    if (form_amount(m) == AMOUNT_PANELS) {
        form_set_panels(m, params);
        form_set_estimate(m, params);
    }
    json_t *have = form_have(m);
    if (have)
        json_object_set_new(params, "have", have);
    form_set_text(params, "order", v->form[FORM_ORDER]);
    form_set_text(params, "painter", v->form[FORM_PAINTER]);
}
