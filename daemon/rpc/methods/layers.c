/* layers.c - an order's coats as layers: which first, in which cups, how long each flashes off. It must not know how a
 * coat is planned. */
#include "rpc/methods/layers.h"

#include "catalogue/catalogue.h"
#include "rpc/methods/plans.h"
#include "station/aims.h"
#include "text/json_read.h"
#include "text/number.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <uv.h>

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

/* ---- one layer after the other, each in a turn of the loop of its own ---- */

/* An order's layers in the making. A large order takes a tenth of a second in all: the scales are heard between. */
struct layers {
    uv_timer_t turn;
    struct daemon *d;
    struct rpc_call *call;
    json_t *params, *order, *layers;
    bool edges; /* these come first, of all coats */
    size_t next;
};

static void free_layers(uv_handle_t *turn)
{
    struct layers *l = turn->data;
    json_decref(l->params);
    json_decref(l->order);
    json_decref(l->layers);
    free(l);
}

/* fault NULL: answered with what there is. */
static void finish(struct layers *l, const struct fault *fault)
{
    if (fault)
        rpc_fail(l->call, fault);
    else
        rpc_answer(l->call,
                   json_pack("{s:O, s:o, s:s, s:o}", "layers", l->layers, "cost", sum_of(l->layers, "cost", true),
                             "currency", l->d->config.currency, "wait_min", sum_of(l->layers, "wait_min", false)));
    uv_close((uv_handle_t *)&l->turn, free_layers);
}

/* The next coat of the order that has a layer of this kind; NULL: there is none. A coat whose grams were given is not
 * split: nobody said how much of it is for the edges. */
static const json_t *next_coat(struct layers *l)
{
    const json_t *coats = json_object_get(l->order, "coats"), *coat;
    for (; (coat = json_array_get(coats, l->next)); l->next++) {
        bool whole = !json_is_null(json_object_get(coat, "grams"));
        if (whole ? !l->edges : has(coat, l->edges))
            return coat;
    }
    return NULL;
}

/* A coat may stand in an order without an amount: then the bench asks for it, and no plan can. */
static bool has_amount(const json_t *coat)
{
    return json_is_number(json_object_get(coat, "grams")) || json_array_size(json_object_get(coat, "panels")) > 0;
}

/* The station's settings are looked up anew: they may be read again between two turns. */
static void plan_next(uv_timer_t *turn)
{
    struct layers *l = turn->data;
    const char *station = json_string_value(json_object_get(l->params, "station"));
    const char *id = json_string_value(json_object_get(l->order, "order"));
    struct fault f = {0};
    const struct config_station *config = plans_station(l->d, station);
    const json_t *coat = next_coat(l);
    if (!coat && l->edges) {
        l->edges = false;
        l->next = 0;
        coat = next_coat(l);
    }
    if (!coat) { /* of an order without coats there is nothing to tell, and 0 would be a price */
        bool none = l->layers && json_array_size(l->layers) == 0;
        if (none)
            fault_said(&f, FAULT_INVALID, "coats", "none", "order_no_coats order=%s", id);
        finish(l, none ? &f : NULL);
        return;
    }
    struct layer layer = {.d = l->d, .config = config, .coat = coat};
    bool good = config && l->d->store && l->params && l->layers;
    if (!l->params || !l->layers)
        fault_said(&f, FAULT_INTERNAL, NULL, NULL, "no_memory");
    else if (!good)
        fault_said(&f, FAULT_STATE, NULL, "stopping", "plan_stopped order=%s", id);
    else if (!has_amount(coat))
        good = fault_said(&f, FAULT_INVALID, "coats", "amount", "coat_no_amount order=%s n=%d", id, (int)l->next + 1);
    else
        good = plan_coat(&layer, l->params, l->next, l->edges, l->layers, &f);
    l->next++;
    if (!good)
        finish(l, &f);
    else
        uv_timer_start(turn, plan_next, 0, 0);
}

void layers_plan(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *id = json_string_value(json_object_get(params, "order"));
    struct layers *l = calloc(1, sizeof *l);
    json_t *order = NULL;
    struct fault f = {0};
    enum store_found found = store_item_get(d->store, STORE_JOB, id, 0, take_body, &order);
    if (!l || found != STORE_FOUND) {
        if (!l)
            fault_said(&f, FAULT_INTERNAL, NULL, NULL, "no_memory");
        else if (found == STORE_NONE)
            fault_said(&f, FAULT_UNKNOWN, "order", "unknown", "order_unknown order=%s", id);
        else
            store_say_unread(d->store, &f);
        rpc_fail(call, &f);
        json_decref(order);
        free(l);
        return;
    }
    *l = (struct layers){.d = d, .call = call, .order = order, .layers = json_array(), .edges = true};
    l->params = json_deep_copy(params);
    l->turn.data = l;
    uv_timer_init(d->loop, &l->turn);
    plan_next(&l->turn);
}
