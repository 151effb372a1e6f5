/* form_fill.c - what stands on a form when it is opened: an order's head, a coat, a cup's place, a panel. It must not
 * know what a line says to the daemon: form.c does. */
#include "client/screen/form.h"

#include "client/screen/entry.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A number as a person would type it, by the shop's decimal sign; "" where there is none. */
static void set_number(struct model *m, enum form_line line, double value)
{
    char *field = m->view.form[line];
    field[0] = '\0';
    if (!(value > 0))
        return;
    snprintf(field, WRITE_ROOM, "%.10g", value);
    char *point = strchr(field, '.');
    if (point)
        *point = m->style.point;
}

/* A member of an object, as text; a time is cut to its day. */
static void set_text(struct model *m, enum form_line line, const json_t *object, const char *name, bool day)
{
    utf8_copy(m->view.form[line], day ? sizeof "2026-11-25" : WRITE_ROOM / 2, member_text(object, name));
}

/* Its outside and its edges may stand in the order as two panels of one name. */
static void add_part(struct part *part, const json_t *panel)
{
    double coats = member_number(panel, "coats"), area = member_number(panel, "area_m2");
    double share = member_number(panel, "share_pct");
    unsigned char n = coats >= 1 && coats <= 12 ? (unsigned char)coats : 2;
    if (area > 0)
        part->area_m2 = area;
    if (json_is_true(json_object_get(panel, "edges"))) {
        part->edge_coats = n;
        part->edge_pct = share > 0 ? share : 100;
    } else {
        part->coats = n;
        part->share_pct = share > 0 && share < 100 ? share : 0;
    }
}

/* A panel that the shop's list does not have is no line; form_set_panels is then not asked unless one is changed. */
static void fill_parts(struct model *m, const json_t *coat)
{
    const json_t *all = json_object_get(m->lists.answer[LIST_PANELS], "panels"), *panel;
    const json_t *panels = json_object_get(coat, "panels");
    size_t i;
    memset(m->view.parts, 0, sizeof m->view.parts);
    json_array_foreach(panels, i, panel)
    {
        for (size_t k = 0; k < PANELS_ROOM && k < json_array_size(all); k++)
            if (strcmp(member_text(json_array_get(all, k), "id"), member_text(panel, "name")) == 0)
                add_part(&m->view.parts[k], panel);
    }
}

static void fill_coat(struct model *m)
{
    const json_t *coat = entry_coat(m);
    set_number(m, FORM_GRAMS, member_number(coat, "grams"));
    set_number(m, FORM_MIDS, member_number(coat, "mids"));
    set_number(m, FORM_FILM, member_number(coat, "film_um"));
    set_number(m, FORM_TRANSFER, member_number(coat, "transfer_pct"));
    set_number(m, FORM_LOSS, member_number(coat, "loss_ml"));
    m->view.form[FORM_ML][0] = '\0';
    m->view.chosen[FORM_CONTROL] = json_is_true(json_object_get(coat, "control_coat"));
    fill_parts(m, coat);
}

void form_fill(struct model *m)
{
    struct view *v = &m->view;
    const json_t *order = m->lists.answer[LIST_ORDER], *batch = m->lists.answer[LIST_BATCH];
    const json_t *shelf = json_object_get(batch, "shelf");
    switch (v->page) {
    case PAGE_ORDER_HEAD:
        set_text(m, FORM_PAINTER, order, "painter", false);
        set_text(m, FORM_VEHICLE, order, "vehicle", false);
        set_text(m, FORM_DUE, order, "due", true);
        set_text(m, FORM_FOLLOWS, order, "card", false);
        break;
    case PAGE_COAT_FORM:
        fill_coat(m);
        break;
    case PAGE_CARD:
        for (size_t line = FORM_SEEN; line <= FORM_CARD_NOTE; line++)
            v->form[line][0] = '\0';
        break;
    case PAGE_PLACE: /* activated paint keeps its pot life: no day of ours stands against it */
        set_text(m, FORM_PLACE, shelf, "place", false);
        set_text(m, FORM_USE_BY, shelf, "use_by", true);
        if (lists_activated(batch))
            v->form[FORM_USE_BY][0] = '\0';
        break;
    default:
        break;
    }
}

void form_open_part(struct model *m)
{
    const struct part *part = &m->view.parts[m->view.part];
    set_number(m, FORM_PANEL_COATS, part->coats);
    set_number(m, FORM_PANEL_AREA, part->area_m2);
    set_number(m, FORM_PANEL_SHARE, part->share_pct);
    set_number(m, FORM_PANEL_EDGES, part->edge_pct);
}

/* What is no number counts as nothing written. Edges get as many coats as the outside, alone two. */
void form_keep_part(struct model *m)
{
    struct part *part = &m->view.parts[m->view.part];
    double value[4] = {0, 0, 0, 0};
    for (size_t i = 0; i < 4; i++)
        if (!form_number(m->view.form[FORM_PANEL_COATS + i], &value[i]))
            value[i] = 0;
    part->coats = value[0] >= 1 && value[0] <= 12 ? (unsigned char)value[0] : 0;
    part->area_m2 = value[1];
    part->share_pct = value[2];
    part->edge_pct = value[3];
    part->edge_coats = !(value[3] > 0) ? 0 : part->coats ? part->coats : 2;
    m->view.parts_changed = true;
}
