/* begin_order.c - `order` with `coat_n`: the members of that coat, as if they had been given. It must not know how a
 * coat is mixed. */
#include "bench/begin_parts.h"

#include "bench/under_way.h"
#include "store/store.h"
#include "text/json_read.h"
#include "text/utf8.h"

#include <math.h>
#include <string.h>

/* A store_item_get callback. */
static void take_body(void *arg, const struct store_item *item)
{
    *(json_t **)arg = json_read_text(item->body);
}

/* A member of the coat where the call gives none of its own. */
static void fill(json_t *params, const json_t *from, const char *name)
{
    json_t *value = json_object_get(from, name), *given = json_object_get(params, name);
    if (value && !json_is_null(value) && (!given || json_is_null(given)))
        json_object_set(params, name, value);
}

/* An amount that the call names stands; else the coat's grams, else its panels. */
static void fill_amount(json_t *params, const json_t *coat)
{
    static const char *const amounts[] = {"grams", "ml", "panels"};
    const json_t *grams = json_object_get(coat, "grams");
    for (size_t i = 0; i < 3; i++) {
        const json_t *given = json_object_get(params, amounts[i]);
        if (given && !json_is_null(given))
            return;
    }
    fill(params, coat, grams && !json_is_null(grams) ? "grams" : "panels");
}

/* What another bench is just beginning stands in no row yet. */
static enum coat_half next_half(const struct beginning *c, const char *order)
{
    bool begun[HALVES] = {false};
    under_way_halves(c->d, order, c->begun->coat_n, begun);
    return coat_half_next(c->d->store, order, c->begun->coat_n, begun);
}

/* Jambs and edges are mixed first as a coat of their own, so a call that names neither half mixes the one that is still
 * to come. Only an amount by the coat's own panels has halves. */
static void choose_half(struct beginning *c, const json_t *coat, const char *order)
{
    const json_t *edges = json_object_get(c->params, "edges");
    enum coat_half half = HALF_WHOLE;
    if (json_is_boolean(edges))
        half = json_is_true(edges) ? HALF_EDGES : HALF_OUTSIDES;
    else if (coat_has_halves(coat) && json_object_get(c->params, "panels") == json_object_get(coat, "panels"))
        half = next_half(c, order);
    if (half != HALF_WHOLE)
        json_object_set_new(c->of_order, "edges", json_boolean(half == HALF_EDGES));
    c->begun->edges = (int)half;
}

bool begin_coat(struct beginning *c)
{
    static const char *const members[] = {"formula", "variant",      "coat",    "product",     "film_um",
                                          "mids",    "transfer_pct", "loss_ml", "control_coat"};
    const char *order = json_string_value(json_object_get(c->params, "order"));
    double n = NAN;
    json_t *body = NULL;
    if (!begin_number(c, "coat_n", 1, 1000, &n))
        return false;
    if (isnan(n))
        return true;
    if (n != floor(n))
        return fault_said(c->fault, FAULT_INVALID, "coat_n", "range", "coat_n_whole");
    if (!order)
        return fault_said(c->fault, FAULT_PARAMS, "order", "missing", "member_missing field=%s", "order");
    if (store_item_get(c->d->store, STORE_JOB, order, 0, take_body, &body) != STORE_FOUND)
        return fault_said(c->fault, FAULT_UNKNOWN, "order", "unknown", "order_unknown order=%s", order);
    const json_t *coat = json_array_get(json_object_get(body, "coats"), (size_t)n - 1);
    if (!coat) {
        json_decref(body);
        return fault_said(c->fault, FAULT_UNKNOWN, "coat_n", "unknown", "coat_unknown order=%s n=%d", order, (int)n);
    }
    c->of_order = json_copy((json_t *)(uintptr_t)c->params);
    for (size_t i = 0; i < sizeof members / sizeof *members; i++)
        fill(c->of_order, coat, members[i]);
    fill_amount(c->of_order, coat);
    c->params = c->of_order;
    c->begun->coat_n = (int)n;
    choose_half(c, coat, order);
    const char *painter = json_string_value(json_object_get(body, "painter"));
    utf8_copy(c->order_painter, sizeof c->order_painter, painter ? painter : "");
    json_decref(body);
    return true;
}
