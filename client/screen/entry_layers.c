/* entry_layers.c - the coats of the open order planned at once, a line each: colour, to spray, cups, how long it
 * flashes off, what it costs. All of it is the daemon's plan. It must not know how a layer is worked out. */
#include "client/screen/calls.h"
#include "client/screen/entry.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const json_t *layers_of(const struct model *m)
{
    return json_object_get(m->lists.answer[LIST_LAYERS], "layers");
}

/* Adds a text to another with a comma where both are there. */
static void add(char *buf, size_t size, const char *text)
{
    size_t n = strlen(buf);
    if (text[0] && n + 1 < size)
        snprintf(buf + n, size - n, "%s%s", n ? ", " : "", text);
}

/* How long nothing can be sprayed, and what it costs, as far as they are known. */
static void add_sums(const struct model *m, const json_t *of, const char *currency, bool cost, char *buf, size_t size)
{
    double wait = member_number(of, "wait_min"), money = member_number(of, "cost");
    char text[ENTRY_TEXT], amount[64], number[NUMBER_ROOM];
    if (wait > 0) {
        snprintf(amount, sizeof amount, "%s min", number_fixed(&m->style, wait, 0, false, number, sizeof number));
        add(buf, size, model_text(m, say("plan.wait minutes=%s", amount), text, sizeof text));
    }
    if (cost && isfinite(money)) {
        snprintf(amount, sizeof amount, "%s %.8s", number_fixed(&m->style, money, 2, false, number, sizeof number),
                 currency);
        add(buf, size, model_text(m, say("plan.cost cost=%s", amount), text, sizeof text));
    }
}

/* `cups 0.75: 600 mL, 0.75: 120 mL`. */
static void add_cups(const struct model *m, const json_t *layer, char *buf, size_t size)
{
    const json_t *cups = json_object_get(layer, "cups"), *cup;
    char list[ENTRY_TEXT] = "", one[80], text[ENTRY_TEXT], number[NUMBER_ROOM];
    size_t i;
    json_array_foreach(cups, i, cup)
    {
        snprintf(one, sizeof one, "%.40s: %s mL", member_text(cup, "cup"),
                 number_fixed(&m->style, member_number(cup, "ml"), 0, false, number, sizeof number));
        add(list, sizeof list, one);
    }
    if (list[0])
        add(buf, size, model_text(m, say("page.into_cups cups=%s", list), text, sizeof text));
}

/* Its first warning: what must be known before it is mixed. The others stand on its own plan. */
static void warn(const struct model *m, const json_t *layer, struct entry *e)
{
    const json_t *warning = json_array_get(json_object_get(layer, "warnings"), 0);
    if (warning)
        model_sentence(m, warning, e->why, sizeof e->why);
}

/* True where a coat stands as two layers, its edges and its outsides. */
static bool is_half(const json_t *layers, const json_t *layer)
{
    const json_t *one;
    size_t i, n = 0;
    json_array_foreach(layers, i, one) n += member_number(one, "coat_n") <= member_number(layer, "coat_n") &&
                                            member_number(one, "coat_n") >= member_number(layer, "coat_n");
    return n > 1 || json_is_true(json_object_get(layer, "edges"));
}

bool entry_layers(const struct model *m, size_t n, struct entry *e)
{
    const json_t *layers = layers_of(m), *layer = json_array_get(layers, n);
    double g = member_number(layer, "total_g"), ml = member_number(layer, "ready_ml"),
           cost = member_number(layer, "cost");
    char text[ENTRY_TEXT], number[NUMBER_ROOM];
    if (!layer)
        return false;
    bool half = is_half(layers, layer);
    const char *formula = member_text(layer, "formula"), *product = member_text(layer, "product");
    snprintf(e->text, sizeof e->text, "%.40s %.40s%s%.60s", model_name(m, "coat", member_text(layer, "coat")),
             formula[0] ? formula : product, half ? ", " : "",
             half ? model_word(m, json_is_true(json_object_get(layer, "edges")) ? "option.edges" : "option.outsides")
                  : "");
    add(e->detail, sizeof e->detail,
        model_text(m, shown_amounts(member_text(layer, "part"), g, ml), text, sizeof text));
    add_cups(m, layer, e->detail, sizeof e->detail);
    add_sums(m, layer, "", false, e->detail, sizeof e->detail);
    if (isfinite(cost))
        snprintf(e->figure, sizeof e->figure, "%s %.8s", number_fixed(&m->style, cost, 2, false, number, sizeof number),
                 member_text(layer, "currency"));
    warn(m, layer, e);
    e->act = ACT_PAGE;
    e->value = PAGE_COAT;
    utf8_copy(e->says, sizeof e->says, model_word(m, "page.coat_acts"));
    return true;
}

/* What all come to; or why nothing can be planned, such as a coat that nobody gave an amount. */
void entry_layers_under(const struct model *m, char *buf, size_t size)
{
    const json_t *plan = m->lists.answer[LIST_LAYERS];
    char text[ENTRY_DETAIL] = "";
    utf8_copy(buf, size, member_text(plan, "refused"));
    if (buf[0])
        return;
    add_sums(m, plan, member_text(plan, "currency"), true, text, sizeof text);
    if (text[0])
        model_text(m, say("page.all_coats text=%s", text), buf, size);
}
