/* orders.c - what became of an order's coats, told from the rows of their batches. It must not know how an order is
 * put. */
#include "rpc/methods/orders.h"

#include "bench/coat_half.h"
#include "station/batch_record.h"
#include "text/number.h"

#include <math.h>
#include <string.h>

/* In the making. */
struct telling {
    struct store *view;
    json_t *order;
    double cost; /* of all that was mixed; NaN: a price is missing */
};

/* What one more batch makes of a coat: what is being mixed comes before what is, a cup with something left before an
 * empty one, and a scrapped one counts as not mixed. */
static const char *state_with(const char *was, const struct store_batch *b)
{
    if (strcmp(was, "mixing") == 0 || strcmp(b->state, "open") == 0 || strcmp(b->state, "held") == 0)
        return "mixing";
    if (strcmp(b->state, "finished") != 0)
        return was;
    return b->left_g > 0 || strcmp(was, "left_over") == 0 ? "left_over" : "mixed";
}

/* ---- jambs and edges, mixed as a coat of their own ---- */

/* Of a coat with both, a batch of the one leaves it not mixed until the other is mixed as well. What is mixed of it
 * stands in `half`. */
static bool is_whole(struct telling *t, json_t *coat, const char *batch)
{
    if (!coat_has_halves(coat))
        return true;
    enum coat_half half = coat_half_of(t->view, batch);
    const char *was = json_string_value(json_object_get(coat, "half"));
    const char *now = half == HALF_EDGES ? "edges" : "outsides";
    if (half == HALF_WHOLE || (was && strcmp(was, now) != 0)) {
        json_object_del(coat, "half");
        return true;
    }
    json_object_set_new(coat, "half", json_string(now));
    return false;
}

/* What is left of the one half is left of the whole, once the other is mixed. It is remembered in `half_left`, which
 * order_complete takes away. */
static void half_left_over(json_t *coat, bool left_over)
{
    if (json_object_get(coat, "half")) {
        if (left_over)
            json_object_set_new(coat, "half_left", json_true());
        return;
    }
    const char *state = json_string_value(json_object_get(coat, "state"));
    if (json_object_get(coat, "half_left") && strcmp(state, "mixed") == 0)
        json_object_set_new(coat, "state", json_string("left_over"));
}

/* A store_order_batches callback. A coat that a later put took off the list cannot have batches (order.put). */
static void add_batch(void *arg, const struct store_batch *b)
{
    struct telling *t = arg;
    json_t *coat = json_array_get(json_object_get(t->order, "coats"), (size_t)b->coat_n - 1);
    t->cost += b->cost;
    if (!coat)
        return;
    const char *was = json_string_value(json_object_get(coat, "state"));
    const char *now = state_with(was, b);
    bool left_over = strcmp(now, "left_over") == 0; /* before a new state frees the old one's text */
    if (strcmp(b->state, "finished") != 0 || is_whole(t, coat, b->batch))
        json_object_set_new(coat, "state", json_string(now));
    half_left_over(coat, left_over);
    json_array_append_new(json_object_get(coat, "batches"), json_string(b->batch));
    if (strcmp(b->state, "open") == 0)
        json_object_set_new(coat, "station", view_text(b->station));
}

/* Finds the row that a touch-up was poured from. */
struct share {
    double grams, cost;
};

static void take_share(void *arg, const struct store_batch *b)
{
    struct share *s = arg;
    s->cost = b->total_g > 0 ? b->cost * s->grams / b->total_g : (double)NAN;
}

/* A store_touch_ups callback: it costs its part of the cup that it came from. */
static void add_touch_up(void *arg, const struct store_touch *touch)
{
    struct telling *t = arg;
    struct share share = {.grams = touch->grams, .cost = NAN};
    store_batch_get(t->view, touch->batch, take_share, &share);
    t->cost += share.cost;
    json_array_append_new(
        json_object_get(t->order, "touch_ups"),
        json_pack("{s:s, s:o, s:s}", "batch", touch->batch, "grams", number_json(touch->grams), "time", touch->time));
}

bool order_complete(struct store *view, json_t *order, const char *currency)
{
    struct telling t = {.view = view, .order = order};
    const char *id = json_string_value(json_object_get(order, "order"));
    size_t i;
    json_t *coat;
    json_array_foreach(json_object_get(order, "coats"), i, coat)
    {
        json_object_set_new(coat, "n", json_integer((json_int_t)i + 1));
        json_object_set_new(coat, "state", json_string("not_mixed"));
        json_object_set_new(coat, "batches", json_array());
        json_object_set_new(coat, "station", json_null());
    }
    json_object_set_new(order, "touch_ups", json_array());
    bool read = store_order_batches(view, id, add_batch, &t) && store_touch_ups(view, id, add_touch_up, &t);
    json_array_foreach(json_object_get(order, "coats"), i, coat) json_object_del(coat, "half_left");
    json_object_set_new(order, "cost", number_json_money(t.cost));
    json_object_set_new(order, "currency", json_string(currency));
    return read;
}

size_t order_coat_batches(const json_t *order, size_t n)
{
    const json_t *coat = json_array_get(json_object_get(order, "coats"), n);
    return json_array_size(json_object_get(coat, "batches"));
}
