/* layers.c - an order's coats as layers: which first, in which cups, how long each flashes off. It must not know how a
 * coat is planned. */
#include "rpc/methods/layers.h"

#include "catalogue/catalogue.h"
#include "rpc/methods/plans.h"
#include "station/aims.h"
#include "text/json_read.h"
#include "text/number.h"

#include <math.h>
#include <string.h>

enum { CUPS_MOST = 64, KINDS_MOST = 64 };

/* A layer in the making: a coat, or of one with both kinds of panels its edges or its outsides. */
struct layer {
    struct daemon *d;
    const struct config_station *config;
    const json_t *coat;  /* as the order has it */
    const json_t *edges; /* true or false: of these panels alone; NULL: of all */
};

/* A store_item_get callback. */
static void take_body(void *arg, const struct store_item *item)
{
    *(json_t **)arg = json_read_text(item->body);
}

/* ---- the cups that it fills ---- */

/* Kinds of cups in rising order of what they hold. */
struct kinds {
    struct cup_kind kind[KINDS_MOST];
    double holds_ml[KINDS_MOST]; /* to the fill limit, and no more than the scale bears */
    size_t count;
    double density; /* g/mL, ready to spray */
    double capacity_g;
};

/* A store_item_list callback. A cup that today's tables refuse is passed over. */
static void add_kind(void *arg, const struct store_item *item)
{
    struct kinds *k = arg;
    struct cup_kind cup;
    struct fault f = {0};
    json_t *body = json_read_text(item->body);
    bool good = body && k->count < KINDS_MOST && cup_from_json(body, &cup, &f);
    json_decref(body);
    if (!good)
        return;
    double holds = cup.ml * cup.fill_pct / 100, tare = isnan(cup.tare_g) ? 0 : cup.tare_g;
    if (!isnan(k->capacity_g))
        holds = fmin(holds, (k->capacity_g - tare) / k->density);
    if (!(holds > 0))
        return;
    size_t at = k->count++;
    for (; at > 0 && k->holds_ml[at - 1] > holds; at--) {
        k->kind[at] = k->kind[at - 1];
        k->holds_ml[at] = k->holds_ml[at - 1];
    }
    k->kind[at] = cup;
    k->holds_ml[at] = holds;
}

/* The smallest that holds it; where none does, full ones of the largest kind and the smallest for the rest. [] where no
 * volume or no cup is known. */
static json_t *cups_of(const struct layer *l, const struct batch *b)
{
    double rest = batch_volume_ml(b, b->wanted_g), g = batch_weight_g(b, b->wanted_g);
    struct kinds k = {.density = g / rest, .capacity_g = l->config->capacity_g};
    json_t *cups = json_array();
    if (!(rest > 0))
        return cups;
    store_item_list(l->d->store, "cup", NULL, add_kind, &k);
    while (k.count > 0 && rest > 1e-6 && json_array_size(cups) < CUPS_MOST) {
        size_t i = 0;
        while (i + 1 < k.count && k.holds_ml[i] < rest - 1e-6)
            i++;
        double ml = fmin(rest, k.holds_ml[i]);
        json_array_append_new(cups, json_pack("{s:s, s:o}", "cup", k.kind[i].id, "ml", number_json(ml)));
        rest -= ml;
    }
    return cups;
}

/* ---- how long it flashes off ---- */

/* The most coats that one of its panels gets; of an amount in grams nobody knows, so one. */
static double most_coats(const struct layer *l)
{
    const json_t *panels = json_object_get(l->coat, "panels"), *panel, *mids = json_object_get(l->coat, "mids");
    const char *name = json_string_value(json_object_get(l->coat, "coat"));
    double most = 1;
    size_t i;
    json_array_foreach(panels, i, panel)
    {
        if (!l->edges || json_is_true(l->edges) == json_is_true(json_object_get(panel, "edges")))
            most = fmax(most, json_number_value(json_object_get(panel, "coats")));
    }
    if (name && strcmp(name, "mid") == 0 && json_number_value(mids) > 0)
        most = json_number_value(mids);
    return most + (json_is_true(json_object_get(l->coat, "control_coat")) ? 1 : 0);
}

/* Each coat flashes off by the product's time; null where no product tells it. */
static json_t *wait_of(const struct layer *l, const struct batch *b)
{
    struct product p;
    if (!b->recipe.product[0] || !catalogue_product(l->d->store, b->recipe.product, &p) || isnan(p.flash_min))
        return json_null();
    return number_json(p.flash_min * most_coats(l));
}

/* A plans_make callback. */
static void add_layer(void *arg, const struct batch *b, json_t *plan)
{
    const struct layer *l = arg;
    json_object_set_new(plan, "cups", cups_of(l, b));
    json_object_set_new(plan, "wait_min", wait_of(l, b));
}

/* ---- the whole ---- */

/* Whether a coat has panels of that kind; one mixed by grams counts as outsides. */
static bool has(const json_t *coat, bool edges)
{
    const json_t *panels = json_object_get(coat, "panels"), *panel;
    size_t i;
    json_array_foreach(panels, i, panel) if (json_is_true(json_object_get(panel, "edges")) == edges) return true;
    return !edges && json_array_size(panels) == 0;
}

/* A coat of which only one kind of panels is there is planned whole, so that its plan is that of batch.begin. False:
 * *fault. */
static bool plan_coat(struct layer *l, const json_t *params, size_t n, bool edges, json_t *layers, struct fault *fault)
{
    json_t *asked = json_copy((json_t *)(uintptr_t)params);
    bool by_panels = json_is_null(json_object_get(l->coat, "grams"));
    l->edges = by_panels && has(l->coat, !edges) ? (edges ? json_true() : json_false()) : NULL;
    json_object_set_new(asked, "coat_n", json_integer((json_int_t)n + 1));
    if (l->edges)
        json_object_set_new(asked, "edges", json_boolean(edges));
    json_t *plan = plans_make(l->d, l->config, asked, add_layer, l, fault);
    json_decref(asked);
    if (!plan)
        return false;
    json_object_set_new(plan, "coat_n", json_integer((json_int_t)n + 1));
    json_object_set_new(plan, "edges", json_boolean(edges));
    json_array_append_new(layers, plan);
    return true;
}

/* The sum of a member over all layers; null where one of them does not know it. */
static json_t *sum_of(const json_t *layers, const char *name, bool money)
{
    double sum = 0;
    size_t i;
    json_t *layer;
    json_array_foreach(layers, i, layer)
    {
        const json_t *one = json_object_get(layer, name);
        sum += json_is_number(one) ? json_number_value(one) : NAN;
    }
    return money ? number_json_money(sum) : number_json(sum);
}

/* A coat whose grams were given is not split: nobody said how much of it is for the edges. */
json_t *layers_of(struct daemon *d, const struct config_station *config, const json_t *params, struct fault *fault)
{
    const char *id = json_string_value(json_object_get(params, "order"));
    struct layer layer = {.d = d, .config = config};
    json_t *order = NULL, *layers = json_array(), *coat;
    enum store_found found = store_item_get(d->store, STORE_JOB, id, 0, take_body, &order);
    bool good = found == STORE_FOUND;
    if (found == STORE_NONE)
        fault_said(fault, FAULT_UNKNOWN, "order", "unknown", "order_unknown order=%s", id);
    else if (!good)
        store_say_unread(d->store, fault);
    for (int edges = 1; good && edges >= 0; edges--) {
        size_t i;
        json_array_foreach(json_object_get(order, "coats"), i, coat)
        {
            layer.coat = coat;
            bool whole = !json_is_null(json_object_get(coat, "grams"));
            if (good && (whole ? !edges : has(coat, edges)))
                good = plan_coat(&layer, params, i, edges, layers, fault);
        }
    }
    json_decref(order);
    json_t *answer = good ? json_pack("{s:O, s:o, s:s, s:o}", "layers", layers, "cost", sum_of(layers, "cost", true),
                                      "currency", d->config.currency, "wait_min", sum_of(layers, "wait_min", false))
                          : NULL;
    json_decref(layers);
    return answer;
}
