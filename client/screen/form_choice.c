/* form_choice.c - what is chosen by a digit on the lines of a form, and what that says to the daemon. It must not know
 * how a line looks, nor what goes with what: the daemon judges that.
 *
 * Where the first choice is `as usual` nothing is said, and the daemon takes its own. */
#include "client/screen/form.h"

#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What is to be mixed, and the coat of it that is chosen. */
static const json_t *wanted(const struct model *m)
{
    return m->lists.answer[LIST_WANTED];
}

static const char *coat_of(const struct model *m)
{
    return lists_coat(wanted(m), m->view.chosen[FORM_COAT]);
}

/* The n-th product that a colour's coat may be mixed with; NULL beyond the last. */
static const json_t *mixed_with(const struct model *m, size_t n)
{
    const json_t *products = json_object_get(m->lists.answer[LIST_PRODUCTS], "products");
    for (size_t i = 0; !lists_is_product(wanted(m)) && i < json_array_size(products); i++) {
        const json_t *one = json_array_get(products, i);
        const char *first = json_string_value(json_array_get(json_object_get(one, "parts"), 0));
        bool fits = first && (strcmp(first, "colour") == 0 || strcmp(first, lists_id(wanted(m))) == 0);
        if (fits && strcmp(member_text(one, "role"), coat_of(m)) == 0 && n-- == 0)
            return one;
    }
    return NULL;
}

/* The product whose hardeners and reducers can be chosen: the one that is wanted or chosen, else the coat's usual one.
 * A batch mixed again keeps its own. */
static const json_t *product_of(const struct model *m)
{
    size_t chosen = m->view.chosen[FORM_PRODUCT];
    if (m->view.as)
        return NULL;
    return chosen && mixed_with(m, chosen - 1) ? mixed_with(m, chosen - 1)
                                               : lists_product_of(&m->lists, wanted(m), coat_of(m));
}

/* The product's list behind a line: {id, speed} or {id, min_c, max_c} each. */
static const json_t *offered(const struct model *m, size_t line)
{
    return json_object_get(product_of(m), line == FORM_HARDENER ? "hardeners" : "reducers");
}

/* The n-th reducer of a colour's own line, where no product has reducers of its own; NULL beyond the last. */
static const json_t *line_reducer(const struct model *m, size_t n)
{
    const json_t *toners = json_object_get(m->lists.answer[LIST_TONERS], "toners");
    const char *line = member_text(wanted(m), "line");
    for (size_t i = 0; line[0] && !product_of(m) && i < json_array_size(toners); i++) {
        const json_t *one = json_array_get(toners, i);
        if (strcmp(member_text(one, "role"), "reducer") == 0 && strcmp(member_text(one, "line"), line) == 0 && n-- == 0)
            return one;
    }
    return NULL;
}

static const json_t *cup_kind(const struct model *m, size_t n)
{
    return json_array_get(json_object_get(m->lists.answer[LIST_CUPS], "cups"), n);
}

/* The n-th behind `as usual`; NULL: no such choice. */
typedef const json_t *choice_at(const struct model *m, size_t n);

/* A choice between one and the usual one is none. */
static size_t with_usual(const struct model *m, choice_at *at, size_t least)
{
    size_t n = 0;
    while (at(m, n))
        n++;
    return n >= least ? n + 1 : 0;
}

/* As the protocol calls them. */
enum { POUR_ORDERS = 3 };
static const char *const pour_orders[POUR_ORDERS] = {"usual", "formula", "bed"};

/* A batch mixed again has its choices made: it is to be what it was. */
size_t form_choices(const struct model *m, size_t line)
{
    if (line == FORM_COATS)
        return form_order_coats(m);
    if (line == FORM_CONTROL)
        return 2;
    if (m->view.as)
        return 0;
    switch (line) {
    case FORM_COAT:
        return lists_coats(wanted(m));
    case FORM_VARIANT:
        return lists_variants(wanted(m), m->view.chosen[FORM_COAT]);
    case FORM_PRODUCT:
        return with_usual(m, mixed_with, 2);
    case FORM_HARDENER:
        return json_array_size(offered(m, line));
    case FORM_REDUCER:
        return product_of(m) ? json_array_size(offered(m, line)) : with_usual(m, line_reducer, 2);
    case FORM_CUP:
        return with_usual(m, cup_kind, 1);
    case FORM_POUR_ORDER:
        return lists_is_product(wanted(m)) ? 0 : POUR_ORDERS;
    default:
        return 0;
    }
}

/* A hardener with its speed, a reducer with the temperatures it is for. */
static void offer_text(const struct model *m, const json_t *one, char *buf, size_t size)
{
    double from = member_number(one, "min_c"), to = member_number(one, "max_c");
    const char *speed = member_text(one, "speed");
    if (isfinite(from) && isfinite(to))
        snprintf(buf, size, "%.60s %.0f-%.0f %s", member_text(one, "id"), from, to, m->utf8 ? "°C" : "C");
    else
        snprintf(buf, size, "%.60s%s%.60s", member_text(one, "id"), *speed ? " " : "",
                 model_name(m, "page.speed", speed));
}

/* The i-th of an order's coats: its name, and its product. */
static void coat_text(const struct model *m, size_t i, char *buf, size_t size)
{
    json_t *one = form_order_coat(m, i);
    const char *product = member_text(one, "product");
    snprintf(buf, size, "%.60s%s%.60s", model_name(m, "coat", member_text(one, "coat")), product[0] ? " " : "",
             product);
    json_decref(one);
}

/* Lines whose first choice says nothing. A product names the hardeners and reducers that it has, and one of them. */
static bool has_usual(const struct model *m, size_t line)
{
    return line == FORM_PRODUCT || line == FORM_CUP || line == FORM_POUR_ORDER ||
           (line == FORM_REDUCER && !product_of(m));
}

bool form_is_usual(const struct model *m, size_t line)
{
    return has_usual(m, line) && m->view.chosen[line] == 0;
}

const char *form_choice(const struct model *m, size_t line, size_t i, char *buf, size_t size)
{
    char number[NUMBER_ROOM];
    if (has_usual(m, line) && i == 0)
        utf8_copy(buf, size, model_word(m, "choice.usual"));
    else if (line == FORM_COATS)
        coat_text(m, i, buf, size);
    else if (line == FORM_CONTROL)
        utf8_copy(buf, size, model_word(m, i ? "choice.yes" : "choice.no"));
    else if (line == FORM_COAT)
        utf8_copy(buf, size, model_name(m, "coat", lists_coat(wanted(m), i)));
    else if (line == FORM_VARIANT)
        utf8_copy(buf, size, lists_variant(wanted(m), m->view.chosen[FORM_COAT], i));
    else if (line == FORM_POUR_ORDER)
        utf8_copy(buf, size, model_name(m, "page.pour_order", pour_orders[i % POUR_ORDERS]));
    else if (line == FORM_CUP)
        snprintf(buf, size, "%s mL",
                 number_fixed(&m->style, member_number(cup_kind(m, i - 1), "ml"), 0, false, number, sizeof number));
    else if (line == FORM_PRODUCT)
        snprintf(buf, size, "%.60s", lists_id(mixed_with(m, i - 1)));
    else if (line == FORM_REDUCER && !product_of(m))
        snprintf(buf, size, "%.60s", lists_id(line_reducer(m, i - 1)));
    else
        offer_text(m, json_array_get(offered(m, line), i), buf, size);
    return buf;
}

/* Another coat has other variants and another product, another product other parts: what was chosen of them is gone. */
void form_choose(struct model *m, size_t digit)
{
    struct view *v = &m->view;
    if (digit < 1 || digit > form_choices(m, v->line))
        return;
    if (v->line == FORM_COATS)
        v->taken ^= 1U << (digit - 1);
    else
        v->chosen[v->line] = digit - 1;
    if (v->line == FORM_COAT)
        v->chosen[FORM_VARIANT] = v->chosen[FORM_PRODUCT] = 0;
    if (v->line == FORM_COAT || v->line == FORM_PRODUCT)
        form_begin(m);
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

/* The product and its parts where another one, or another hardener or reducer of it, was chosen; a colour that keeps
 * the usual ones is begun by its formula alone. */
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
    bool others = product && !json_equal(own, parts);
    if (others || (product && m->view.chosen[FORM_PRODUCT]))
        form_set_text(params, "product", lists_id(product));
    if (others)
        json_object_set(params, "parts", parts);
    json_decref(parts);
}

void form_set_choices(const struct model *m, json_t *params)
{
    const size_t *chosen = m->view.chosen;
    if (m->view.as)
        return;
    set_parts(m, params);
    if (chosen[FORM_REDUCER] && !product_of(m))
        form_set_text(params, "reducer", lists_id(line_reducer(m, chosen[FORM_REDUCER] - 1)));
    if (chosen[FORM_CUP])
        json_object_set(params, "cup_ml", json_object_get(cup_kind(m, chosen[FORM_CUP] - 1), "ml"));
    if (chosen[FORM_POUR_ORDER] && chosen[FORM_POUR_ORDER] < POUR_ORDERS)
        form_set_text(params, "pour_order", pour_orders[chosen[FORM_POUR_ORDER]]);
}
