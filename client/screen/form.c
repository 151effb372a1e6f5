/* form.c - the lines of the pages that are forms, and what they say to the daemon. It must not know how a line looks,
 * nor work out an amount. */
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

/* The product whose hardeners and reducers can be chosen. A batch mixed again keeps its own. */
static const json_t *product_of(const struct model *m)
{
    return m->view.as ? NULL : lists_product_of(&m->lists, wanted(m), lists_coat(wanted(m), m->view.chosen[FORM_COAT]));
}

/* The product's list behind a line: {id, speed} or {id, min_c, max_c} each. */
static const json_t *offered(const struct model *m, size_t line)
{
    return json_object_get(product_of(m), line == FORM_HARDENER ? "hardeners" : "reducers");
}

/* ---- the coats of an order ---- */

/* The colour that is written: the first that matches. NULL: nothing is written, or nothing found. */
static const json_t *colour_of(const struct model *m)
{
    const json_t *one = m->view.form[FORM_COLOUR][0] ? lists_match(&m->lists, "", 0) : NULL;
    return lists_is_product(one) || lists_is_batch(one) ? NULL : one;
}

/* The n-th product that is a coat by itself: one that takes its ratio to any colour is none. */
static const json_t *coat_product(const struct model *m, size_t n)
{
    static const char *const roles[] = {"clear", "primer", "sealer"};
    const json_t *products = json_object_get(m->lists.answer[LIST_PRODUCTS], "products");
    for (size_t role = 0; role < sizeof roles / sizeof *roles; role++)
        for (size_t i = 0; i < json_array_size(products); i++) {
            const json_t *one = json_array_get(products, i);
            const char *first = json_string_value(json_array_get(json_object_get(one, "parts"), 0));
            if (strcmp(member_text(one, "role"), roles[role]) == 0 && first && strcmp(first, "colour") != 0 && n-- == 0)
                return one;
        }
    return NULL;
}

enum { COATS_SHOWN = 9 }; /* as many as there are digits */

static size_t order_coats(const struct model *m)
{
    size_t n = lists_coats(colour_of(m));
    while (n < COATS_SHOWN && coat_product(m, n - lists_coats(colour_of(m))))
        n++;
    return n;
}

/* Only what differs from the first state is kept: another colour then begins with all of its coats again. */
bool form_is_taken(const struct model *m, size_t i)
{
    return (i < lists_coats(colour_of(m))) != ((m->view.taken >> i & 1) != 0);
}

/* A colour's first variant: which one fits is seen on its cards, and chosen when it is mixed. */
json_t *form_order_coat(const struct model *m, size_t i)
{
    const json_t *colour = colour_of(m);
    size_t own = lists_coats(colour);
    if (i < own)
        return json_pack("{s:s, s:s, s:s}", "coat", lists_coat(colour, i), "formula", lists_id(colour), "variant",
                         lists_variant(colour, i, 0));
    const json_t *product = coat_product(m, i - own);
    return product ? json_pack("{s:s, s:s}", "coat", member_text(product, "role"), "product", lists_id(product)) : NULL;
}

/* ---- what can be chosen ---- */

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

/* A batch mixed again has its choices made: it is to be what it was. */
size_t form_choices(const struct model *m, size_t line)
{
    if (line == FORM_COATS)
        return order_coats(m);
    if (line == FORM_CONTROL)
        return 2;
    if (m->view.as)
        return 0;
    if (line == FORM_COAT)
        return lists_coats(wanted(m));
    if (line == FORM_VARIANT)
        return lists_variants(wanted(m), m->view.chosen[FORM_COAT]);
    return line == FORM_HARDENER || line == FORM_REDUCER ? json_array_size(offered(m, line)) : 0;
}

/* A hardener with its speed, a reducer with the temperatures it is for. */
const char *form_choice(const struct model *m, size_t line, size_t i, char *buf, size_t size)
{
    size_t coat = m->view.chosen[FORM_COAT];
    if (line == FORM_COATS) {
        json_t *one = form_order_coat(m, i);
        const char *product = member_text(one, "product");
        snprintf(buf, size, "%.60s%s%.60s", model_name(m, "coat", member_text(one, "coat")), product[0] ? " " : "",
                 product);
        json_decref(one);
    } else if (line == FORM_CONTROL) {
        utf8_copy(buf, size, model_word(m, i ? "choice.yes" : "choice.no"));
    } else if (line == FORM_COAT) {
        utf8_copy(buf, size, model_name(m, "coat", lists_coat(wanted(m), i)));
    } else if (line == FORM_VARIANT) {
        utf8_copy(buf, size, lists_variant(wanted(m), coat, i));
    } else {
        const json_t *one = json_array_get(offered(m, line), i);
        double from = member_number(one, "min_c"), to = member_number(one, "max_c");
        const char *speed = member_text(one, "speed");
        if (isfinite(from) && isfinite(to))
            snprintf(buf, size, "%.60s %.0f-%.0f %s", member_text(one, "id"), from, to, m->utf8 ? "°C" : "C");
        else
            snprintf(buf, size, "%.60s%s%.60s", member_text(one, "id"), *speed ? " " : "",
                     model_name(m, "page.speed", speed));
    }
    return buf;
}

/* Another coat has other variants and another product, so what was chosen of them is gone. */
void form_choose(struct model *m, size_t digit)
{
    struct view *v = &m->view;
    if (digit < 1 || digit > form_choices(m, v->line))
        return;
    if (v->line == FORM_COATS)
        v->taken ^= 1U << (digit - 1);
    else
        v->chosen[v->line] = digit - 1;
    if (v->line == FORM_COAT) {
        v->chosen[FORM_VARIANT] = 0;
        form_begin(m);
    }
}

/* The place in the product's parts of one that is on a list; the number of parts where none is. */
static size_t part_of(const json_t *parts, const json_t *list)
{
    size_t at = 0;
    for (; at < json_array_size(parts); at++)
        for (size_t i = 0; i < json_array_size(list); i++)
            if (strcmp(member_text(json_array_get(list, i), "id"), json_string_value(json_array_get(parts, at))) == 0)
                return at;
    return at;
}

/* What the product names among its parts is chosen first: it is what a begin without a word takes. */
void form_begin(struct model *m)
{
    const json_t *parts = json_object_get(product_of(m), "parts");
    for (size_t line = FORM_HARDENER; line <= FORM_REDUCER; line++) {
        const json_t *list = offered(m, line);
        const char *own = json_string_value(json_array_get(parts, part_of(parts, list)));
        m->view.chosen[line] = 0;
        for (size_t i = 0; own && i < json_array_size(list); i++)
            if (strcmp(member_text(json_array_get(list, i), "id"), own) == 0)
                m->view.chosen[line] = i;
    }
}

/* Either sign is a decimal sign, whatever the shop's setting: a number pad has only one of them. Read by hand, since
 * strtod follows the locale. Twelve digits are more than any scale and less than a double loses. */
bool form_number(const char *text, double *value)
{
    double number = 0, place = 0;
    size_t digits = 0;
    for (; *text; text++) {
        if (*text >= '0' && *text <= '9') {
            number = place > 0 ? number + (*text - '0') * place : number * 10 + (*text - '0');
            place /= 10;
            if (++digits > 12)
                return false;
        } else if ((*text == '.' || *text == ',') && place == 0) {
            place = 0.1;
        } else {
            return false;
        }
    }
    *value = number;
    return digits > 0 && number <= 1e6;
}

/* 0 g of anything is a slip of the hand, never an amount. */
bool form_above_0(const char *text, double *value)
{
    return form_number(text, value) && *value > 0;
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

/* Half of it would be planned as if the cup were empty. */
bool form_have_half(const struct model *m)
{
    double value;
    const char *cup = m->view.form[FORM_HAVE], *grams = m->view.form[FORM_HAVE_G];
    return (cup[0] || grams[0]) && !(cup[0] && form_above_0(grams, &value));
}

/* A batch mixed again has an amount already. */
bool form_whole(const struct model *m)
{
    enum form_amount amount = form_amount(m);
    return (amount >= AMOUNT_GRAMS || (amount == AMOUNT_NONE && m->view.as)) && !form_have_half(m);
}

bool form_day(const char *text, char day[FORM_DAY])
{
    int d, month, year, end = 0;
    bool iso = sscanf(text, "%4d-%2d-%2d%n", &year, &month, &d, &end) == 3 && !text[end];
    bool german = !iso && sscanf(text, "%2d.%2d.%4d%n", &d, &month, &year, &end) == 3 && !text[end];
    if (iso || german)
        snprintf(day, FORM_DAY, "%04d-%02d-%02d", year % 10000, month % 100, d % 100);
    else
        utf8_copy(day, FORM_DAY, text);
    return iso || german;
}

void form_set_text(json_t *params, const char *key, const char *text)
{
    if (text[0])
        json_object_set_new(params, key, json_string(text));
}

/* What is no number is left out here, and refused in words by the foot line. */
void form_set_number(json_t *params, const char *key, const char *text)
{
    double value;
    if (form_number(text, &value))
        json_object_set_new(params, key, json_real(value));
}

/* The product and its parts where another hardener or reducer was chosen than the product's own; a colour that keeps
 * them is begun by its formula alone. */
static void set_parts(const struct model *m, json_t *params)
{
    const json_t *product = product_of(m), *own = json_object_get(product, "parts");
    json_t *parts = json_deep_copy(own);
    for (size_t line = FORM_HARDENER; line <= FORM_REDUCER; line++) {
        const json_t *list = offered(m, line);
        size_t at = part_of(own, list);
        if (at < json_array_size(own))
            json_array_set_new(parts, at, json_string(member_text(json_array_get(list, m->view.chosen[line]), "id")));
    }
    if (product && !json_equal(own, parts)) {
        form_set_text(params, "product", lists_id(product));
        json_object_set(params, "parts", parts);
    }
    json_decref(parts);
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
    set_parts(m, params);
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
    double have_g = 0;
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
    if (v->form[FORM_HAVE][0] && form_above_0(v->form[FORM_HAVE_G], &have_g)) {
        const char *number = lists_number(v->form[FORM_HAVE]);
        json_object_set_new(params, "have",
                            json_pack("[{s:s, s:f}]", "batch", number ? number : v->form[FORM_HAVE], "grams", have_g));
    }
    form_set_text(params, "order", v->form[FORM_ORDER]);
    form_set_text(params, "painter", v->form[FORM_PAINTER]);
}
